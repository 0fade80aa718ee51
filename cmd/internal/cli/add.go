package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"netlore/importers"
	"netlore/importers/record"
	"netlore/query/diag"
	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

type addOptions struct {
	name, revision string
	stack          string
	unit           string
	licence        string
	correct        bool
	replace        bool
	dryRun         bool
}

// newAdd makes `netlore add`.
func newAdd(a *app) *cobra.Command {
	var opt addOptions
	cmd := &cobra.Command{
		Use:   "add FILE|FOLDER|-...",
		Short: "put boards, or what is known of them, into the knowledge base",
		Long: `Add reads sheets, IPC-D-356 netlists and tables (CSV: placement, BOM, pads,
nets, pins, readings, expected values) and puts what they say into the knowledge
base. What a file is, is told by its content. Netlists and tables given together
are read as one board; a sheet says itself what it is about.

All is added, or nothing. What contradicts the base is told with both places;
--correct lets the new statement win, --replace withdraws besides whatever the
new files do not say of the board's structure. Adding the same again is harmless.`,
		Example: "  netlore add board.d356 placement.csv bom.csv --board Heron-A --rev 3\n  netlore add readings.lore",
		Args:    atLeast(1, "name the files to add"),
		RunE:    func(cmd *cobra.Command, args []string) error { return runAdd(cmd.Context(), a, opt, args) },
	}
	f := cmd.Flags()
	f.StringVar(&opt.name, "board", "", "the board that the files are about, if they do not say so")
	f.StringVar(&opt.revision, "rev", "", "its revision")
	f.StringVar(&opt.stack, "stack", "", "the stack that sheets are about, if they do not say so")
	f.StringVar(&opt.unit, "unit", "", "the unit of lengths, if the file does not say so or is wrong: mm, mil or inch")
	f.StringVar(&opt.licence, "licence", "", "licence of what is added, as an SPDX identifier")
	f.BoolVar(&opt.correct, "correct", false, "where the new contradicts the old, the new holds")
	f.BoolVar(&opt.replace, "replace", false, "the new is all there is to say of the board's structure")
	f.BoolVar(&opt.dryRun, "dry-run", false, "tell what would be added, and add nothing")
	cmd.MarkFlagsMutuallyExclusive("correct", "replace")
	return cmd
}

func runAdd(ctx context.Context, a *app, opt addOptions, args []string) error {
	unit, err := lengthUnit(opt.unit)
	if err != nil {
		return err
	}
	found, err := a.sources(args)
	if err != nil {
		return err
	}
	loads, err := a.sort(found)
	if err != nil {
		return err
	}
	var files []*sheet.File
	if len(loads.foreign) > 0 {
		file, err := a.importBoard(ctx, loads.foreign, opt, unit)
		if err != nil {
			return err
		}
		files = append(files, file)
	}
	sheets, err := a.parseSheets(loads.sheets)
	if err != nil {
		return err
	}
	additions, err := bySubject(append(files, sheets...), opt)
	if err != nil {
		return err
	}
	for i := range additions {
		additions[i].Author, additions[i].Licence, additions[i].Mode = a.author(), opt.licence, opt.mode()
	}
	return a.store(ctx, additions, opt.dryRun)
}

func (o addOptions) mode() store.Mode {
	switch {
	case o.correct:
		return store.Correct
	case o.replace:
		return store.Replace
	}
	return store.Union
}

func lengthUnit(word string) (record.Length, error) {
	switch word {
	case "":
		return record.AsStated, nil
	case "mm":
		return record.Millimetre, nil
	case "mil":
		return record.Mil, nil
	case "inch", "in":
		return record.Inch, nil
	}
	return 0, fmt.Errorf("%q is no unit of lengths; --unit takes mm, mil or inch", word)
}

// loads are the files of one command, told apart by content.
type loads struct {
	sheets  []loaded
	foreign []importers.Input
}

type loaded struct {
	name string
	text []byte
}

// sort reads the head of every file and tells sheets from foreign formats.
func (a *app) sort(sources []source) (loads, error) {
	var l loads
	var bad diag.List
	for _, s := range sources {
		input, err := a.input(s)
		if err != nil {
			return l, fail(exitInput, err)
		}
		kind, why, err := detect(input)
		switch {
		case err != nil:
			return l, fail(exitInput, fileError(s.Name, err))
		case kind == importers.Sheet:
			text, err := slurp(input)
			if err != nil {
				return l, fail(exitInput, fileError(s.Name, err))
			}
			l.sheets = append(l.sheets, loaded{s.Name, text})
		case kind == importers.Readable:
			l.foreign = append(l.foreign, input)
		default:
			why.File = s.Name
			bad = append(bad, why)
		}
	}
	if len(bad) > 0 {
		return l, fail(exitInput, bad)
	}
	return l, nil
}

// input makes an importer's input of a source. Standard input is read whole,
// for it can be read only once.
func (a *app) input(s source) (importers.Input, error) {
	if s.Path != stdin {
		in := record.File(s.Path)
		in.Name = s.Name
		return in, nil
	}
	text, err := everything(a.In, s.Name)
	return record.Text(s.Name, text), err
}

func detect(in importers.Input) (importers.Kind, diag.Diagnostic, error) {
	file, err := in.Open()
	if err != nil {
		return 0, diag.Diagnostic{}, err
	}
	defer file.Close()
	head := make([]byte, record.HeadSize)
	n, err := io.ReadFull(file, head)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return 0, diag.Diagnostic{}, err
	}
	d := importers.Detect(head[:n])
	return d.Kind, d.Why, nil
}

