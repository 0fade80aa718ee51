package cli

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"netlore/cmd/internal/saved"
	"netlore/query/diag"
	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

// bySubject makes one addition of the sheets of each subject.
func bySubject(files []*sheet.File, opt addOptions) ([]store.Addition, error) {
	var all []store.Addition
	for _, group := range sheet.BySubject(withBoards(files)...) {
		subject, ok := subjectOf(group, opt)
		if !ok {
			return nil, fail(exitInput, hint(fmt.Errorf("%s does not say which board or stack it is about", group[0].Name()),
				"put a line such as `board Heron-A rev 3` at its top, or add it with --board Heron-A --rev 3"))
		}
		all = append(all, store.Addition{Subject: subject, Files: group})
	}
	if err := needed(all, opt); err != nil {
		return nil, err
	}
	return append(all, sharedIn(files)...), nil
}

// withBoards leaves out the files that hold nothing but saved questions,
// meters and chances, which are about no board.
func withBoards(files []*sheet.File) []*sheet.File {
	return slices.DeleteFunc(slices.Clone(files), (*sheet.File).OnlyShared)
}

// sharedIn makes one addition of the saved questions of all sheets, one of the
// meters and one of the chances.
func sharedIn(files []*sheet.File) (all []store.Addition) {
	for _, of := range []struct {
		kind    string
		subject store.Subject
	}{{"question", store.QuestionsSubject()}, {"meter", store.MetersSubject()}, {"chance", store.ChancesSubject()}} {
		var some []*sheet.File
		for _, f := range files {
			if f.Has(of.kind) {
				some = append(some, f)
			}
		}
		if some != nil {
			all = append(all, store.Addition{Subject: of.subject, Files: some})
		}
	}
	return all
}

// needed is an error if the user names a board or stack that no file is about.
func needed(all []store.Addition, opt addOptions) error {
	for _, o := range []struct{ option, name string }{{"--board", opt.name}, {"--stack", opt.stack}} {
		about := func(a store.Addition) bool { return a.Subject.Ref.Name == o.name }
		if o.name != "" && len(all) == 0 {
			return fail(exitInput, fmt.Errorf("%s %s does not go with these files, which hold saved questions, meters or chances only: they are about no board", o.option, o.name))
		}
		if o.name != "" && !slices.ContainsFunc(all, about) {
			return fail(exitInput, hint(fmt.Errorf("%s %s does not go with these files, which say themselves what they are about: %s",
				o.option, o.name, all[0].Subject), "leave it out, or change the line at the top of the file"))
		}
	}
	return nil
}

// subjectOf is what sheets are about: by their own word, or as the user says.
func subjectOf(group []*sheet.File, opt addOptions) (store.Subject, bool) {
	var said sheet.Subject
	for _, f := range group {
		if s := f.Subject(); !said.Known() || said.Board.Revision == "" && s.Board.Revision != "" {
			said = s
		}
	}
	switch {
	case said.Stack != "":
		return store.StackSubject(said.Stack), true
	case said.Known():
		return store.BoardSubject(said.Board), true
	case opt.stack != "":
		return store.StackSubject(opt.stack), true
	}
	return store.BoardSubject(board.Ref{Name: opt.name, Revision: opt.revision}), opt.name != ""
}

// store adds to the base.
func (a *app) store(ctx context.Context, additions []store.Addition, made imported) error {
	return a.writing(ctx, func(base *store.Base) error {
		p := newProgress(a, "adding")
		results, err := base.Add(ctx, additions...)
		p.done()
		if err != nil {
			return refused(err)
		}
		if err := errors.Join(a.added(results, "added"), a.doubt(ctx, base, additions)); err != nil || made.board == nil {
			return err
		}
		// Sheets that were added with it, or before, may have said more.
		whole, err := base.Board(ctx, made.board.Ref)
		if err != nil {
			return err
		}
		return a.lacking(made, whole)
	})
}

// doubt warns of readings that cannot be, and of saved questions that were added
// and cannot be asked. They are kept: what they ask for may be added later.
func (a *app) doubt(ctx context.Context, base *store.Base, additions []store.Addition) error {
	a.complain(doubtful(additions).Sort())
	i := slices.IndexFunc(additions, func(add store.Addition) bool { return add.Subject.Questions })
	if i < 0 {
		return nil
	}
	all, err := base.Catalogue(ctx)
	if err != nil {
		return err
	}
	list := saved.Check(additions[i].Files, all.Questions)
	for i := range list {
		list[i].Severity = diag.Warning
	}
	a.complain(list.Sort())
	return nil
}

