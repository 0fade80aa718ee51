package record

import (
	"fmt"

	"netlore/query/diag"
)

// Report accounts for every record of one file: each was used, or there is a
// stated reason why not.
type Report struct {
	File   string
	Format string
	Lines  int      // lines of text, or rows, in the file
	Kinds  []*Count // in order of first appearance

	// Notes are complaints about single records, in order of place. Of one
	// code the first notesPerCode are kept; Left counts the others.
	Notes diag.List
	Left  []Left
}

// Left counts the complaints of one code that were not kept.
type Left struct {
	Code  string
	Count int
}

// Count accounts for the records of one kind. Seen is counted when a record is
// recognised; Used or Explained when it has been dealt with, which may be much
// later. A difference is a record that was lost.
type Count struct {
	Kind string // as the file calls it: "327", "P", "row"
	Note string // what the kind is: "surface pad"

	Seen, Used, Explained int

	Reasons []*Reason // in order of first appearance
}

// Reason says why records were not used.
type Reason struct {
	Text  string
	Count int
	Lines []int // 1-based, the first linesPerReason
}

const (
	notesPerCode   = 20
	linesPerReason = 20
)

// Kind returns the count of the records of one kind, made if it is new. The
// pointer stays valid.
func (r *Report) Kind(kind, note string) *Count {
	for _, c := range r.Kinds {
		if c.Kind == kind {
			return c
		}
	}
	c := &Count{Kind: kind, Note: note}
	r.Kinds = append(r.Kinds, c)
	return c
}

// Of returns the count of a kind, zero if there was none.
func (r *Report) Of(kind string) Count {
	for _, c := range r.Kinds {
		if c.Kind == kind {
			return *c
		}
	}
	return Count{Kind: kind}
}

// See counts a record that was recognised.
func (c *Count) See() { c.Seen++ }

// Use counts a record whose content has gone into the draft.
func (c *Count) Use() { c.Used++ }

// Explain counts a record that was not used, and why. The reason is one of few
// fixed texts; what is special about this record goes into a note.
func (c *Count) Explain(line int, why string) {
	c.Explained++
	r := c.reason(why)
	r.Count++
	if len(r.Lines) < linesPerReason {
		r.Lines = append(r.Lines, line)
	}
}

func (c *Count) reason(text string) *Reason {
	for _, r := range c.Reasons {
		if r.Text == text {
			return r
		}
	}
	r := &Reason{Text: text}
	c.Reasons = append(c.Reasons, r)
	return r
}

// Add keeps a complaint, under the file's name, unless there are many of its
// code already: then it is only counted.
func (r *Report) Add(d diag.Diagnostic) {
	d.File = r.File
	if !r.Full(d.Code) {
		r.Notes = append(r.Notes, d)
		return
	}
	for i := range r.Left {
		if r.Left[i].Code == d.Code {
			r.Left[i].Count++
			return
		}
	}
	r.Left = append(r.Left, Left{Code: d.Code, Count: 1})
}

// Totals adds up all kinds.
func (r *Report) Totals() (seen, used, explained int) {
	for _, c := range r.Kinds {
		seen += c.Seen
		used += c.Used
		explained += c.Explained
	}
	return seen, used, explained
}

// Balanced reports, as an error, any kind whose records are not all used or
// explained, and lines of the file that no kind has counted.
func (r *Report) Balanced() error {
	for _, c := range r.Kinds {
		if c.Seen != c.Used+c.Explained {
			return fmt.Errorf("%s: %s: %d records read, %d used and %d explained",
				r.File, c.Kind, c.Seen, c.Used, c.Explained)
		}
		reasons := 0
		for _, why := range c.Reasons {
			reasons += why.Count
		}
		if reasons != c.Explained {
			return fmt.Errorf("%s: %s: %d records explained, by reasons for %d",
				r.File, c.Kind, c.Explained, reasons)
		}
	}
	if seen, _, _ := r.Totals(); seen != r.Lines {
		return fmt.Errorf("%s: %d lines read, %d of them counted by kind", r.File, r.Lines, seen)
	}
	return nil
}

// Full reports whether no more complaints of a code are kept, so that wording
// another one is wasted.
func (r *Report) Full(code string) bool {
	same := 0
	for i := range r.Notes {
		if r.Notes[i].Code == code {
			same++
		}
	}
	return same >= notesPerCode
}
