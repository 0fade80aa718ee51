// Package inject has the numbers for feeding a shorted rail from a bench supply:
// what flows, what becomes warm, and what copper stands. Numbers in, numbers
// out; volts, amps, ohms, watts, kelvins, seconds, mm of width and µm of copper.
//
// The supply limits volts and amps. Through a short of R ohms, with P ohms of
// leads and copper on the way, flows
//
//	I = min(amps, volts / (R + P))
//
// and I² R becomes heat in the short, I² P on the way. The heat in the short is
// most where R + P is volts/amps: of a short that resists far less than its way,
// the way is what becomes warm.
package inject

import "math"

// Injection is how a rail is fed.
type Injection struct {
	Volts, Amps float64 // limits of the supply
	Path        float64 // ohms of leads and copper on the way to the short
}

// Current is what flows into a short.
func (i Injection) Current(short float64) float64 {
	if all := short + i.Path; all > 0 {
		return min(i.Amps, i.Volts/all)
	}
	return i.Amps
}

// InShort is the power in a short.
func (i Injection) InShort(short float64) float64 {
	amps := i.Current(short)
	return amps * amps * short
}

// OnTheWay is the power in leads and copper on the way to a short.
func (i Injection) OnTheWay(short float64) float64 {
	amps := i.Current(short)
	return amps * amps * i.Path
}

// Energy is what a capacitance holds, in joules.
func Energy(farads, volts float64) float64 { return farads * volts * volts / 2 }

// Discharge is how long a resistance takes to bring a capacitance down to a
// fraction of its volts.
func Discharge(ohms, farads, fraction float64) float64 { return -ohms * farads * math.Log(fraction) }
