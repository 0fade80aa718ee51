package cli

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"netlore/query/diag"
	"netlore/store"
	"netlore/store/board"
)

type enterOptions struct {
	job, mode, unit, meter, on, live string
	red, black                       bool
	timeout                          time.Duration
}

// readModes are the words for what is read into a job, as a sheet has them.
var readModes = []board.Mode{board.Diode, board.Resistance, board.Voltage}

// readUnits are the display units of meters: the first of a mode is taken
// unless --unit says otherwise.
var readUnits = map[board.Mode][]string{
	board.Diode: {"V", "mV"}, board.Voltage: {"V", "mV"}, board.Resistance: {"ohm", "kohm", "Mohm"},
}

// newRead makes `netlore read`.
func newRead(a *app) *cobra.Command {
	opt := enterOptions{mode: board.Diode.String()}
	cmd := &cobra.Command{
		Use:   "read --job ID [OPTIONS] ['QUESTION']",
		Short: "enter readings fast, pad after pad, into a job",
		Long: `Read takes one reading after the other into a job. A question gives the list of
pads, pins or nets, and read leads along it, with what is expected at each:

  netlore read --job 1042 'unmeasured pads on VMAIN in job 1042'

At each place type what the meter shows:

  0.412      in the display unit of the meter, by its profile or --unit: V or mV
  412mV      with its unit, whatever the meter shows
  OL, open   over the range of the meter
  .          the value that is expected here
  s          skip this place
  u          take the last reading back, out of the base too
  q          end; so does the end of the input

Each reading is on disk before its verdict is printed. Enter alone does nothing.

Without a question a line is a place and its reading: lower:P11 0.412. Both work
from a pipe: one reading a line, for the places of the list in their order. A
table with the header place,value or place,value,unit is taken as CSV. A line
that is wrong is told, and those after it are taken all the same.

--live takes the values from a meter on the network, named by its address or as
in its profile, as you touch the places of the list. What is open you say with
Enter, probe on the pad.

Before diode test or ohms: no supply on the board, the battery unplugged, and
capacitors discharged.`,
		Example:           "  netlore read --job 1042 --meter M1 'unmeasured pads on VMAIN in job 1042'\n  netlore read --job 1042 --mode ohms < readings.csv",
		ValidArgsFunction: a.completeQuestion(&askOptions{}),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := lateOption(cmd, args); err != nil {
				return err
			}
			return runRead(cmd.Context(), a, opt, strings.Join(args, " "))
		},
	}
	a.enterFlags(cmd, &opt)
	return cmd
}

func (a *app) enterFlags(cmd *cobra.Command, opt *enterOptions) {
	var modes []string
	for _, m := range readModes {
		modes = append(modes, m.String())
	}
	units := append(append([]string{}, readUnits[board.Diode]...), readUnits[board.Resistance]...)
	f := cmd.Flags()
	f.SetInterspersed(false)
	f.Var(name("ID", &opt.job), "job", "the job whose readings these are")
	f.Var(choice("--mode", "WHAT", &opt.mode, modes...), "mode", "what the meter measures: "+diag.OneOf(modes...))
	f.Var(choice("--unit", "UNIT", &opt.unit, units...), "unit", "display unit of the meter, for numbers without one: "+diag.OneOf(units...)+" (default as in its profile, else V or ohm)")
	f.Var(name("NAME", &opt.meter), "meter", "the meter, which is kept with each reading; netlore profile states what it is like")
	f.BoolVar(&opt.red, "red", false, "the red probe is on ground: the default in diode mode, unless the profile of the meter says otherwise")
	f.BoolVar(&opt.black, "black", false, "the black probe is on ground")
	f.Var(name("BOARD", &opt.on), "on", "the board that places are on, if the job is on several")
	f.Var(name("METER", &opt.live), "live", "take the values from the meter of this name or address, such as 10.0.0.7")
	timeoutFlag(cmd, &opt.timeout)
	cmd.RegisterFlagCompletionFunc("job", func(cmd *cobra.Command, _ []string, word string) ([]string, cobra.ShellCompDirective) {
		return a.completeJob(cmd, nil, word)
	})
	cmd.RegisterFlagCompletionFunc("meter", a.completeMeter)
	cmd.RegisterFlagCompletionFunc("live", a.completeMeter)
	cmd.RegisterFlagCompletionFunc("mode", completeWords(modes...))
	cmd.RegisterFlagCompletionFunc("unit", completeWords(units...))
	cmd.RegisterFlagCompletionFunc("on", a.completeName)
}

func runRead(ctx context.Context, a *app, opt enterOptions, question string) error {
	e, err := newEntry(a, opt, question)
	if err != nil {
		return err
	}
	if err := a.reading(ctx, func(base *store.Base) error { return e.prepare(ctx, base, question) }); err != nil {
		return err
	}
	if e.mode != board.Voltage {
		a.notice("before " + e.mode.String() + ": no supply on the board, the battery unplugged, capacitors discharged")
	}
	if e.mode == board.Diode && e.black {
		a.notice(e.upside())
	}
	if e.opt.live != "" {
		err = e.follow(ctx)
	} else {
		err = e.listen(ctx)
	}
	if closing := e.hold.end(); err == nil {
		err = closing
	}
	if a.output.err != nil {
		return a.output.err
	}
	e.sumUp()
	return err
}

// newEntry looks at the options before anything is opened.
func newEntry(a *app, opt enterOptions, question string) (*entry, error) {
	e := &entry{app: a, opt: opt, guided: question != "", hold: held{app: a}}
	for _, m := range readModes {
		if m.String() == opt.mode {
			e.mode = m
		}
	}
	units := readUnits[e.mode]
	e.unit, e.unitBy, e.black = cmp.Or(opt.unit, units[0]), "--unit "+opt.unit, opt.black
	_, err := board.ParseQuantity("1"+e.unit, e.base())
	switch {
	case opt.job == "":
		return nil, hint(errors.New("say with --job which job the readings belong to"), "netlore job lists the jobs", "netlore job open 'SYMPTOM' opens one")
	case err != nil:
		return nil, hint(fmt.Errorf("--unit %s does not go with --mode %s", e.unit, e.mode), "it takes "+diag.OneOf(units...))
	case opt.red && opt.black:
		return nil, errors.New("--red and --black do not go together: one probe is on ground")
	case opt.live != "" && !e.guided:
		return nil, hint(errors.New("--live goes along a list of places, and there is none"), "ask for one: netlore read --job "+shellWord(opt.job)+" --live "+shellWord(opt.live)+" 'unmeasured pads on VMAIN'")
	case opt.live != "" && e.mode == board.Voltage:
		return nil, hint(errors.New("--live reads diode and ohms"), "leave --live out and type the volts")
	}
	return e, nil
}

// base is the unit that a mode reads in.
func (e *entry) base() board.Unit {
	if e.mode == board.Resistance {
		return board.Ohm
	}
	return board.Volt
}
