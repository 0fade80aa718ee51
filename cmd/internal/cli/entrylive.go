package cli

import (
	"cmp"
	"context"
	"errors"
	"fmt"

	"netlore/cmd/internal/scpi/meter"
	"netlore/store/board"
)

// follow takes the readings from a meter, by touch. What is typed goes first:
// s, u, q, or a value.
func (e *entry) follow(ctx context.Context) error {
	address, options, err := e.app.instrument(e.opt.live, e.opt.timeout)
	if err != nil {
		return err
	}
	function := meter.Diode
	if e.mode == board.Resistance {
		function = meter.Resistance
	}
	m, err := meter.Open(ctx, address, options)
	if err != nil {
		return err
	}
	defer m.Close()
	if err := m.Set(ctx, function); err != nil {
		return err
	}
	touches, err := meter.NewTouches(meter.Usual(function))
	if err != nil {
		return err
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	w := &follower{app: e.app, function: function, unit: unitOf(function), touches: touches, typed: e.app.typed(ctx)}
	w.accept = func(s meter.Steady) error { return e.touched(ctx, s) }
	w.other = func(line string) error { return e.aside(ctx, line) }
	if e.app.InTerminal && !e.app.json {
		e.app.say("touch the place; Enter takes what is open, s skips, u takes back, q ends")
	}
	if err := e.prompt(false); err != nil {
		return err
	}
	err = m.Follow(ctx, touches, readEvery, meter.SystemClock(), w.reading)
	e.app.wipe()
	if errors.Is(err, errLeft) {
		return nil
	}
	return err
}

// touched takes what the meter shows for the next place.
func (e *entry) touched(ctx context.Context, s meter.Steady) error {
	said := meterValue{open: s.Open}
	if !s.Open {
		q, err := board.ParseQuantity(shown(s.Value, e.base()), e.base())
		if err != nil {
			return err
		}
		said.is = q
	}
	on := e.list[e.next].on
	if why := cmp.Or(board.Impossible(e.mode, said.is), e.meter.Above(e.mode, said.is)); why != "" && !s.Open {
		e.app.notice(fmt.Sprintf("%s at %s was not taken: %s", said, on, why))
		return nil
	}
	if err := e.save(ctx, on, said); err != nil {
		return err
	}
	e.next++
	return e.goOn()
}

// goOn shows the next place, or ends at the end of the list.
func (e *entry) goOn() error {
	if e.next >= len(e.list) {
		return errLeft
	}
	return e.prompt(false)
}

// aside does what was typed while the meter is followed. A slip does not end
// the run.
func (e *entry) aside(ctx context.Context, line string) error {
	err := e.hear(ctx, nil, line)
	switch {
	case errors.Is(err, errLeft):
		return err
	case err != nil && e.stops(err):
		return err
	case err != nil:
		e.app.finish(err)
		return nil
	}
	return e.goOn()
}
