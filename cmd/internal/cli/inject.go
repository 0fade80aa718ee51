package cli

import (
	"context"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"netlore/query"
	"netlore/query/copper"
	"netlore/query/run"
	"netlore/store/board"
)

type injectOptions struct {
	suspectsOptions
	at    string
	feed  run.Feeding
	thick board.Quantity // of copper outside
	rise  int
}

// newInject makes `netlore inject`.
func newInject(a *app) *cobra.Command {
	opt := injectOptions{rise: 20, suspectsOptions: suspectsOptions{ask: askOptions{as: "table", rows: 10_000, limit: 30 * time.Second}}}
	cmd := &cobra.Command{
		Use:   "inject JOB",
		Short: "tell how to feed a shorted rail to make its short warm",
		Long: `Inject tells how to feed the shorted rail of a job from a bench supply: where,
with how many volts and amps, how warm the short becomes by what resistance it
has, which suspects would show now, and which are hidden, and by what. It feeds
nothing itself. Never put more on a rail than the rail is rated for.

  netlore inject 1042
  netlore inject 1042 --at lower:P97 --amps 1A
  netlore inject 1042 --short 20mohm..1ohm --leads 30mohm`,
		Args:              between(1, 1, "name the job: netlore inject 1042"),
		ValidArgsFunction: a.completeJob,
		RunE: func(cmd *cobra.Command, args []string) error {
			opt.what.Job = args[0]
			return a.isolate(cmd.Context(), opt.suspectsOptions, func(ctx context.Context, src run.Source, o query.Options, what query.Isolating) (*run.Answer, error) {
				return query.Inject(ctx, src, o, what, opt.at, opt.feeding())
			})
		},
	}
	a.isolatingFlags(cmd, &opt.suspectsOptions)
	f := cmd.Flags()
	f.Var(name("PLACE", &opt.at), "at", "where the plus lead goes")
	f.Var(amount("--volts", "1V", board.Volt, &opt.feed.Volts), "volts", "what the supply will be set to")
	f.Var(amount("--amps", "2A", board.Ampere, &opt.feed.Amps), "amps", "what its current will be limited to")
	f.Var(span("--short", &opt.feed.Short), "short", "the resistance that the short may have")
	f.Var(amount("--leads", "50mohm", board.Ohm, &opt.feed.Leads), "leads", "the resistance of both leads together")
	f.Var(amount("--copper", "35um", board.Metre, &opt.thick), "copper", "how thick the copper outside is; inside half of it")
	f.Var(number("--rise", &opt.rise), "rise", "by how many kelvins copper on the way may become warmer")
	return cmd
}

// feeding is what is known of how the rail is fed.
func (o *injectOptions) feeding() run.Feeding {
	f := o.feed
	f.Rise, f.Copper = float64(o.rise), copper.UsualMetal()
	if o.thick.Known() {
		f.Copper.Outer = o.thick.Float() * 1e6
		f.Copper.Inner = f.Copper.Outer / 2
	}
	return f
}

// amount is an option that takes a quantity above zero.
func amount(flag, example string, unit board.Unit, q *board.Quantity) option {
	read := func(s string) (ok bool) {
		*q, ok = board.QuantityOf(s, unit)
		return ok && q.Coef > 0
	}
	return option{flag, strings.ToUpper(unit.String()), unit.Measures() + " above zero, such as " + example, read, func() string {
		if !q.Known() {
			return ""
		}
		return q.String()
	}}
}

// span is an option that takes two resistances, or one.
func span(flag string, of *[2]board.Quantity) option {
	read := func(s string) bool {
		least, most, two := strings.Cut(s, "..")
		if !two {
			most = least
		}
		var ok [2]bool
		of[0], ok[0] = board.QuantityOf(least, board.Ohm)
		of[1], ok[1] = board.QuantityOf(most, board.Ohm)
		return ok[0] && ok[1] && of[0].Coef > 0 && of[1].Compare(of[0]) >= 0
	}
	return option{flag, "OHM..OHM", "two resistances, the lower one first, such as 10mohm..2ohm", read, func() string {
		if !of[0].Known() {
			return ""
		}
		return of[0].String() + ".." + of[1].String()
	}}
}
