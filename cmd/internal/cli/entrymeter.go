package cli

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"netlore/store"
	"netlore/store/board"
)

// know takes what is stated of the meter for what was not said on the command
// line.
func (e *entry) know(ctx context.Context, base *store.Base) error {
	all, err := base.Meters(ctx)
	if err != nil {
		return err
	}
	if err := e.onNetwork(all); err != nil {
		return err
	}
	for _, m := range all {
		if m.Name == e.opt.meter {
			e.meter = m.Meter
		}
	}
	if e.mode != board.Diode {
		return nil
	}
	if e.opt.unit == "" && e.meter.Shows != "" {
		e.unit, e.unitBy = e.meter.Shows, "the profile of "+board.QuoteName(e.meter.Name)
	}
	e.black = e.opt.black || e.meter.BlackGround && !e.opt.red
	return nil
}

// onNetwork finds the meter that is followed: --live takes its name or address.
func (e *entry) onNetwork(all []store.Meter) error {
	for _, m := range all {
		switch {
		case e.opt.live == "":
		case m.Name == e.opt.live && m.Address == "":
			return hint(fmt.Errorf("where the meter %s is on the network is not stated", board.QuoteName(m.Name)),
				"netlore profile "+shellWord(m.Name)+" address 10.0.0.7 states it")
		case m.Name == e.opt.live || m.Address == e.opt.live:
			e.opt.live = m.Address
			if e.opt.meter == "" {
				e.opt.meter = m.Name
			}
			return nil
		}
	}
	return nil
}

// upside says why there are no verdicts.
func (e *entry) upside() string {
	text := "expected values are for red on ground, so with black on ground there are no verdicts"
	if !e.opt.black {
		text = "the meter " + board.QuoteName(e.meter.Name) + " is used with black on ground; " + text + "; --red says otherwise"
	}
	return text
}

// meterAddress is the address of the meter that a word names, else the word: a
// name without a dot or colon is looked up among the meters.
func (a *app) meterAddress(ctx context.Context, word string) (string, error) {
	if strings.ContainsAny(word, ".:") {
		return word, nil
	}
	address := word
	err := a.reading(ctx, func(base *store.Base) error {
		all, err := base.Meters(ctx)
		for _, m := range all {
			if m.Name == word && m.Address != "" {
				address = m.Address
			}
		}
		return err
	})
	if errors.Is(err, store.ErrNoBase) {
		err = nil
	}
	return address, err
}
