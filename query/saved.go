package query

import (
	"fmt"
	"slices"
	"strings"

	"netlore/query/check"
	"netlore/query/diag"
	"netlore/query/syntax"
	"netlore/query/words"
	"netlore/store/board"
)

// SavedFile stands before the name of a saved question where a complaint names
// it as its file.
const SavedFile = "saved question "

// CheckSaved finds what is wrong with a question that is to be saved among
// others, as far as that can be told without a board. Places count in its text;
// a complaint about the text of another saved question names that as its file.
func CheckSaved(q board.SavedQuestion, others []board.SavedQuestion) diag.List {
	return NewSaved(append([]board.SavedQuestion{q}, others...)).Check(q)
}

// Saved is saved questions that may ask for each other. Of those with one name
// the first counts.
type Saved struct {
	shelf *syntax.Shelf
	texts map[string]string
}

// NewSaved makes saved questions ready to be looked at.
func NewSaved(all []board.SavedQuestion) *Saved {
	s := &Saved{syntax.NewShelf(all), make(map[string]string, len(all))}
	for _, q := range all {
		if _, twice := s.texts[q.Name]; !twice {
			s.texts[q.Name] = q.Text
		}
	}
	return s
}

// Check is CheckSaved of one of the questions.
func (s *Saved) Check(q board.SavedQuestion) diag.List {
	if list := checkName(q); list != nil {
		return list
	}
	tree, list := s.shelf.Parse(q.Text)
	if list != nil {
		return list
	}
	list = append(checkParameters(q), checkPlan(q, tree)...)
	asked := asking(q)
	tree, whole, more := expand(s.shelf, asked)
	if tree != nil {
		_, more = check.Check(whole, tree, nowhere())
	}
	return append(list, s.about(q, more)...).Sort()
}

// Use is where a question asks for a saved one: its name, and bytes of the text.
type Use = syntax.Use

// Reads reports whether a text can be read.
func (s *Saved) Reads(text string) bool { return s.shelf.Parses(text) }

// Asks are the places where a text asks for one of the questions; none if it
// cannot be read.
func (s *Saved) Asks(text string) []Use {
	tree, list := s.shelf.Parse(text)
	if list != nil {
		return nil
	}
	return tree.Asks()
}

// expand reads and expands a question that was put together here.
func expand(shelf *syntax.Shelf, text string) (*syntax.Question, string, diag.List) {
	tree, list := shelf.Parse(text)
	if list != nil {
		return nil, text, list
	}
	return syntax.Expand(text, tree)
}

// asking is the saved question as it is asked, with its parameters for values.
func asking(q board.SavedQuestion) string {
	if len(q.Parameters) == 0 {
		return q.Name
	}
	return q.Name + " for $" + strings.Join(q.Parameters, ", $")
}

// nowhere is what a saved question is checked against: a board of which
// everything could be true.
func nowhere() *check.Scope {
	return &check.Scope{Lenient: true, Members: []check.Member{{Board: board.NewBuilder(board.Ref{}).Build()}}}
}

// ofBoards are the codes that depend on what is asked.
var ofBoards = []string{"Q33", "Q55", "Q60"}

// about leaves of the complaints about a question that was asked with its
// parameters for values those that do not depend on values or boards.
func (s *Saved) about(q board.SavedQuestion, list diag.List) diag.List {
	var kept diag.List
	for _, d := range list {
		name, saved := strings.CutPrefix(d.File, SavedFile)
		if !saved || d.Severity != diag.Error || slices.Contains(ofBoards, d.Code) {
			continue // in what was asked stand the parameters
		}
		if _, ok := syntax.Parameter(s.texts[name][d.Range.Start:d.Range.End]); ok && d.Code != "Q86" {
			continue
		}
		if name == q.Name {
			d.File = ""
		}
		d.Related = slices.DeleteFunc(d.Related, func(r diag.Related) bool { return r.File == "" }) // what was asked is made up
		kept = append(kept, d)
	}
	return kept
}

// checkName refuses names that the language has a use for.
func checkName(q board.SavedQuestion) diag.List {
	_, adjective := words.AdjectiveByWord(q.Name)
	switch {
	case !board.SavedName(q.Name):
		d := complain("Q89", fmt.Sprintf("%s is no name of a saved question; it is a small letter, then small letters, digits, - and _", diag.Quote(q.Name)))
		if low := strings.ToLower(q.Name); board.SavedName(low) {
			d[0].Help = []string{"did you mean " + low + "?"}
		}
		return d
	case adjective || words.IsNoun(q.Name) || words.DutyOf(q.Name) != words.Free || syntax.Begins(q.Name) || shellWords[q.Name]:
		return complain("Q89", q.Name+" is a word of the language already; a saved question needs another name")
	}
	return nil
}

// checkParameters wants every parameter in the text, and no other.
func checkParameters(q board.SavedQuestion) diag.List {
	used := syntax.ParametersOf(q.Text)
	var list diag.List
	for _, p := range q.Parameters {
		if !slices.Contains(used, p) {
			list = append(list, complain("Q86", "the question does not use its parameter $"+p)...)
		}
	}
	return list
}

// checkPlan refuses what is asked about a question, not by one.
func checkPlan(q board.SavedQuestion, tree *syntax.Question) diag.List {
	if !tree.Plan {
		return nil
	}
	d := diag.Diagnostic{Code: "Q88", Range: diag.Range{End: len("plan of")}, Message: "a plan is asked of a saved question, not saved with it",
		Help: []string{"save the question, then ask: plan of (" + q.Name + ")"}}
	return diag.List{d.At(q.Text)}
}

// Reading tells what a saved question comes to once those that it asks for are
// put in their places. It is the text itself if there are none, or if it cannot
// be read.
func Reading(q board.SavedQuestion, all []board.SavedQuestion) string {
	tree, _, list := expand(syntax.NewShelf(all), asking(q))
	if list != nil {
		return q.Text
	}
	return tree.Reading()
}

// Uses are the names of the saved questions that a question asks for itself.
func Uses(text string, all []board.SavedQuestion) []string {
	tree, list := syntax.NewShelf(all).Parse(text)
	if list != nil {
		return nil
	}
	return tree.Uses()
}
