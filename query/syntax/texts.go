package syntax

import "netlore/query/diag"

// A Text is one of the texts that an expanded question was made of. The texts
// stand one after the other, so that a place tells which one it is in.
type Text struct {
	Name string     // of the saved question; "" for what was asked
	At   diag.Range // where it stands
	Used diag.Range // where it was first asked for
}

// Texts are the texts of an expanded question, in order.
type Texts []Text

// Texts are the texts that the question was made of: none if it is as it was
// asked.
func (q *Question) Texts() Texts { return q.texts }

// of is the text that a place is in.
func (ts Texts) of(at diag.Range) (Text, bool) {
	for _, t := range ts {
		if t.At.Start <= at.Start && at.Start <= t.At.End {
			return t, true
		}
	}
	return Text{}, false
}

// Within cuts the text that a range lies in out of the whole, and gives the
// range in it. It reports false if the range is not inside one text.
func (ts Texts) Within(whole string, at diag.Range) (string, diag.Range, bool) {
	t, ok := ts.of(at)
	switch {
	case len(ts) == 0:
		return whole, at, at.Start <= at.End && at.End <= len(whole)
	case !ok:
		return whole, at, false
	}
	local := diag.Range{Start: at.Start - t.At.Start, End: at.End - t.At.Start}
	return whole[t.At.Start:t.At.End], local, local.Start <= local.End && at.End <= t.At.End
}

// Place gives a complaint its line and excerpt. One about a saved question
// names that, and tells where it was asked for. The range of the result counts
// in the text that it is about.
func (ts Texts) Place(whole string, d diag.Diagnostic) diag.Diagnostic {
	t, ok := ts.of(d.Range)
	if !ok {
		return d.At(whole)
	}
	text := whole[t.At.Start:t.At.End]
	d.Range.Start -= t.At.Start
	d.Range.End = min(max(d.Range.End-t.At.Start, d.Range.Start), len(text))
	if d = d.At(text); t.Name == "" {
		return d
	}
	d.File = "saved question " + t.Name
	used := ts.Place(whole, diag.Diagnostic{Range: t.Used})
	related := diag.Related{File: used.File, Line: used.Line, Column: used.Column, Excerpt: used.Excerpt, Before: used.Before, Message: "asked for here"}
	d.Related = append(append(d.Related, related), used.Related...)
	return d
}
