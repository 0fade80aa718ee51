package cli

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"netlore/query/check"
	"netlore/query/diag"
	"netlore/query/run"
	"netlore/store"
	"netlore/store/board"
)

type jobLogOptions struct{ anyway bool }

// newJobLog makes `netlore job log`.
func newJobLog(a *app) *cobra.Command {
	var opt jobLogOptions
	cmd := &cobra.Command{
		Use:   "log ID 'STEP'|-",
		Short: "add a step to a job: what was measured, seen or done",
		Long: `Log adds a step to a job. It is on disk before its number is printed; "netlore
job undo ID" takes the last one back. The words are those of a sheet:

  draw 2.4A   draw lower 0.1A        what the supply shows; of a half fed alone
  reading diode pad lower:P11 4mV    or ohms, volts, amps
  reading diode lower:P12 open       where the meter shows OL
  resistance upper:VMAIN 0.3ohm
  separated   joined                 the halves of the device
  tape lower:P11..P14   untape       pads between the halves
  tape lower:P11..P14 gone           and the short is gone; or still there
  cover-off lower:SH1   cover-on
  lifted upper:FB100   fitted        one end of a part off its pad, or back on
  removed lower:C4103   replaced     here, too, gone or still
  inject lower:VMAIN 1V 2A           voltage and current limit
  freeze lower:VMAIN   hot lower:C4103   cold   look
  hot nothing                        looked for heat and saw none
  note "smells burnt"

Any step takes a remark in quotes, and when and by. Names are looked up on the
boards of the job; --anyway logs one that they lack. With - the steps come from
standard input, one a line, each saved as it is read.`,
		Example:           "  netlore job log 1042 'reading diode pad lower:P11 4mV'\n  netlore job log 1042 separated",
		Args:              atLeast(1, "name the job, then say the step: netlore job log 1042 separated"),
		ValidArgsFunction: a.completeStep,
		RunE:              func(cmd *cobra.Command, args []string) error { return runJobLog(cmd.Context(), a, opt, args) },
	}
	cmd.Flags().BoolVar(&opt.anyway, "anyway", false, "log a name that the board is not known to have")
	return cmd
}

func runJobLog(ctx context.Context, a *app, opt jobLogOptions, args []string) error {
	id, step := args[0], strings.Join(args[1:], " ")
	switch {
	case step == stdin, step == "" && len(args) == 1 && !a.InTerminal:
		return a.logLines(ctx, opt, id)
	case strings.TrimSpace(step) == "":
		return hint(errors.New("say the step after the number of the job"), "netlore job log "+shellWord(id)+" separated", "netlore job log --help lists the steps")
	}
	return a.logStep(ctx, opt, id, step)
}

// logLines logs the steps of standard input, one a line. The base is open no
// longer than one takes: whoever types may take hours. A line that is wrong is
// told, and those after it are logged all the same.
func (a *app) logLines(ctx context.Context, opt jobLogOptions, id string) error {
	if err := a.reading(ctx, func(base *store.Base) error {
		j, err := base.Job(ctx, id)
		if err == nil && !j.Closed.IsZero() {
			err = fmt.Errorf("job %s %w", id, store.ErrJobClosed)
		}
		return jobError(ctx, base, id, err)
	}); err != nil {
		return err
	}
	var first error
	logged := 0
	text := questionLines(a.In)
	for line := 1; text.Scan() && ctx.Err() == nil; line++ {
		step := strings.TrimSpace(text.Text())
		if step == "" || step[0] == '#' {
			continue
		}
		logged++
		if err := a.logStep(ctx, opt, id, step); err != nil {
			first = a.told(first, inFile(err, "", line, strings.Index(text.Text(), step)))
		}
	}
	if err := text.Err(); err != nil && !errors.Is(err, context.Canceled) {
		first = a.told(first, fail(exitInput, fmt.Errorf("standard input cannot be read: %w; later steps were not logged", reason(err))))
	}
	switch err := ctx.Err(); {
	case first != nil:
		return first
	case err != nil:
		return err
	case logged == 0:
		return hint(errors.New("there is no step on standard input"), "say one: netlore job log "+shellWord(id)+" separated")
	}
	return nil
}