// doubtful are the readings in sheets that no meter shows.
func doubtful(additions []store.Addition) (list diag.List) {
	var files []*sheet.File
	for _, add := range additions {
		for _, f := range add.Files {
			if !slices.Contains(files, f) && (f.Has("reading") || f.Has("job")) {
				files = append(files, f)
			}
		}
	}
	return slices.DeleteFunc(sheet.CheckAll(files...), func(d diag.Diagnostic) bool { return d.Code != "S420" })
}

// preview tells what adding would do. It changes nothing: where there is no
// base yet, none is made.
func (a *app) preview(ctx context.Context, additions []store.Addition, made imported) error {
	tell := func(base *store.Base) error {
		p := newProgress(a, "comparing")
		results, err := base.Preview(ctx, additions...)
		p.done()
		if err != nil {
			return refused(err)
		}
		if err := a.added(results, "would be added"); err != nil || made.board == nil {
			return err
		}
		held, err := base.Board(ctx, made.board.Ref)
		if err != nil {
			held = &board.Board{} // it is new
		}
		return a.lacking(made, held)
	}
	err := a.reading(ctx, tell)
	if !errors.Is(err, store.ErrNoBase) {
		return err
	}
	empty := store.OpenMemory(a.now)
	defer empty.Close()
	return tell(empty)
}

// refused gives complaints about what was given their exit code.
func refused(err error) error {
	var complaints diag.List
	if errors.As(err, &complaints) {
		return fail(exitInput, complaints)
	}
	return err
}

func (a *app) added(results []store.Result, what string) error {
	for _, r := range results {
		if r.Unread > 0 {
			a.complain(diag.List{{Code: "S501", Severity: diag.Warning, Message: "left out of the knowledge base: " + plural(r.Unread, "line") + " that only a newer netlore knows",
				Help: []string{"keep the file, and add it again with a newer netlore"}}})
		}
		if a.json {
			object := resultJSON(r)
			object["dry_run"] = what != "added"
			writeJSON(a.Out, object)
			continue
		}
		line := fmt.Sprintf("%s: %s %s", r.Subject, plural(r.New, "statement"), what)
		if r.Known > 0 {
			line += fmt.Sprintf(", %d known already", r.Known)
		}
		if r.Withdrawn > 0 {
			line += fmt.Sprintf(", %d withdrawn", r.Withdrawn)
		}
		if err := a.line("%s", line); err != nil {
			return err
		}
	}
	return nil
}

// resultJSON is what a change came to. The hash is empty when nothing is left.
func resultJSON(r store.Result) map[string]any {
	return map[string]any{"subject": r.Subject.String(), "new": r.New, "known": r.Known, "withdrawn": r.Withdrawn, "unread": r.Unread, "hash": r.Hash}
}

// lacking tells what an imported board lacks that questions depend on, and how
// to add it. What the base holds of the board, if anything, is in whole.
func (a *app) lacking(made imported, whole *board.Board) error {
	b := made.board
	if made.netlist && len(b.Parts)+len(whole.Parts) == 0 {
		return fail(exitFound, hint(fmt.Errorf("board %s has no parts: its netlist names none", b.Ref),
			"a table of pins (Net, RefDes, Pin) or another netlist can name them"))
	}
	if len(b.Nets) == 0 || b.HasGround() || whole.HasGround() {
		return nil
	}
	a.complain(diag.List{{Code: "S401", Severity: diag.Warning, Message: fmt.Sprintf("no net of board %s is named as ground", b.Ref),
		Help: []string{"ground is never guessed; if it is " + likelyGround(b) + ", say so: " + a.sayGround(b)}}})
	return nil
}

// sayGround is a command that names the ground of a board in the base at hand.
func (a *app) sayGround(b *board.Board) string {
	command := `printf 'netlore 1\nnet ` + likelyGround(b) + ` ground\n' | netlore add - --board ` + shellWord(b.Name)
	if b.Revision != "" {
		command += " --rev " + shellWord(b.Revision)
	}
	if a.baseDir != "" {
		command += " --base " + shellWord(a.baseDir)
	}
	return command
}

// likelyGround is the net whose name most boards have for ground, else an
// example.
func likelyGround(b *board.Board) string {
	for _, usual := range []string{"GND", "VSS", "AGND", "DGND", "PGND", "0V"} {
		for _, n := range b.Nets {
			if strings.EqualFold(n.Name, usual) {
				return board.QuoteName(n.Name)
			}
		}
	}
	return "GND"
}
