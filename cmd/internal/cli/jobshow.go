package cli

import (
	"cmp"
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"netlore/store"
	"netlore/store/board"
)

// newJobShow makes `netlore job show`.
func newJobShow(a *app) *cobra.Command {
	var private bool
	cmd := &cobra.Command{
		Use:   "show ID [--private]",
		Short: "tell the story of a job, step by step",
		Long: `Show lists the steps of a job in order, with the verdict on each reading where a
value is expected, and the state that the device is in now: halves apart, pads
taped, covers and parts off.

Who sent the device and its serial number are shown with --private only.`,
		Args:              between(1, 1, "name the job to show; netlore job lists them"),
		ValidArgsFunction: a.completeJob,
		RunE:              func(cmd *cobra.Command, args []string) error { return runJobShow(cmd.Context(), a, args[0], private) },
	}
	cmd.Flags().BoolVar(&private, "private", false, "show who sent the device, its serial number and the private remark, too")
	return cmd
}

func runJobShow(ctx context.Context, a *app, id string, private bool) error {
	return a.reading(ctx, func(base *store.Base) error {
		j, boards, err := jobOn(ctx, base, id)
		if err != nil {
			return err
		}
		var details *store.Private
		if private {
			p, err := base.Private(ctx, id)
			if err != nil {
				return err
			}
			details = &p
		}
		if a.json {
			writeJSON(a.Out, jobJSON(j, boards, details))
			return nil
		}
		return a.showJob(ctx, j, boards, details)
	})
}

func (a *app) showJob(ctx context.Context, j *store.HeldJob, boards []benchBoard, private *store.Private) error {
	facts := []string{strings.Join(benchSettings(&j.Job), ", "), "opened " + since(j.Opened) + byWhom(j.By)}
	if !j.Closed.IsZero() {
		facts = append(facts, jobState(j.Closed, j.Outcome))
	}
	if len(j.Culprits) > 0 {
		facts = append(facts, "at fault: "+culprits(j.Job))
	}
	facts = append(facts, j.Remark)
	if private != nil {
		facts = append(facts, privateFacts(private)...)
	}
	heading := titled("job "+board.QuoteName(j.ID)+" on "+deviceOf(j.Of, j.Homes), j.Symptom)
	if err := a.headed(heading, facts); err != nil {
		return err
	}
	if err := a.showSteps(ctx, j, boards); err != nil {
		return err
	}
	if err := a.print("\n"); err != nil {
		return err
	}
	return a.headed("the device now", deviceState(j.State()))
}

// benchSettings are what the supply is set to and shows.
func benchSettings(j *board.Job) []string {
	var all []string
	for _, s := range []struct {
		what string
		q    board.Quantity
	}{{"supply", j.Supply}, {"limit", j.Limit}, {"draw", j.Draw}} {
		if s.q.Known() {
			all = append(all, s.what+" "+s.q.String())
		}
	}
	return all
}

func since(t time.Time) string {
	if t.IsZero() {
		return "on a day not stated"
	}
	return date(t)
}

func byWhom(author string) string {
	if author == "" {
		return ""
	}
	return " by " + author
}

func privateFacts(p *store.Private) []string {
	var all []string
	for _, f := range []struct{ what, is string }{{"customer", p.Customer}, {"serial number", p.Serial}, {"private remark", p.Remark}} {
		if f.is != "" {
			all = append(all, f.what+": "+f.is)
		}
	}
	if all == nil {
		all = []string{"no private details are kept"}
	}
	return all
}

