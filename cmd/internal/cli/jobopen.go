package cli

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"netlore/store"
	"netlore/store/board"
)

type jobOpenOptions struct {
	of                  string
	supply, limit, draw board.Quantity
	private             store.Private
}

// newJobOpen makes `netlore job open`.
func newJobOpen(a *app) *cobra.Command {
	var opt jobOpenOptions
	cmd := &cobra.Command{
		Use:   "open [ID] 'SYMPTOM' [--of BOARD|STACK]",
		Short: "open a job: a device has come in",
		Long: `Open opens a job for a device on the bench and prints its number: the next free
one, unless you give one. Put the symptom in quotes. Which board or stack it is,
--of tells; where the base holds only one stack, or one board, it is that.

Who sent the device and its serial number are kept apart from all else: only
"netlore job show ID --private" shows them, and no sheet, answer or export ever
holds them. What stands in the symptom is shared: leave names out of it.`,
		Example: "  netlore job open --of Heron 'dead after a fall' --supply 4V --limit 2.5A --draw 2.4A",
		Args:    between(1, 2, "say the symptom in quotes: netlore job open --of Heron 'draws amps at once'"),
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return nil, cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error { return runJobOpen(cmd.Context(), a, opt, args) },
	}
	f := cmd.Flags()
	f.Var(name("NAME", &opt.of), "of", "the board or stack on the bench: Heron, or 'Heron-A rev 3'")
	f.Var(quantity("--supply", board.Volt, "4V", &opt.supply), "supply", "voltage that the bench supply is set to")
	f.Var(quantity("--limit", board.Ampere, "2.5A", &opt.limit), "limit", "its current limit")
	f.Var(quantity("--draw", board.Ampere, "2.4A", &opt.draw), "draw", "the current that the device draws")
	privateFlags(cmd, &opt.private)
	cmd.RegisterFlagCompletionFunc("of", a.completeName)
	return cmd
}

// privateFlags are the options for what is kept of a job for the shop alone.
func privateFlags(cmd *cobra.Command, p *store.Private) {
	cmd.Flags().Var(name("TEXT", &p.Customer), "customer", "private: who sent the device")
	cmd.Flags().Var(name("TEXT", &p.Serial), "serial", "private: its serial number")
	cmd.Flags().Var(name("TEXT", &p.Remark), "private-remark", "private: whatever else is for the shop alone")
}

func runJobOpen(ctx context.Context, a *app, opt jobOpenOptions, args []string) error {
	j := board.Job{Symptom: args[len(args)-1], Supply: opt.supply, Limit: opt.limit, Draw: opt.draw, Opened: a.today(), By: a.author()}
	if len(args) == 2 {
		j.ID = args[0]
	}
	switch {
	case strings.TrimSpace(j.Symptom) == "":
		return errors.New("the symptom is empty; say what is wrong with the device")
	case len(args) == 1 && strings.Trim(j.Symptom, "0123456789") == "":
		return hint(errors.New("say the symptom as well"), fmt.Sprintf("netlore job open %s 'draws amps at once'", j.Symptom))
	case len(args) == 2 && strings.TrimSpace(j.ID) == "":
		return errors.New("the number of the job is empty; leave it out to get the next free one")
	}
	id, home, err := a.openJob(ctx, j, opt)
	if err != nil {
		return err
	}
	if a.json {
		writeJSON(a.Out, map[string]any{"job": id, "of": jobOf(home), "symptom": j.Symptom, "opened": j.Opened})
		return nil
	}
	return a.line("job %s opened on %s; netlore job log %s 'STEP' adds a step", board.QuoteName(id), home, shellWord(id))
}

// openJob opens a job; its number is the next free one if it has none.
func (a *app) openJob(ctx context.Context, j board.Job, opt jobOpenOptions) (id string, home store.Subject, err error) {
	err = a.withdrawing(ctx, func(base *store.Base) error {
		if home, err = benchSubject(base, opt.of); err != nil {
			return err
		}
		j.Of = jobOf(home)
		if id, err = base.OpenJob(ctx, j, home, opt.private, a.author()); err != nil {
			return jobError(ctx, base, j.ID, err)
		}
		return nil
	})
	return id, home, err
}

// jobOf is how a job names what it is on.
func jobOf(home store.Subject) string {
	if home.Ref.Revision != "" {
		return home.Ref.String()
	}
	return home.Ref.Name
}

// today is the date of the day, as sheets have it.
func (a *app) today() time.Time {
	now := a.now()
	return time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, time.UTC)
}

// benchSubject is the board or stack that a user says is on the bench, or the
// only one that it can be.
func benchSubject(base *store.Base, of string) (store.Subject, error) {
	if of != "" {
		name, revision, err := named([]string{of})
		if err != nil {
			return store.Subject{}, err
		}
		s, err := find(base, name, revision)
		if err == nil && s.Shared() {
			err = fail(exitUsage, errors.New("--of takes a board or a stack"))
		}
		return s, err
	}
	all, err := base.Subjects()
	if err != nil {
		return store.Subject{}, err
	}
	var boards, stacks []store.Subject
	for _, s := range all {
		switch {
		case s.Stack:
			stacks = append(stacks, s)
		case !s.Shared():
			boards = append(boards, s)
		}
	}
	switch {
	case len(stacks) == 1:
		return stacks[0], nil
	case len(stacks) == 0 && len(boards) == 1:
		return boards[0], nil
	}
	return store.Subject{}, fail(exitUsage, hint(errors.New("say which board or stack is on the bench, with --of"), "netlore boards lists them"))
}
