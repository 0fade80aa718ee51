package run

import (
	"cmp"
	"slices"
	"time"

	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// fact is what is known of one field of one thing. Most things have one value
// of a field and nothing is missing, and an answer asks for one fact a cell, so
// that case is kept small.
type fact struct {
	sure value.Value // what it has: one value or a List; Missing if it has none
	gap  *gap        // nil if nothing is missing
}

// gap is what is missing of a fact. The thing may have some of Maybe, and if
// Open another value that is not known.
type gap struct {
	maybe []value.Value
	open  bool
	why   string      // what is missing; "" if it is the field itself
	shown value.Value // for the cell, if that is not what it has for sure
}

// notStated is the gap of a field that every such thing has; noPosition that of
// what depends on where a thing is.
var (
	notStated  = &gap{open: true}
	noPosition = &gap{open: true, why: "no position"}
)

// look finds a field of a thing.
type look func(s *site, id int32) fact

// looks are the fields of a noun.
type looks [words.FieldCount]look

// facts is where the fields of each noun are found.
var facts = [words.NounCount]looks{
	words.Parts:    partFacts,
	words.Pins:     pinFacts,
	words.Nets:     netFacts,
	words.Pads:     padFacts,
	words.Covers:   coverFacts,
	words.Branches: branchFacts,
	words.Readings: readingFacts,
	words.Expected: expectedFacts,
	words.Notes:    noteFacts,
	words.Jobs:     jobFacts,
	words.Boards:   boardFacts,

	words.Observations: observationFacts,
	words.Functions:    functionFacts,
	words.Suspects:     suspectFacts,
	words.Tests:        testFacts,
}

// fact is what is known of a field of a thing.
func (s *site) fact(f *words.Field, id int32) fact {
	if f.Noun == words.Suspects {
		return suspectFacts[f.ID](s, id)
	}
	switch f.ID {
	case words.BoardOf:
		return single(value.OfName("", s.b.Ref.String(), boardText(s.b.Ref)))
	case words.RoleOf:
		return stated(s.role)
	case words.NotesOf:
		return s.saidCount(words.Notes, thing{f.Noun, id})
	case words.ReadingsOf:
		return s.saidCount(words.Readings, thing{f.Noun, id})
	}
	return facts[f.Noun][f.ID](s, id)
}

// values are those that the thing has for sure.
func (f fact) values() []value.Value {
	if f.sure.Missing() {
		return nil
	}
	return f.sure.Items()
}

// maybe are the values that it may have.
func (f fact) maybe() []value.Value {
	if f.gap == nil {
		return nil
	}
	return f.gap.maybe
}

// open reports whether it has, or may have, a value that is not known.
func (f fact) open() bool { return f.gap != nil && f.gap.open }

// why is what is missing of the field, "" if nothing is.
func (f fact) why(of *words.Field) string {
	switch {
	case f.gap == nil:
		return ""
	case f.gap.why == "" && f.gap.open:
		return of.NotKnown
	}
	return f.gap.why
}

// boardText is a board in the form in which it can be asked for.
func boardText(r board.Ref) string {
	if r.Revision == "" {
		return words.QuoteName(r.Name)
	}
	return words.QuoteName(r.Name) + " rev " + r.Revision
}

// cell is the fact as it is shown.
func (f fact) cell() value.Value {
	switch {
	case f.gap != nil && f.gap.shown.Kind() != value.Unknown:
		return f.gap.shown
	case !f.sure.Missing():
		return f.sure
	case f.gap != nil:
		return value.Value{}
	}
	return value.Nothing()
}

// has judges whether there is a value. What is Open has none that is stated,
// which is what is asked.
func (f fact) has(of *words.Field) finding {
	switch {
	case !f.sure.Missing():
		return yes
	case f.maybe() != nil:
		return unknown(f.why(of))
	}
	return no
}

// The makers of facts.

// single is a value that is known.
func single(v value.Value) fact { return fact{sure: v} }

// quantity is a number that every such thing has, whether known or not.
func quantity(q board.Quantity) fact {
	if !q.Known() {
		return fact{gap: notStated}
	}
	return single(value.OfQuantity(q))
}

// stated is a text that a thing need not have.
func stated(text string) fact {
	if text == "" {
		return fact{}
	}
	return single(value.OfText(text))
}

// must is a text that every such thing has, whether known or not.
func must(text string) fact {
	if text == "" {
		return fact{gap: notStated}
	}
	return single(value.OfText(text))
}

// word is a word of a closed list; "" if it is not known.
func word[E ~uint8](w string, e E) fact {
	if w == "" {
		return fact{gap: notStated}
	}
	return single(value.OfWord(w, int(e)))
}

func texts(list []string) fact {
	var all several
	for _, t := range list {
		all.add(value.OfText(t))
	}
	return fact{sure: all.value()}
}

func count(n int) fact { return single(value.OfCount(n)) }

// moment is a time that need not be stated.
func moment(t time.Time) fact {
	if t.IsZero() {
		return fact{gap: notStated}
	}
	return single(value.OfTime(t))
}

// length is a distance in micrometres.
func length(um int32, isKnown bool, missing *gap) fact {
	if !isKnown {
		return fact{gap: missing}
	}
	return single(value.OfQuantity(board.Millimetres(um)))
}

// linked are the names of the things that a thing is linked to. Those that it
// is not surely linked to are in Maybe.
func linked(s *site, t thing, to words.Noun, follow follow) fact {
	var sure, maybe []int32
	follow(s, t.id, func(o int32, isSure bool) {
		if isSure {
			sure = append(sure, o)
		} else {
			maybe = append(maybe, o)
		}
	})
	slices.Sort(sure)
	slices.Sort(maybe)
	f := fact{sure: value.OfList(nameValues(s, to, slices.Compact(sure)))}
	if len(maybe) > 0 {
		f.gap = &gap{maybe: nameValues(s, to, slices.Compact(maybe)), why: s.linkDoubt(t, thing{to, maybe[0]})}
	}
	return f
}

// saidCount is how many statements of a noun there are about a thing; for the
// board, about all that is on it.
func (s *site) saidCount(n words.Noun, t thing) fact {
	if t.noun == words.Boards {
		return count(s.universe(n).Count())
	}
	return count(len(s.statements(n).of[t]))
}

// coverNames are the covers that hide a thing.
func coverNames(n words.Noun) look {
	return func(s *site, id int32) fact {
		var sure, maybe several
		why := ""
		for _, l := range s.lidsOver(thing{n, id}) {
			name := s.nameValue(words.Covers, int32(l.Cover))
			if l.Truth == board.True {
				sure.add(name)
				continue
			}
			maybe.add(name)
			why = cmp.Or(why, l.Why)
		}
		f := fact{sure: sure.value()}
		if maybe.n > 0 {
			f.gap = &gap{maybe: maybe.value().Items(), why: why}
		}
		return f
	}
}

// expectedOf are the values expected of a thing: what is stated, else what was
// learned.
func expectedOf(n words.Noun) look {
	return func(s *site, id int32) fact {
		var all several
		for _, e := range s.statements(words.Expected).of[thing{n, id}] {
			if v := expectedFacts[words.Value](s, e).sure; !v.Missing() {
				all.add(v)
			}
		}
		for mode := board.Diode; mode <= board.Continuity && all.n == 0; mode++ {
			if e, _, ok := s.learnedAt(thing{n, id}, mode, ""); ok {
				for _, v := range expectedShown([]board.Expected{e.Expected}) {
					all.add(v)
				}
			}
		}
		return fact{sure: all.value()}
	}
}