// showSteps lists the steps. Who did one is told where it was not the one who
// opened the job; what is not known of any step takes no column.
func (a *app) showSteps(ctx context.Context, j *store.HeldJob, boards []benchBoard) error {
	if len(j.Steps) == 0 {
		return a.line("  no steps yet")
	}
	t := newText(a, "step", "what", "verdict", "expected", "author", "time")
	t.numbers(1, 1)
	for i := range j.Steps {
		s := &j.Steps[i]
		verdict, expected := judged(boards, s)
		by := s.By
		if by == j.By {
			by = ""
		}
		t.row(s.Number, stepWords(s), verdict, expected, by, a.clock(s.When))
	}
	t.dropEmpty()
	if err := a.print("\n"); err != nil {
		return err
	}
	if err := t.print(); err != nil {
		return err
	}
	for i, why := range cannotBe(ctx, boards, j) {
		if why == "" {
			continue
		}
		if err := a.line(fmt.Sprintf("  step %d cannot be: %s", j.Steps[i].Number, why)); err != nil {
			return err
		}
	}
	return nil
}

// clock is a time of a step where the technician is; a day alone is that day
// everywhere.
func (a *app) clock(t time.Time) string {
	if t.IsZero() || t.Equal(t.Truncate(24*time.Hour)) {
		return date(t)
	}
	return t.In(a.Now().Location()).Format("2006-01-02 15:04")
}

// stepWords are the words of a step without its author and time, which have
// columns of their own.
func stepWords(s *board.Step) string {
	text := s.Text
	if s.By != "" {
		text = strings.Replace(text, " by "+board.QuoteName(s.By), "", 1)
	}
	if !s.When.IsZero() {
		for _, layout := range []string{time.DateOnly, "2006-01-02T15:04Z", "2006-01-02T15:04:05.999999999Z"} {
			if cut := strings.Replace(text+" ", " when "+s.When.UTC().Format(layout)+" ", " ", 1); cut != text+" " {
				return strings.TrimSuffix(cut, " ")
			}
		}
	}
	return text
}

// states are the words for states of a device, as steps leave them, and how they
// are told.
var states = []struct{ word, told string }{
	{"taped", "pads taped"}, {"off", "covers off"}, {"lifted", "lifted"}, {"removed", "parts off"}, {"replaced", "parts replaced"},
}

// deviceState tells the state of the device, sort by sort.
func deviceState(state []string) []string {
	var all []string
	for _, s := range state {
		if s == "separated" {
			all = append(all, "halves separated")
		}
	}
	for _, sort := range states {
		var names []string
		for _, s := range state {
			if name, ok := strings.CutSuffix(s, "-"+sort.word); ok {
				names = append(names, name)
			}
		}
		if names != nil {
			all = append(all, sort.told+": "+strings.Join(names, ", "))
		}
	}
	if all == nil {
		all = []string{"as it came"}
	}
	return all
}

// jobJSON is a job in machine form. Private details are in it only if asked for.
func jobJSON(j *store.HeldJob, boards []benchBoard, private *store.Private) map[string]any {
	steps := []map[string]any{}
	for i := range j.Steps {
		steps = append(steps, stepJSON(&j.Job, &j.Steps[i], boards))
	}
	object := map[string]any{"job": j.ID, "of": j.Of, "on": homeNames(j.Homes), "symptom": j.Symptom, "author": j.By,
		"opened": timeJSON(j.Opened), "closed": timeJSON(j.Closed), "culprits": targets(j.Culprits), "outcome": j.Outcome, "remark": j.Remark,
		"supply": quantityJSON(j.Supply), "limit": quantityJSON(j.Limit), "draw": quantityJSON(j.Draw), "steps": steps, "state": given(j.State())}
	if private != nil {
		object["private"] = map[string]string{"customer": private.Customer, "serial": private.Serial, "remark": private.Remark}
	}
	return object
}

func stepJSON(j *board.Job, s *board.Step, boards []benchBoard) map[string]any {
	verdict, expected := judged(boards, s)
	return map[string]any{"number": s.Number, "text": s.Text, "what": s.Kind.String(), "targets": targets(s.On), "author": cmp.Or(s.By, j.By),
		"time": timeJSON(s.When), "verdict": verdict, "expected": expected}
}

// quantityJSON is null for what is not known.
func quantityJSON(q board.Quantity) any {
	if !q.Known() {
		return nil
	}
	return fmt.Sprint(q)
}
