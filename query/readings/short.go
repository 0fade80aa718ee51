package readings

import (
	"fmt"
	"math"

	"netlore/store/board"
)

// A hard short is some ten ohm on the board at most, and a diode test drives
// about a milliampere into it (common practice, no source). Where the meter's
// leads and test current are stated, they count.
const (
	shortOhms = 10
	usualAmps = 1e-3
)

// ShortLimit is what a meter shows of a hard short at most in a mode; not known
// for modes in which nothing can be told to be one. Of the meter no more than
// its leads and test current is looked at, and neither need be known.
func ShortLimit(m board.Mode, meter *board.Meter) board.Quantity {
	ohms := shortOhms + meter.Leads.Float()
	switch m {
	case board.Diode:
		amps := usualAmps
		if meter.Test.Known() {
			amps = meter.Test.Float()
		}
		return microQuantity(ohms*amps, board.Volt)
	case board.Resistance, board.Continuity:
		return microQuantity(ohms, board.Ohm)
	}
	return board.Quantity{}
}

func microQuantity(f float64, unit board.Unit) board.Quantity {
	q, _ := board.NewQuantity(int64(math.Round(f*1e6)), -6, unit)
	return q
}

// ShortReason says what is taken for a short in a mode by a meter, and why:
// "up to 10.2mV is a short: 10ohm and 0.2ohm of the leads of M1, at its 1mA".
func ShortReason(m board.Mode, meter *board.Meter) string {
	text := fmt.Sprintf("up to %s is a short: %dohm", ShortLimit(m, meter), shortOhms)
	if meter.Leads.Known() {
		text += fmt.Sprintf(" and %s of the leads of %s", meter.Leads, meter.Name)
	}
	switch {
	case m == board.Diode && meter.Test.Known():
		return text + fmt.Sprintf(", at the %s of %s", meter.Test, meter.Name)
	case m == board.Diode:
		return text + ", at the usual 1mA"
	}
	return text
}

func isShort(r *board.Reading, meter *board.Meter) bool {
	limit := ShortLimit(r.Mode, meter)
	return limit.Known() && r.Value.SameUnit(limit) && r.Value.Compare(limit) <= 0
}
