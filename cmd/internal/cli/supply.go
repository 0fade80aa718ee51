package cli

import (
	"context"
	"time"

	"github.com/spf13/cobra"

	"netlore/cmd/internal/scpi"
	"netlore/cmd/internal/scpi/supply"
	"netlore/store/board"
)

// newSupply makes `netlore supply`.
func newSupply(a *app) *cobra.Command {
	var timeout time.Duration
	cmd := &cobra.Command{
		Use:   "supply [OPTIONS] ADDRESS",
		Short: "look at a bench supply on the network: supply 10.0.0.8",
		Long: `Supply shows what a bench supply is set to and what it gives: the volts, the
current limit, the draw. It only asks. netlore never changes a setting of a
supply and never switches an output on or off.

It talks SCPI over the network; the port is 5025 unless the address says
otherwise. Of a supply with several channels the one is shown that is selected
at its front panel. What waits in its error queue is shown, and taken out.`,
		Args: between(1, 1, "name the address of the supply, such as 10.0.0.8 or bench-supply:5025"),
		RunE: func(cmd *cobra.Command, args []string) error { return runSupply(cmd.Context(), a, args[0], timeout) },
	}
	timeoutFlag(cmd, &timeout)
	return cmd
}

func runSupply(ctx context.Context, a *app, word string, timeout time.Duration) error {
	address, options, err := a.instrument(word, timeout)
	if err != nil {
		return err
	}
	s, err := supply.Open(ctx, address, options)
	if err != nil {
		return err
	}
	defer s.Close()
	state, err := s.Look(ctx)
	if err != nil {
		return err
	}
	if a.json {
		writeJSON(a.Out, supplyJSON(address, s.Identity(), state))
		return nil
	}
	return a.headed(s.Identity().String()+" at "+address.String(), supplyFacts(state))
}

// supplyFacts are what a supply says, a line each.
func supplyFacts(s supply.State) []string {
	var facts []string
	if s.Channel != "" {
		facts = append(facts, "channel "+s.Channel)
	}
	switch {
	case s.Output == nil:
	case *s.Output:
		facts = append(facts, "output on")
	default:
		facts = append(facts, "output off")
	}
	facts = append(facts, pair("set to", s.Volts, ", at most ", s.Limit), pair("gives", s.Now, ", ", s.Draw))
	if s.Limited() {
		facts = append(facts, "at its current limit, so it gives no more volts")
	}
	for _, unknown := range s.Unknown {
		facts = append(facts, "not known: "+unknown)
	}
	return facts
}

// pair is volts and amps in one line, or as much of it as is known.
func pair(what string, volts *scpi.Number, between string, amps *scpi.Number) string {
	text := what
	if volts != nil {
		text += " " + shown(*volts, board.Volt)
	}
	if amps == nil && volts == nil {
		return ""
	}
	if volts == nil {
		between = " "
	}
	if amps != nil {
		text += between + shown(*amps, board.Ampere)
	}
	return text
}

func supplyJSON(address scpi.Address, i scpi.Identity, s supply.State) map[string]any {
	object := identityJSON(address, i)
	for word, n := range map[string]*scpi.Number{"volts": s.Volts, "volts_measured": s.Now} {
		object[word] = knownJSON(n, board.Volt)
	}
	for word, n := range map[string]*scpi.Number{"limit": s.Limit, "draw": s.Draw} {
		object[word] = knownJSON(n, board.Ampere)
	}
	object["channel"], object["output"], object["limited"] = s.Channel, s.Output, s.Limited()
	object["unknown"] = append([]string{}, s.Unknown...)
	return object
}

// knownJSON is a number that may not be known.
func knownJSON(n *scpi.Number, unit board.Unit) any {
	if n == nil {
		return nil
	}
	return readJSON(*n, unit)
}