// logStep logs steps that belong together: all are looked at before they
// are saved, all or none, and nobody else logs one between them.
func (a *app) logStep(ctx context.Context, opt jobLogOptions, id string, steps ...string) error {
	said := make([]board.Step, len(steps))
	for i, step := range steps {
		var err error
		if said[i], err = readStep(step); err != nil {
			return err
		}
	}
	return a.withdrawing(ctx, func(base *store.Base) error {
		_, boards, err := jobOn(ctx, base, id)
		if err != nil {
			return err
		}
		for i, step := range steps {
			if err := stepProblems(boards, &said[i], step, opt.anyway); err != nil {
				return err
			}
		}
		for i, step := range steps {
			steps[i] = withRoles(boards, &said[i], step)
		}
		j, err := base.LogSteps(ctx, id, steps, a.author())
		if err != nil {
			return jobError(ctx, base, id, err)
		}
		for n := len(j.Steps) - len(steps); n < len(j.Steps); n++ {
			if err := a.logged(ctx, j, boards, n); err != nil {
				return err
			}
		}
		return nil
	})
}

// readStep reads a step. Complaints are about its own words.
func readStep(step string) (board.Step, error) {
	said, err := store.ReadStep("1", 1, step)
	var list diag.List
	if !errors.As(err, &list) {
		return said, err
	}
	return said, inText(list, step, len("  1 "))
}

// inText makes complaints about a line of a sheet ones about the words that were
// typed, which stand behind an indent in the line.
func inText(list diag.List, text string, indent int) diag.List {
	for i := range list {
		d := &list[i]
		before := d.Range.Start - (d.Column - 1) + indent
		d.File, d.Range = "", diag.Range{Start: max(0, d.Range.Start-before), End: max(0, d.Range.End-before)}
		for k := range d.Edits {
			d.Edits[k].Range.Start, d.Edits[k].Range.End = d.Edits[k].Range.Start-before, d.Edits[k].Range.End-before
		}
		*d = d.At(text)
	}
	return list
}

// stepProblems is what is wrong with a step that can be read: names that are on
// none of the boards, and values that cannot be. That a role is lacking is told
// once.
func stepProblems(boards []benchBoard, s *board.Step, step string, anyway bool) error {
	var list diag.List
	about := append(slices.Clone(s.On), s.To)
	if s.Half != "" {
		about = append(about, board.Target{Kind: board.OnBoard, Role: s.Half})
	}
	for _, t := range about {
		if t == (board.Target{}) || isTape(s) && isJoined(boards, t) {
			continue
		}
		d := targetProblem(boards, t, anyway)
		if d == nil || d.Code == "S409" && slices.ContainsFunc(list, func(told diag.Diagnostic) bool { return told.Code == d.Code }) {
			continue
		}
		list = append(list, inWords(*d, step, t.String(), cmp.Or(nameOf(t), t.Role)))
	}
	if s.Kind == board.StepNote && s.Remark == "" {
		d := diag.Diagnostic{Code: "S204", Message: "a note without text says nothing", Help: []string{`write it in quotation marks: note "smells burnt"`}}
		list = append(list, inWords(d, step, "note"))
	}
	meter := meterOf(boards, s.Meter)
	if why := cmp.Or(s.Impossible(), meter.Above(s.Mode, s.Value)); why != "" {
		d := diag.Diagnostic{Code: "S420", Message: "this cannot be: " + why, Help: []string{"look at the unit and the decimal point"}}
		list = append(list, inWords(d, step, s.Value.String()))
	}
	return list.Err()
}

func isTape(s *board.Step) bool { return s.Kind == board.StepTape || s.Kind == board.StepUntape }

// withRoles is a step that says of each name on which board it is, where only one
// of a stack has it: the cover that came off SH1 and the one that goes on
// lower:SH1 are one. Of pads that are joined to each other it is the first.
func withRoles(boards []benchBoard, s *board.Step, step string) string {
	words, remark, quoted := strings.Cut(step, `"`)
	for _, t := range append(slices.Clone(s.On), s.To) {
		if t.Role != "" || t.Name == "" {
			continue
		}
		for _, m := range boards {
			if m.role != "" && len(m.b.Find(t).Kinds) > 0 {
				words = roleBefore(words, board.QuoteName(m.role), nameOf(t))
			}
		}
	}
	if quoted {
		words += `"` + remark
	}
	if again, err := readStep(words); err != nil || len(again.On) != len(s.On) || again.Kind != s.Kind {
		return step
	}
	return words
}

// roleBefore puts a role before the first place where a name stands by itself.
func roleBefore(words, role, name string) string {
	for from := 0; ; {
		at := strings.Index(words[from:], name)
		if at < 0 {
			return words
		}
		at += from
		end := at + len(name)
		before := at == 0 || strings.ContainsRune(" ,", rune(words[at-1]))
		if before && (end == len(words) || strings.ContainsRune(" ,", rune(words[end])) || strings.HasPrefix(words[end:], "..")) {
			return words[:at] + role + ":" + words[at:]
		}
		from = end
	}
}

