package cli

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"netlore/cmd/internal/scpi"
	"netlore/cmd/internal/scpi/meter"
	"netlore/store/board"
)

type meterOptions struct {
	measure  string
	follow   bool
	count    int
	window   time.Duration
	spread   string
	openFrom string
	timeout  time.Duration
}

// measures are the words for what a meter measures.
var measures = []string{meter.Diode.String(), meter.Resistance.String(), meter.FourWire.String()}

// newMeter makes `netlore meter`.
func newMeter(a *app) *cobra.Command {
	opt := meterOptions{measure: meter.Diode.String(), window: meter.Usual(meter.Diode).Window}
	cmd := &cobra.Command{
		Use:   "meter [OPTIONS] METER",
		Short: "read a meter on the network: meter 10.0.0.7",
		Long: `Meter sets a bench meter to diode test or ohms, and reads it once or, with
--follow, at every pad that you touch. It talks SCPI over the network; the port
is 5025 unless the address says otherwise. A meter whose profile has an address
can be named. Set remote control over LAN at the meter.

With --follow each touch gives one value, when it has been steady for a while.
Then lift the probe. A lifted probe reads the same as an open pad, so what is
open is never taken by itself: press Enter while the probe is on the pad. The
letter q and Enter end it.

Before diode test or ohms: no supply on the board, the battery unplugged, and
capacitors discharged.`,
		ValidArgsFunction: a.completeMeter,
		Args:              between(1, 1, "name the address of the meter, such as 10.0.0.7 or bench-meter:5025"),
		RunE:              func(cmd *cobra.Command, args []string) error { return runMeter(cmd.Context(), a, opt, args[0]) },
	}
	f := cmd.Flags()
	f.Var(choice("--measure", "WHAT", &opt.measure, measures...), "measure", "what to measure: diode, ohms, or ohms4 by four wires")
	f.BoolVar(&opt.follow, "follow", false, "take the value of one touch after the other")
	f.Var(number("--count", &opt.count), "count", "end after so many values; follows")
	f.Var(duration("--window", time.Millisecond, &opt.window), "window", "how long a value must be steady")
	f.Var(name("VALUE", &opt.spread), "spread", "how steady: 2mV, 0.1ohm or 1% (default 2mV or 50mohm, or 0.5% if that is more)")
	f.Var(name("VALUE", &opt.openFrom), "open-from", "what the meter shows when the probes touch nothing, if not OL: 2.8V")
	timeoutFlag(cmd, &opt.timeout)
	cmd.RegisterFlagCompletionFunc("measure", completeWords(measures...))
	return cmd
}

func runMeter(ctx context.Context, a *app, opt meterOptions, word string) error {
	function, _ := meter.FunctionOf(opt.measure)
	settling, err := opt.settling(function)
	if err != nil {
		return err
	}
	if word, err = a.meterAddress(ctx, word); err != nil {
		return err
	}
	address, options, err := a.instrument(word, opt.timeout)
	if err != nil {
		return err
	}
	m, err := meter.Open(ctx, address, options)
	if err != nil {
		return err
	}
	defer m.Close()
	if err := m.Set(ctx, function); err != nil {
		return err
	}
	if opt.follow || opt.count > 0 {
		return a.follow(ctx, m, function, settling, opt.count)
	}
	return a.readOnce(ctx, m, function, address)
}

// settling is what makes a value steady, by the options.
func (o meterOptions) settling(f meter.Function) (meter.Settling, error) {
	s := meter.Usual(f)
	s.Window = o.window
	if o.spread != "" {
		unit := unitOf(f)
		if strings.HasSuffix(o.spread, "%") {
			unit = board.Ratio
		}
		spread, err := valueOption("--spread", o.spread, unit)
		if err != nil {
			return s, err
		}
		s.Spread, s.Share = spread, 0
		if unit == board.Ratio {
			s.Spread, s.Share = 0, spread
		}
	}
	if o.openFrom != "" {
		from, err := valueOption("--open-from", o.openFrom, unitOf(f))
		if err != nil {
			return s, err
		}
		s.OpenFrom = from
	}
	if err := s.Check(); err != nil {
		return s, hint(err, "netlore meter --help lists its options")
	}
	return s, nil
}

// unitOf is what a function reads in.
func unitOf(f meter.Function) board.Unit {
	if f == meter.Diode {
		return board.Volt
	}
	return board.Ohm
}

// valueOption reads the value of an option that has a unit.
func valueOption(option, text string, unit board.Unit) (float64, error) {
	q, err := board.ParseQuantity(text, unit)
	if err != nil {
		return 0, hint(fmt.Errorf("the value of %s cannot be used: %w", option, err), "netlore meter --help lists its options")
	}
	return q.Float(), nil
}

// readOnce prints what the meter is and one reading.
func (a *app) readOnce(ctx context.Context, m *meter.Meter, f meter.Function, address scpi.Address) error {
	n, err := m.Read(ctx)
	if err != nil {
		return err
	}
	unit := unitOf(f)
	if a.json {
		object := identityJSON(address, m.Identity())
		object["measure"], object["reading"], object["value"] = f.String(), readText(n, unit), readJSON(n, unit)
		writeJSON(a.Out, object)
		return nil
	}
	if err := a.line("%s at %s", m.Identity(), address); err != nil {
		return err
	}
	return a.line("  %s %s%s", f, shown(n, unit), noNumber[n.Kind])
}

// noNumber says what a reading that is no number can mean.
var noNumber = map[scpi.Kind]string{
	scpi.Over:       " (open, or the probes touch nothing)",
	scpi.Under:      " (below all that it can measure: is the board powered, or a capacitor charged?)",
	scpi.NotANumber: " (the meter could measure nothing)",
}
