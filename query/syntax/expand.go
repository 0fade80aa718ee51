package syntax

import (
	"fmt"
	"slices"
	"strings"

	"netlore/query/diag"
)

// How far saved questions may ask for each other, and how many times in one
// question.
const (
	maxSavedDepth = 16
	maxSavedUses  = 200
)

// Expand puts the trees of saved questions in the place of their names, and
// values in the place of their parameters. The result is a question without
// saved ones, with the text that its places count in: what was asked, and
// behind it the texts of the saved questions. Of a question that asks for none,
// both are as they were.
//
//	biglids on VMAIN      hidden capacitors with value at least 10uF on VMAIN
func Expand(text string, q *Question) (*Question, string, diag.List) {
	if q.shelf == nil || q.Uses() == nil {
		return q, text, nil
	}
	x := &expander{shelf: q.shelf, texts: Texts{{At: diag.Range{End: len(text)}}}, whole: text}
	expanded := x.question(q, false)
	if len(x.list) > 0 {
		return nil, x.whole, x.list.Sort()
	}
	if x.uses == 0 {
		return q, text, nil
	}
	expanded.shelf, expanded.texts = q.shelf, x.texts
	return expanded, x.whole, nil
}

// Uses are the names of the saved questions that a question asks for.
func (q *Question) Uses() []string {
	var list []string
	for _, s := range q.Slots() {
		if one := q.shelf.find(s.Name.Text); one != nil && (s.Kind == HeadSlot || s.Kind == NameSlot) && !slices.Contains(list, one.Name) {
			list = append(list, one.Name)
		}
	}
	return list
}

// Use is where a question asks for a saved one.
type Use struct {
	Name string
	At   diag.Range
}

// Asks are the places where a question asks for a saved one, in their order.
func (q *Question) Asks() []Use {
	var list []Use
	for _, s := range q.Slots() {
		if one := q.shelf.find(s.Name.Text); one != nil && s.Kind == HeadSlot {
			list = append(list, Use{one.Name, s.Name.Range()})
		}
	}
	slices.SortFunc(list, func(a, b Use) int { return a.At.Start - b.At.Start })
	return list
}

// expander copies a tree with everything in its place.
type expander struct {
	shelf *Shelf
	texts Texts
	whole string
	list  diag.List
	uses  int

	// of the saved question that is being copied
	asked []*saved // and those that asked for it, outermost first
	base  int      // where its text begins
	args  map[string]*Operand
}

func (x *expander) fail(code string, at diag.Range, help, format string, args ...any) {
	d := diag.Diagnostic{Code: code, Message: fmt.Sprintf(format, args...), Range: at}
	if help != "" {
		d.Help = []string{help}
	}
	x.list = append(x.list, x.texts.Place(x.whole, d))
}

// placed is a range of the text that is being copied, in the whole.
func (x *expander) placed(at diag.Range) diag.Range {
	return diag.Range{Start: at.Start + x.base, End: at.End + x.base}
}

// question copies a question. Inside is true of one that is a part of another:
// of a saved question that is asked there, only the things count.
func (x *expander) question(q *Question, inside bool) *Question {
	c := &Question{}
	x.fields(c, q, "First", "Rest")
	if q.First == nil { // it is a why
		return c
	}
	alone := !inside && len(q.Rest) == 0 && q.Aggregate == nil
	body := x.selection(q.First, alone)
	if c.First = body.selection(q.First.Span); alone && body.saved {
		hoist(c, body.Question)
		c.First, c.Rest = body.First, body.Rest
		return c
	}
	for _, j := range q.Rest {
		next := &Joined{}
		x.fields(next, j, "Selection")
		next.Selection = x.selection(j.Selection, false).selection(j.Selection.Span)
		c.Rest = append(c.Rest, next)
	}
	return c
}

// asked is a selection that was copied: a question if it asked for a saved one.
type asked struct {
	*Question
	saved bool
}

// selection is the question as a selection.
func (a asked) selection(at Span) *Selection {
	if a.Rest == nil && a.Clauses == nil {
		return a.First
	}
	return &Selection{Span: at, Group: &Question{Span: at, First: a.First, Rest: a.Rest}}
}

