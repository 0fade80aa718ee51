package cli

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"netlore/importers"
	"netlore/query/diag"
	"netlore/store/board"
	"netlore/store/sheet"
)

// imported is what foreign files came to: a board, and the sheet that was made
// of it.
type imported struct {
	file    *sheet.File // nil if there were no foreign files
	board   *board.Board
	netlist bool // a netlist was among the files
}

func (m imported) files() []*sheet.File {
	if m.file == nil {
		return nil
	}
	return []*sheet.File{m.file}
}

// is reports whether a sheet is the one that was made here. The user has never
// seen a line of it.
func (m imported) is(f *sheet.File) bool { return f == m.file }

// importBoard reads foreign files into one board and makes a sheet of it.
func (a *app) importBoard(ctx context.Context, l loads, opt addOptions) (imported, error) {
	if len(l.foreign) == 0 {
		return imported{}, nil
	}
	progress := newProgress(a, "reading")
	result, err := importers.Import(ctx, l.foreign, importers.Options{
		Board: board.Ref{Name: opt.name, Revision: opt.revision}, Length: lengths[opt.unit], Progress: progress.bytes})
	progress.done()
	if err != nil {
		return imported{}, unreadable(err)
	}
	a.complain(result.Notes)
	for i := range result.Reports {
		a.report(&result.Reports[i])
	}
	if err := useless(result.Reports); err != nil {
		return imported{}, err
	}
	content := &sheet.Content{Board: result.Board, Knowledge: result.Knowledge}
	file, list := sheet.Parse(madeName(l.foreign), sheet.Write(content))
	if list.HasErrors() {
		return imported{}, fail(exitInput, placeless(list))
	}
	return imported{file, result.Board, l.netlist}, nil
}

// madeName names a sheet after the files that it was made of.
func madeName(files []importers.Input) string {
	if len(files) == 1 {
		return files[0].Name
	}
	var names []string
	for _, f := range files {
		names = append(names, filepath.Base(f.Name))
	}
	return strings.Join(names, " + ")
}

// placeless takes the places from complaints about a sheet that was made, for
// nobody can look them up.
func placeless(list diag.List) diag.List {
	for i := range list {
		list[i].Line, list[i].Column, list[i].Excerpt = 0, 0, ""
		for j := range list[i].Related {
			list[i].Related[j].Line = 0
		}
	}
	return list
}

// aside are the kinds of records that say nothing of the board itself.
var aside = []string{"header", "preamble", "blank", "remark", "P", "C", "999", "after 999"}

// useless is an error if there is a file of which nothing could be used.
func useless(reports []importers.Report) error {
	var problems several
	for _, r := range reports {
		seen, used := 0, 0
		for _, k := range r.Kinds {
			if !slices.Contains(aside, k.Kind) {
				seen, used = seen+k.Seen, used+k.Used
			}
		}
		if used == 0 {
			problems = append(problems, fmt.Errorf("%s: %s; nothing was added", r.File, noneOf(seen)))
		}
	}
	if len(problems) == 0 {
		return nil
	}
	return fail(exitInput, hint(problems, "the lines above say why; add the other files without it, or mend it first"))
}

func noneOf(records int) string {
	switch records {
	case 0:
		return "there is nothing in it but a head"
	case 1:
		return "its only record could not be used"
	}
	return fmt.Sprintf("not one of its %d records could be used", records)
}

// report tells how the records of a file were accounted for.
func (a *app) report(r *importers.Report) {
	a.complain(r.Notes)
	seen, used, explained := r.Totals()
	if a.json {
		writeJSON(a.Err, map[string]any{"file": r.File, "format": r.Format, "records": seen, "used": used, "explained": explained, "not_used": notUsed(r)})
		return
	}
	if used == seen {
		a.say("%s: %s, %s, all used", r.File, r.Format, plural(seen, "record"))
	} else {
		a.say("%s: %s, %s, %d used, %d not:", r.File, r.Format, plural(seen, "record"), used, explained)
	}
	for _, k := range r.Kinds {
		for _, why := range k.Reasons {
			a.say("  %s (%s): %d not used: %s (%s)", k.Kind, k.Note, why.Count, why.Text, someLines(why.Lines, why.Count))
		}
	}
	for _, l := range r.Left {
		a.say("  %s: %d more like it", l.Code, l.Count)
	}
}

// notUsed are the reasons why records were not used, each with the lines of the
// first of them.
func notUsed(r *importers.Report) []any {
	all := []any{}
	for _, k := range r.Kinds {
		for _, why := range k.Reasons {
			all = append(all, map[string]any{"kind": k.Kind, "count": why.Count, "why": why.Text, "lines": why.Lines})
		}
	}
	return all
}

// someLines lists the first few line numbers.
func someLines(lines []int, count int) string {
	const most = 5
	var numbers []string
	for _, n := range lines[:min(most, len(lines))] {
		numbers = append(numbers, fmt.Sprint(n))
	}
	text := "lines " + strings.Join(numbers, ", ")
	switch {
	case count == 1:
		text = "line " + numbers[0]
	case count > most:
		text += " …"
	}
	return text
}