// inWords gives a complaint the place of the first of some words that stands in
// a step, or that of the whole step.
func inWords(d diag.Diagnostic, step string, words ...string) diag.Diagnostic {
	d.Range = diag.Range{Start: 0, End: len(step)}
	for _, w := range words {
		if at := strings.Index(step, w); at >= 0 && w != "" {
			d.Range = diag.Range{Start: at, End: at + len(w)}
			break
		}
	}
	return d.At(step)
}

// logged tells of a step that was added.
func (a *app) logged(ctx context.Context, j *store.HeldJob, boards []benchBoard, n int) error {
	s := &j.Steps[n]
	notes := cautions(boards, s)
	if why := cannotBe(ctx, boards, j)[n]; why != "" {
		notes = append(notes, "this cannot be: "+why, "logged all the same; netlore job undo "+shellWord(j.ID)+" takes it back")
	}
	if note := a.clockNote(&j.Job); note != "" && n == len(j.Steps)-1 {
		notes = append(notes, note)
	}
	if len(boards) == 0 {
		notes = append(notes, "the base does not hold "+deviceOf(j.Of, j.Homes)+", so names are not looked up")
	}
	if a.json {
		object := stepJSON(&j.Job, s, boards)
		object["job"], object["notes"] = j.ID, given(notes)
		writeJSON(a.Out, object)
		return nil
	}
	line := fmt.Sprintf("%s.%d %s", board.QuoteName(j.ID), s.Number, stepWords(s))
	if verdict, expected := judged(boards, s); verdict != "" {
		line += fmt.Sprintf(": %s, expected %s", verdict, expected)
	}
	return a.headed(line, notes)
}

// cannotBe says of each step why it cannot have been made so.
func cannotBe(ctx context.Context, boards []benchBoard, j *store.HeldJob) []string {
	if len(boards) == 0 {
		return make([]string, len(j.Steps))
	}
	scope := check.Scope{Joins: boards[0].joins}
	for _, m := range boards {
		scope.Members = append(scope.Members, check.Member{Role: m.role, Board: m.b})
	}
	if home := j.Homes[0]; home.Stack && boards[0].role == "" {
		scope.Members[0].InStack = home.Ref.Name // which the base does not hold
	}
	return run.CannotBe(ctx, &scope, &j.Job)
}

// clockNote tells that the last step has a time that cannot be right beside the
// others, or is still to come.
func (a *app) clockNote(j *board.Job) string {
	n := len(j.Steps)
	s := &j.Steps[n-1]
	switch {
	case s.When.IsZero():
		return ""
	case s.When.After(a.now().Add(24 * time.Hour)):
		return "by the clock of this computer (" + a.clock(a.now()) + ") this is still to come"
	case n > 1 && s.When.Before(j.Steps[n-2].When):
		return fmt.Sprintf("the clock says that this was before step %d (%s); the order of the steps counts", j.Steps[n-2].Number, a.clock(j.Steps[n-2].When))
	}
	return ""
}

// cautions are the usual ones before a voltage is put on a dead board.
func cautions(boards []benchBoard, s *board.Step) []string {
	switch s.Kind {
	case board.StepFreeze:
		return run.FreezerCautions
	case board.StepInject:
	default:
		return nil
	}
	all := []string{"battery unplugged first, capacitors discharged; a current limit is set before the leads touch"}
	for _, t := range s.On {
		for _, m := range boards {
			found := m.b.Find(t)
			if t.Role != "" && t.Role != m.role || found.Net == board.None {
				continue
			}
			net := &m.b.Nets[found.Net]
			switch {
			case !net.Volts.Known():
				all = append(all, "what "+net.Name+" is rated for is not known: never more than the rail has in use")
			case s.Volts.Known() && s.Volts.Compare(net.Volts) > 0:
				all = append(all, fmt.Sprintf("STOP: %s is rated for %s, and %s is more", net.Name, net.Volts, s.Volts))
			default:
				all = append(all, fmt.Sprintf("never above what the rail is rated for: %s has %s", net.Name, net.Volts))
			}
		}
	}
	return append(all, "eyes protected, wrist strap on; parts get hot: draw off fumes, keep freezer spray and solvents away",
		"the maker's instructions and local rules come first; leave to trained people what is theirs")
}
