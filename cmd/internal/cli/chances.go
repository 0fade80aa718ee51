package cli

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"netlore/query"
	"netlore/query/diag"
	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

type chancesOptions struct {
	suspectsOptions
	state, remove string
}

// newChances makes `netlore chances`.
func newChances(a *app) *cobra.Command {
	opt := chancesOptions{suspectsOptions: suspectsOptions{ask: askOptions{as: "table", rows: 10_000, limit: 30 * time.Second}}}
	cmd := &cobra.Command{
		Use:   "chances [JOB]",
		Short: "show or state how likely what is before anything is seen",
		Long: `Chances shows how likely what is in a job before anything is seen, and where
that comes from: how often parts of each class on the rail fail, and how often
that is a short; which kinds of fault there are after liquid, a drop, or
neither; how often each way to look for a short is wrong; and which parts were
bad in closed jobs of this device. Without a job it lists what the shop states.

What is stated takes the place of what is usual, for all boards:

  netlore chances 1042
  netlore chances --state 'capacitor short 40% "returns of 2025"'
  netlore chances --state 'transistor often 20%'      a fifth of what is usual
  netlore chances --state 'liquid zone 35% second 25%'
  netlore chances --state 'tape miss 6% alarm 2%'
  netlore chances --remove tape                       as usual again

It is a statement like others: chance in a sheet, export chances, history.`,
		Args:              between(0, 1, "name the job: netlore chances 1042"),
		ValidArgsFunction: a.completeJob,
		RunE: func(cmd *cobra.Command, args []string) error {
			states, removes := cmd.Flags().Changed("state"), cmd.Flags().Changed("remove")
			switch {
			case states && removes || len(args) > 0 && (states || removes):
				return errors.New("state a chance, remove one, or name a job, one at a time")
			case states:
				return runStateChance(cmd.Context(), a, opt.state)
			case removes:
				return runForgetChance(cmd.Context(), a, opt.remove)
			case len(args) == 0:
				return runChances(cmd.Context(), a)
			}
			opt.what.Job = args[0]
			return a.isolate(cmd.Context(), opt.suspectsOptions, query.Odds)
		},
	}
	a.answerFlags(cmd, &opt.ask)
	cmd.Flags().Var(name("NET", &opt.what.Rail), "rail", "the rail that is shorted, if the job does not tell")
	cmd.Flags().BoolVar(&opt.what.Every, "every", false, "list also the histories that the job has not")
	cmd.Flags().StringVar(&opt.state, "state", "", "state a `CHANCE` of the shop's own")
	cmd.Flags().StringVar(&opt.remove, "remove", "", "withdraw what the shop states `OF` something")
	return cmd
}

// readChance reads what is stated of a chance. Complaints are about the words.
func readChance(text string) (board.Chance, error) {
	const lead = "chance "
	file, list := sheet.Parse("", []byte("netlore 1\n"+lead+text+"\n"))
	if list.HasErrors() {
		return board.Chance{}, inText(list, text, len(lead))
	}
	content, _ := sheet.Read(file)
	if content.Knowledge == nil || len(content.Knowledge.Chances) != 1 {
		return board.Chance{}, errors.New("say what it is the chance of, then how large it is: tape miss 6%")
	}
	return content.Knowledge.Chances[0], nil
}

func runStateChance(ctx context.Context, a *app, text string) error {
	c, err := readChance(text)
	if err != nil {
		return err
	}
	return a.writing(ctx, func(base *store.Base) error {
		held, err := base.Chances(ctx)
		if err != nil {
			return err
		}
		if why := together(held, c); why != "" {
			return fail(exitInput, hint(errors.New("this cannot be: "+why), "netlore chances lists what is stated"))
		}
		r, err := base.StateChance(ctx, c, a.author())
		if err != nil {
			return err
		}
		if r.New == 0 && !a.json {
			a.say("it was stated so already")
		}
		return a.listChances(ctx, base, c.Of)
	})
}

// together says why what is stated anew cannot be beside what is stated already.
func together(held []store.Chance, c board.Chance) string {
	i := slices.IndexFunc(held, func(x store.Chance) bool { return x.Of == c.Of })
	if i < 0 {
		return c.Impossible()
	}
	all := held[i].Chance
	all.Correct(&c)
	return all.Impossible()
}

func runForgetChance(ctx context.Context, a *app, of string) error {
	return a.withdrawing(ctx, func(base *store.Base) error {
		_, err := base.ForgetChance(ctx, of, a.author())
		if errors.Is(err, store.ErrUnknownChance) {
			all, listing := base.Chances(ctx)
			return errors.Join(listing, noChance(all, of))
		}
		if err != nil {
			return err
		}
		return a.line("the chance of %s is as usual again", of)
	})
}

func noChance(all []store.Chance, of string) error {
	var names, help []string
	for _, c := range all {
		names = append(names, c.Of)
	}
	for _, near := range diag.Closest(of, names) {
		help = append(help, "did you mean "+near+"?")
	}
	return hint(fmt.Errorf("no chance is stated of %s", diag.Printable(board.QuoteName(of))), append(help, "netlore chances lists what is stated")...)
}

func runChances(ctx context.Context, a *app) error {
	return a.reading(ctx, func(base *store.Base) error { return a.listChances(ctx, base, "") })
}

// listChances lists what the shop states, of one thing or of all.
func (a *app) listChances(ctx context.Context, base *store.Base, of string) error {
	all, err := base.Chances(ctx)
	if err != nil {
		return err
	}
	if of != "" {
		all = slices.DeleteFunc(all, func(c store.Chance) bool { return c.Of != of })
	}
	switch {
	case a.json:
		for i := range all {
			writeJSON(a.Out, map[string]any{"chance": all[i].Of, "text": all[i].Statement(), "author": all[i].Author, "time": all[i].Time})
		}
		return nil
	case len(all) == 0:
		return a.print("the shop states no chances of its own; netlore chances JOB shows what is usual\n")
	}
	t := newText(a, "chance of", "is", "stated by", "on")
	for _, c := range all {
		t.row(c.Of, c.Statement(), c.Author, c.Time.Format("2006-01-02"))
	}
	return t.print()
}
