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
	if list := checkName(q); list != nil {
		return list
	}
	shelf := syntax.NewShelf(append([]board.SavedQuestion{q}, others...))
	tree, list := shelf.Parse(q.Text)
	if list != nil {
		return list
	}
	list = append(checkParameters(q), checkPlan(q, tree)...)
	asked := asking(q)
	tree, whole, more := expand(shelf, asked)
	if tree != nil {
		_, more = check.Check(whole, tree, nowhere())
	}
	return append(list, aboutSaved(q, others, more)...).Sort()
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

// aboutSaved leaves of the complaints about a question that was asked with its
// parameters for values those that do not depend on values or boards.
func aboutSaved(q board.SavedQuestion, others []board.SavedQuestion, list diag.List) diag.List {
	texts := map[string]string{}
	for _, one := range append(others[:len(others):len(others)], q) {
		texts[one.Name] = one.Text
	}
	var kept diag.List
	for _, d := range list {
		name, saved := strings.CutPrefix(d.File, SavedFile)
		if !saved || d.Severity != diag.Error || slices.Contains(ofBoards, d.Code) {
			continue // in what was asked stand the parameters
		}
		if _, ok := syntax.Parameter(texts[name][d.Range.Start:d.Range.End]); ok && d.Code != "Q86" {
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