func slurp(in importers.Input) ([]byte, error) {
	file, err := in.Open()
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return everything(file, in.Name)
}

func (a *app) parseSheets(loads []loaded) ([]*sheet.File, error) {
	var files []*sheet.File
	var all diag.List
	for _, l := range loads {
		file, list := sheet.Parse(l.name, l.text)
		files, all = append(files, file), append(all, list...)
	}
	if all.HasErrors() {
		return nil, fail(exitInput, all)
	}
	a.complain(all)
	return files, nil
}

// importBoard reads foreign files into one board and makes a sheet of it.
func (a *app) importBoard(ctx context.Context, files []importers.Input, opt addOptions, unit record.Length) (*sheet.File, error) {
	progress := newProgress(a, "reading")
	result, err := importers.Import(ctx, files, importers.Options{
		Board: board.Ref{Name: opt.name, Revision: opt.revision}, Length: unit, Progress: progress.bytes})
	progress.done()
	if err != nil {
		return nil, importError(err)
	}
	a.complain(result.Notes)
	for i := range result.Reports {
		a.report(&result.Reports[i])
	}
	content := &sheet.Content{Board: result.Board, Knowledge: result.Knowledge}
	names := make([]string, len(files))
	for i, f := range files {
		names[i] = f.Name
	}
	file, list := sheet.Parse(strings.Join(names, " + "), sheet.Write(content))
	if list.HasErrors() {
		return nil, fail(exitInput, list)
	}
	return file, nil
}

func importError(err error) error {
	if errors.Is(err, context.Canceled) {
		return err
	}
	return fail(exitInput, err)
}

// report tells how the records of a file were accounted for.
func (a *app) report(r *importers.Report) {
	a.complain(r.Notes)
	seen, used, explained := r.Totals()
	fmt.Fprintf(a.Err, "%s: %s, %s: %d used, %d explained\n", r.File, r.Format, plural(seen, "record"), used, explained)
	for _, k := range r.Kinds {
		for _, why := range k.Reasons {
			fmt.Fprintf(a.Err, "  %s (%s): %d %s (%s)\n", k.Kind, k.Note, why.Count, why.Text, someLines(why.Lines, why.Count))
		}
	}
	for _, l := range r.Left {
		fmt.Fprintf(a.Err, "  %s: %d more like it\n", l.Code, l.Count)
	}
}

// someLines lists the first few line numbers.
func someLines(lines []int, count int) string {
	const most = 5
	var s strings.Builder
	s.WriteString("line ")
	for i, n := range lines[:min(most, len(lines))] {
		if i > 0 {
			s.WriteString(", ")
		}
		fmt.Fprint(&s, n)
	}
	if count > most {
		s.WriteString(" …")
	}
	return s.String()
}

// bySubject makes one addition of the sheets of each subject.
func bySubject(files []*sheet.File, opt addOptions) ([]store.Addition, error) {
	var all []store.Addition
	for _, group := range sheet.BySubject(files...) {
		subject, ok := subjectOf(group, opt)
		if !ok {
			return nil, fail(exitInput, hint(fmt.Errorf("%s does not say which board or stack it is about", group[0].Name()),
				"put a line such as `board Heron-A rev 3` at its top, or add it with --board Heron-A --rev 3"))
		}
		all = append(all, store.Addition{Subject: subject, Files: group})
	}
	return all, nil
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

// store adds, or tells what adding would do.
func (a *app) store(ctx context.Context, additions []store.Addition, dryRun bool) error {
	return a.writing(ctx, func(base *store.Base) error {
		add := base.Add
		if dryRun {
			add = base.Preview
		}
		results, err := add(ctx, additions...)
		var contradictions diag.List
		if errors.As(err, &contradictions) {
			return fail(exitInput, contradictions)
		}
		if err != nil {
			return err
		}
		for _, r := range results {
			if err := a.added(r, dryRun); err != nil {
				return err
			}
		}
		return nil
	})
}

func (a *app) added(r store.Result, dryRun bool) error {
	if a.json {
		writeJSON(a.Out, map[string]any{"subject": r.Subject.String(), "new": r.New, "known": r.Known, "withdrawn": r.Withdrawn, "hash": r.Hash, "dry_run": dryRun})
		return nil
	}
	would := "added"
	if dryRun {
		would = "would be added"
	}
	line := fmt.Sprintf("%s: %s %s", r.Subject, plural(r.New, "statement"), would)
	if r.Known > 0 {
		line += fmt.Sprintf(", %d known already", r.Known)
	}
	if r.Withdrawn > 0 {
		line += fmt.Sprintf(", %d withdrawn", r.Withdrawn)
	}
	return a.printf("%s\n", line)
}

// progress tells a person at a terminal how far a long run is, from one second
// on. It writes to the error stream and leaves nothing behind.
type progress struct {
	app    *app
	what   string
	start  time.Time
	last   time.Time
	onLine bool
}

func newProgress(a *app, what string) *progress {
	return &progress{app: a, what: what, start: time.Now()}
}

func (p *progress) bytes(n int64) {
	p.show(func() string { return fmt.Sprintf("%s: %.1f MB", p.what, float64(n)/1e6) })
}

func (p *progress) show(text func() string) {
	now := time.Now()
	if !p.app.ErrTerminal || now.Sub(p.start) < time.Second || now.Sub(p.last) < 100*time.Millisecond {
		return
	}
	p.last, p.onLine = now, true
	fmt.Fprintf(p.app.Err, "\r\x1b[K%s", text())
}

func (p *progress) done() {
	if p.onLine {
		fmt.Fprint(p.app.Err, "\r\x1b[K")
	}
}
