package syntax

import (
	"slices"
	"strings"
	"sync"

	"netlore/query/diag"
	"netlore/query/words"
	"netlore/store/board"
)

// A Shelf is the saved questions that can be asked for like nouns. A nil Shelf
// holds none. It does not change, so that any number of goroutines may use it.
type Shelf struct {
	byName map[string]*saved
	names  []string
}

// saved is a saved question, which is read when it is first asked for.
type saved struct {
	*board.SavedQuestion
	read func() (*Question, diag.List)
	// grammar is read without a look at the nouns, and so without a look at
	// other saved questions, which may ask for this one.
	grammar func() *Question
	sound   bool // the text keeps to the grammar; known when that has been read
}

// NewShelf makes a shelf. Of names that differ in small and capital letters
// only, the first counts.
func NewShelf(list []board.SavedQuestion) *Shelf {
	if len(list) == 0 {
		return nil
	}
	s := &Shelf{byName: make(map[string]*saved, len(list))}
	for i := range list {
		one := &saved{SavedQuestion: &list[i]}
		one.grammar = sync.OnceValue(func() *Question {
			if _, big := tooBig(one.Text); big {
				return nil
			}
			q, at := parseGrammar(one.Text)
			q.shelf, one.sound = s, at < 0
			return q
		})
		one.read = sync.OnceValues(func() (*Question, diag.List) {
			if q := one.grammar(); one.sound && misplaced(q) < 0 {
				return q, nil
			}
			return s.Parse(one.Text)
		})
		if name := strings.ToLower(one.Name); s.byName[name] == nil {
			s.byName[name] = one
			s.names = append(s.names, one.Name)
		}
	}
	return s
}

// Names are the names of the saved questions, in the order given.
func (s *Shelf) Names() []string {
	if s == nil {
		return nil
	}
	return slices.Clone(s.names)
}

// find finds a saved question. Words of the language come first: a later
// version of it may have a noun of that name.
func (s *Shelf) find(word string) *saved {
	if s == nil || words.IsNoun(word) {
		return nil
	}
	return s.byName[strings.ToLower(word)]
}

// Has reports whether a word asks for a saved question.
func (s *Shelf) Has(word string) bool { return s.find(word) != nil }

// isNoun reports whether a word can be asked for.
func (s *Shelf) isNoun(word string) bool { return words.IsNoun(word) || s.Has(word) }

// savedNoun is what a saved question asks for, as far as that is clear without
// its values.
func (s *Shelf) savedNoun(word string) words.Noun {
	for range maxSavedDepth {
		one := s.find(word)
		if one == nil {
			return words.NoNoun
		}
		first := leftmost(one.grammar())
		if first == nil || len(first.Heads) == 0 {
			return words.NoNoun
		}
		head := first.Heads[0].Words
		if word = head[len(head)-1].Text; words.IsNoun(word) {
			return s.nounOf(word)
		}
	}
	return words.NoNoun
}

// Saved are the saved questions that could stand in a place of a question.
func (s Slot) Saved() []string { return s.shelf.Names() }

// Shelf is what the question was read with.
func (q *Question) Shelf() *Shelf { return q.shelf }

// usage is how a saved question is asked for: "suspectcaps for RAIL, SIZE".
func (s *saved) usage() string {
	if len(s.Parameters) == 0 {
		return s.Name
	}
	return s.Name + " for " + strings.ToUpper(strings.Join(s.Parameters, ", "))
}

// Parameter tells the parameter that a word of a saved question stands for:
// rail for $rail. $12 is a name, not a parameter.
func Parameter(word string) (string, bool) {
	name, ok := strings.CutPrefix(word, "$")
	return name, ok && board.SavedName(name)
}

// ParametersOf are the parameters that stand in the text of a question, in
// their order.
func ParametersOf(text string) []string {
	var list []string
	for _, t := range tokenize(text) {
		if name, ok := Parameter(t.text); ok && t.kind == wordToken && !slices.Contains(list, name) {
			list = append(list, name)
		}
	}
	return list
}

// lastWord is the saved question that a text ends in.
func (s *Shelf) lastWord(text string) *saved {
	tokens := tokenize(text)
	if s == nil || len(tokens) == 0 {
		return nil
	}
	return s.find(tokens[len(tokens)-1].text)
}

// mostLooks is how many saved questions are looked into for what their values
// stand for, which may be values of others in turn.
const mostLooks = 64

// given adds the slot of the i-th value of a saved question: what the parameter
// stands for in the text of that. It reports false if that is not clear.
func (c *collector) given(i int, n *Name) bool {
	if c.of == nil || *c.looks == 0 {
		return false
	}
	one, _ := c.shelf.headOf(c.of)
	if one == nil || i >= len(one.Parameters) {
		return false
	}
	*c.looks--
	known := false
	inner := collector{shelf: c.shelf, looks: c.looks, visit: func(s Slot) {
		if s.Name.Text == "$"+one.Parameters[i] && !known {
			known = true
			if s.Name = n; c.things != nil {
				s.Things = c.things
			}
			c.visit(s)
		}
	}}
	inner.question(one.grammar())
	return known
}

// Begins reports whether a word can begin a question without being asked for:
// count, total.
func Begins(word string) bool {
	for _, w := range beginnings {
		first, _, _ := strings.Cut(w, " ")
		if strings.EqualFold(first, word) {
			return true
		}
	}
	return strings.EqualFold(word, "of")
}
