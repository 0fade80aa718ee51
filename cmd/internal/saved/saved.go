// Package saved finds what is wrong with the saved questions of sheets, and
// where they ask for each other.
package saved

import (
	"slices"
	"strings"

	"netlore/query"
	"netlore/query/diag"
	"netlore/store/board"
	"netlore/store/sheet"
)

// In is the saved questions of sheets, in the order of the sheets.
func In(files []*sheet.File) (all []board.SavedQuestion) {
	for _, f := range files {
		for _, q := range f.Questions() {
			all = append(all, q.SavedQuestion)
		}
	}
	return all
}

// Check finds what is wrong with the saved questions of sheets, in their places
// there. They may ask for those that are held besides, unless the sheets have
// others of these names.
func Check(files []*sheet.File, held []board.SavedQuestion) diag.List {
	places := map[string]sheet.Question{}
	for _, f := range slices.Backward(files) {
		for _, q := range slices.Backward(f.Questions()) {
			places[q.Name] = q
		}
	}
	if len(places) == 0 {
		return nil
	}
	all := query.NewSaved(append(In(files), held...))
	var found diag.List
	for _, f := range files {
		for _, q := range f.Questions() {
			if first := places[q.Name]; first.Text != q.Text {
				continue // the sheets contradict each other, which is told with them
			}
			for _, d := range all.Check(q.SavedQuestion) {
				found = append(found, inSheet(d, q, places))
			}
		}
	}
	return found
}

// inSheet leads a complaint about a saved question, or about one that it asks
// for, to the place in a sheet. What is wrong with one that no sheet has is told
// where that is asked for.
func inSheet(d diag.Diagnostic, q sheet.Question, places map[string]sheet.Question) diag.Diagnostic {
	for i, r := range d.Related {
		if of, ok := inSome(r.File, q, places); ok {
			at := of.Place(diag.Diagnostic{Range: diag.Range{Start: r.Column - 1, End: r.Column - 1}, Line: r.Line})
			d.Related[i] = diag.Related{File: at.File, Range: at.Range, Line: at.Line, Column: at.Column, Excerpt: at.Excerpt, Before: at.Before, Message: r.Message}
		}
	}
	of, ok := inSome(d.File, q, places)
	if !ok {
		return q.Place(diag.Diagnostic{Code: d.Code, Message: d.Error()})
	}
	return of.Place(d)
}

// inSome is the question that a complaint names as its file: q itself if it
// names none.
func inSome(file string, q sheet.Question, places map[string]sheet.Question) (sheet.Question, bool) {
	name, saved := strings.CutPrefix(file, query.SavedFile)
	if !saved {
		return q, true
	}
	of, ok := places[name]
	return of, ok
}

// Uses are the places of a sheet where saved questions ask for others, in their
// order.
func Uses(f *sheet.File, all *query.Saved) (found []sheet.Mention) {
	for _, q := range f.Questions() {
		for _, u := range all.Asks(q.Text) {
			found = append(found, sheet.Mention{Sort: sheet.QuestionSort, Name: u.Name, At: q.InFile(u.At)})
		}
	}
	return found
}
