// Package supply looks at a bench supply by SCPI. It only looks: a Supply holds
// a scpi.Reader, which can send nothing but questions, so no setting and no
// output of the supply is ever changed.
package supply

import (
	"context"

	"netlore/cmd/internal/scpi"
)

// The questions that a supply is asked. Volts and amps by themselves are what
// is set, measured ones are what is there.
var (
	output    = scpi.MustQuery("OUTP?")
	volts     = scpi.MustQuery("VOLT?")
	limit     = scpi.MustQuery("CURR?")
	voltsNow  = scpi.MustQuery("MEAS:VOLT?")
	ampsNow   = scpi.MustQuery("MEAS:CURR?")
	channel   = scpi.MustQuery("INST:SEL?")
	measuring = scpi.MustQuery("SENS:FUNC?")
)

// A Supply is a connection to a bench supply. It is for one goroutine.
type Supply struct {
	reader   *scpi.Reader
	identity scpi.Identity
}

// State is what a supply says of itself at one time. What it does not say is
// nil, and named in Unknown with its reason.
type State struct {
	Channel string // that the rest is about; empty if it has one only
	Output  *bool
	Volts   *scpi.Number // set
	Limit   *scpi.Number // of the current, set, in amperes
	Now     *scpi.Number // volts measured
	Draw    *scpi.Number // amperes measured
	Unknown []string
}

// Open connects to a bench supply. Errors: those of scpi.Reader.Ask, and M203,
// M204, M301.
func Open(ctx context.Context, address scpi.Address, options scpi.Options) (*Supply, error) {
	options.Kind = "bench supply"
	s := &Supply{reader: scpi.NewReader(address, options)}
	if err := s.meet(ctx); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

// meet finds out who is there. Errors that wait in its queue are shown, as
// reading them takes them out.
func (s *Supply) meet(ctx context.Context) (err error) {
	if s.identity, err = s.reader.Identify(ctx); err != nil {
		return err
	}
	entries, err := s.reader.Errors(ctx)
	if err != nil {
		return err
	}
	for _, e := range entries {
		s.reader.Notice(s.reader.Name() + " had an error in its queue: " + e.String())
	}
	return s.suits(ctx)
}

// suits refuses what is no bench supply, before anything is measured: a meter
// would change its function, and an instrument that sources and measures can
// switch its output on to answer (value from memory).
func (s *Supply) suits(ctx context.Context) error {
	_, measures, _, err := s.reader.Try(ctx, measuring)
	if err != nil {
		return err
	}
	_, sources, _, err := s.reader.Try(ctx, output)
	if err == nil && !sources {
		_, sources, _, err = s.reader.Try(ctx, volts)
	}
	switch {
	case err != nil:
		return err
	case measures && sources:
		return scpi.Wrong("M301", []string{"to answer what it measures, such an instrument may switch its output on"},
			"%s is no plain bench supply: %s has an output and measures other things too", s.reader.Stranger(), s.identity)
	case measures:
		return scpi.Wrong("M301", []string{"netlore meter reads a meter"}, "%s is no bench supply: %s measures, and has no output", s.reader.Stranger(), s.identity)
	case !sources:
		return scpi.Wrong("M301", nil, "%s is no bench supply: %s has neither an output nor set volts", s.reader.Stranger(), s.identity)
	}
	return nil
}

// Identity is what the supply says of itself.
func (s *Supply) Identity() scpi.Identity { return s.identity }

// Close ends the connection.
func (s *Supply) Close() error { return s.reader.Close() }

// Look asks for settings and measured values, one after the other. Errors:
// M202, M205, M207, and those of scpi.Reader.Ask.
func (s *Supply) Look(ctx context.Context) (State, error) {
	var state State
	a, known, _, err := s.reader.Try(ctx, channel)
	if err != nil {
		return state, err
	}
	if word, ok := scpi.ParseWord(a); known && ok {
		state.Channel = word
	}
	if state.Output, err = ask(ctx, s, &state, output, "whether its output is on", scpi.ParseTruth); err != nil {
		return state, err
	}
	for _, want := range []struct {
		q    scpi.Query
		what string
		to   **scpi.Number
	}{
		{volts, "the volts set", &state.Volts}, {limit, "the current limit", &state.Limit},
		{voltsNow, "the volts measured", &state.Now}, {ampsNow, "the amps drawn", &state.Draw},
	} {
		if *want.to, err = ask(ctx, s, &state, want.q, want.what, scpi.ParseNumber); err != nil {
			return state, err
		}
	}
	return state, nil
}

// ask asks for one value. What the supply does not know is noted as unknown.
func ask[T any](ctx context.Context, s *Supply, state *State, q scpi.Query, what string, parse func(scpi.Answer) (T, error)) (*T, error) {
	a, known, refused, err := s.reader.Try(ctx, q)
	if err != nil {
		return nil, err
	}
	if !known {
		why := what + ": it does not answer " + q.String()
		for _, e := range refused {
			why += ", and says " + e.String()
		}
		state.Unknown = append(state.Unknown, why)
		return nil, nil
	}
	v, err := parse(a)
	if err != nil {
		return nil, err
	}
	return &v, nil
}

// Limited says that the supply gives all the current that it may, and so fewer
// volts than are set: the draw is within 2 % of the limit (our choice, no
// source).
func (s State) Limited() bool {
	return s.Limit != nil && s.Draw != nil && s.Output != nil && *s.Output && s.Limit.Float() > 0 && s.Draw.Float() >= 0.98*s.Limit.Float()
}