// selection copies a selection. Alone is true of one that is all of a question.
func (x *expander) selection(s *Selection, alone bool) asked {
	one, name := x.shelf.headOf(s)
	if one == nil {
		c := &Selection{}
		x.fields(c, s, "Group")
		if s.Group != nil {
			c.Group = x.question(s.Group, !alone)
		}
		return asked{Question: &Question{First: c}}
	}
	at := x.placed(name.Range())
	body := x.saved(one, name, s)
	if body == nil {
		return asked{Question: &Question{First: s}} // it was complained about
	}
	if !alone {
		x.things(body, one, at)
	}
	return asked{body, true}
}

// headOf finds the saved question that a selection asks for, and its name.
func (s *Shelf) headOf(sel *Selection) (*saved, *Name) {
	for _, h := range sel.Heads {
		last := h.Words[len(h.Words)-1]
		if one := s.find(last.Text); one != nil {
			return one, last
		}
	}
	return nil, nil
}

// saved copies the tree of a saved question with its values, narrowed by what
// the selection says besides. It is nil if it cannot be asked so.
func (x *expander) saved(one *saved, name *Name, s *Selection) *Question {
	at := x.placed(name.Range())
	if x.uses++; !x.mayAsk(one, at) {
		return nil
	}
	if len(s.Heads) > 1 {
		x.fail("Q85", at, "say and also between them: parts under SH1 and also "+one.usage(), "a saved question does not stand in a list of nouns")
		return nil
	}
	args, phrases, ok := x.values(one, name, s.Where)
	if !ok {
		return nil
	}
	adjectives, where := x.names(s.Heads[0].Words[:len(s.Heads[0].Words)-1]), copied(x, phrases)
	outer := *x
	x.asked, x.args = append(x.asked[:len(x.asked):len(x.asked)], one), args
	body := x.body(one, at)
	x.asked, x.args, x.base = outer.asked, outer.args, outer.base
	switch {
	case body == nil || adjectives == nil && where == nil:
	case body.First == nil || body.First.Route != nil:
		x.fail("Q88", at, "ask it alone: "+one.usage(), "%s gives %s, so nothing more can be said of its things", one.Name, body.gives())
		return nil
	default:
		narrow(body, adjectives, where)
	}
	return body
}

// mayAsk complains of saved questions that ask for themselves, or for too many
// others.
func (x *expander) mayAsk(one *saved, at diag.Range) bool {
	var circle []string
	for _, before := range x.asked {
		if before == one || circle != nil {
			circle = append(circle, before.Name)
		}
	}
	switch {
	case circle != nil:
		x.fail("Q81", at, "save one of them anew", "%s asks for itself: %s", one.Name, strings.Join(append(circle, one.Name), " → "))
	case len(x.asked) == maxSavedDepth:
		x.fail("Q82", at, "", "saved questions ask for each other more than %d deep", maxSavedDepth)
	case x.uses == maxSavedUses+1:
		x.fail("Q82", at, "", "saved questions are asked for more than %d times in one question", maxSavedUses)
	}
	return circle == nil && len(x.asked) < maxSavedDepth && x.uses <= maxSavedUses
}

// body copies the tree of a saved question. Its text is added to the whole when
// it is first asked for.
func (x *expander) body(one *saved, at diag.Range) *Question {
	tree, list := one.read()
	x.base = x.add(one, at)
	if list != nil {
		for _, d := range list {
			d.Range = x.placed(d.Range)
			x.list = append(x.list, x.texts.Place(x.whole, d))
		}
		return nil
	}
	return x.question(tree, false)
}

func (x *expander) add(one *saved, used diag.Range) int {
	for _, t := range x.texts {
		if t.Name == one.Name {
			return t.At.Start
		}
	}
	start := len(x.whole) + 1
	x.whole += "\n" + one.Text
	x.texts = append(x.texts, Text{one.Name, diag.Range{Start: start, End: len(x.whole)}, used})
	return start
}
