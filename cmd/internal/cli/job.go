package cli

import (
	"cmp"
	"context"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"netlore/store"
)

// newJob makes `netlore job`.
func newJob(a *app) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "job",
		Short: "list the jobs on the bench, or work on one",
		Long: `Job lists the jobs: open ones first, then those that are done. A job is one
device on the bench, with every step taken, in order: what was measured, seen,
taped, lifted or taken off. Each step is on disk before it is reported.

  netlore job open --of Heron 'dead after a fall' --supply 4V --limit 2.5A
  netlore job log 1 'draw 2.4A'
  netlore job log 1 'reading diode upper:VMAIN 3mV'
  netlore job log 1 separated
  netlore job show 1
  netlore job close 1 --culprit lower:C4103 --outcome repaired`,
		Args: noSuchOn("jobs", "netlore job show %s shows a job"),
		RunE: func(cmd *cobra.Command, _ []string) error { return runJobs(cmd.Context(), a) },
	}
	for _, c := range []*cobra.Command{newJobOpen(a), newJobShow(a), newJobLog(a), newJobUndo(a), newJobClose(a), newJobReopen(a), newJobPrivate(a)} {
		c.DisableFlagsInUseLine = true
		cmd.AddCommand(c)
	}
	return cmd
}

func runJobs(ctx context.Context, a *app) error {
	return a.reading(ctx, func(base *store.Base) error {
		all, err := base.Jobs(ctx)
		if err != nil {
			return err
		}
		if a.json {
			for _, j := range openFirst(all) {
				writeJSON(a.Out, map[string]any{"job": j.ID, "of": j.Of, "on": homeNames(j.Homes), "symptom": j.Symptom,
					"opened": timeJSON(j.Opened), "closed": timeJSON(j.Closed), "outcome": j.Outcome, "steps": j.Steps})
			}
			return nil
		}
		if len(all) == 0 {
			return a.print("no job is on the bench yet; netlore job open 'SYMPTOM' opens one\n")
		}
		t := newText(a, "job", "device", "symptom", "opened", "steps", "state")
		t.numbers(5, 5)
		for _, j := range openFirst(all) {
			t.row(j.ID, deviceOf(j.Of, j.Homes), j.Symptom, date(j.Opened), j.Steps, jobState(j.Closed, j.Outcome))
		}
		return t.print()
	})
}

// openFirst puts the jobs that are open before those that are closed.
func openFirst(all []store.JobLine) []store.JobLine {
	slices.SortStableFunc(all, func(x, y store.JobLine) int {
		return cmp.Compare(closedRank(x), closedRank(y))
	})
	return all
}

func closedRank(j store.JobLine) int {
	if j.Closed.IsZero() {
		return 0
	}
	return 1
}

// deviceOf is what a job is on.
func deviceOf(of string, homes []store.Subject) string {
	if of == "" && len(homes) > 0 {
		return homes[0].Ref.String()
	}
	return of
}

// homeNames are the boards and stacks in whose sheets a job stands.
func homeNames(homes []store.Subject) []string {
	all := []string{}
	for _, h := range homes {
		all = append(all, h.String())
	}
	return all
}

// jobState is "open", or when the job was closed and how it ended.
func jobState(closed time.Time, outcome string) string {
	switch {
	case closed.IsZero():
		return "open"
	case outcome == "":
		return "closed " + date(closed)
	}
	return "closed " + date(closed) + ", " + outcome
}

// date is empty for a day that is not known.
func date(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}

// timeJSON is null for a time that is not known.
func timeJSON(t time.Time) any {
	if t.IsZero() {
		return nil
	}
	return t
}
