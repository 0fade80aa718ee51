package readings

import "math"

// What physics fixes: the charge of an electron over Boltzmann's constant, in
// kelvin a volt (SI, exact since 2019), and the gap that the saturation current
// of silicon follows, in volts (a textbook's 1.206 V).
const (
	chargeOverBoltzmann = 1.602176634e-19 / 1.380649e-23
	siliconGap          = 1.206
)

// Thermal is the thermal voltage kT/q in volts at a temperature in °C: 25.7 mV
// at 25 °C.
func Thermal(celsius float64) float64 { return (celsius + 273.15) / chargeOverBoltzmann }

// Junction is a PN junction by Shockley's equation, I = Saturation·(exp(V/(Ideality·VT))-1).
type Junction struct {
	Saturation float64 // A
	Ideality   float64 // 1 to 2
	Celsius    float64 // °C
}

func (j Junction) scale() float64 { return j.Ideality * Thermal(j.Celsius) }

// Volts is the voltage at a forward current in ampere.
func (j Junction) Volts(amps float64) float64 { return j.scale() * math.Log1p(amps/j.Saturation) }

// Amps is the current at a voltage.
func (j Junction) Amps(volts float64) float64 { return j.Saturation * math.Expm1(volts/j.scale()) }

// Leaking is the voltage that a current in ampere makes across the junction with
// a resistance in ohm beside it. It is the closed form with Lambert's W.
func (j Junction) Leaking(amps, ohms float64) float64 {
	if ohms <= 0 {
		return 0
	}
	total := amps + j.Saturation
	drop := ohms * total / j.scale()
	w := wright(math.Log(ohms*j.Saturation/j.scale()) + drop)
	return ohms*total - j.scale()*w
}

// InSeries is the current in ampere that a voltage drives through the junction
// and a resistance in ohm before it.
func (j Junction) InSeries(volts, ohms float64) float64 {
	if ohms <= 0 {
		return j.Amps(volts)
	}
	w := wright(math.Log(ohms*j.Saturation/j.scale()) + (volts+ohms*j.Saturation)/j.scale())
	return j.scale()/ohms*w - j.Saturation
}

// Drift is how the voltage at a constant current changes with temperature, in
// volts a kelvin: some -2 mV/K, so ten kelvin between two shops are 20 mV.
func (j Junction) Drift(volts float64) float64 {
	return (volts - siliconGap - 3*Thermal(j.Celsius)) / (j.Celsius + 273.15)
}

// wright is the solution w > 0 of w + ln w = x, that is W(exp(x)) with Lambert's
// W on its main branch; exp(x) itself would overflow.
func wright(x float64) float64 {
	w := x - math.Log(max(x, 1))
	if x < 1 {
		w = math.Exp(x - math.Exp(min(x, 0))/2)
	}
	for range 20 { // Newton's method on w + ln w: quadratic from the right side
		next := w * (1 + x - math.Log(w)) / (1 + w)
		if math.Abs(next-w) <= 1e-15*next {
			return next
		}
		w = next
	}
	return w
}

// Source is a meter in diode mode as the board sees it: its current, and its
// voltage with the leads open. A current of zero is one that is not known.
type Source struct {
	Amps float64 // into a short
	Open float64 // volts; 0 if not known: then the current is the same at any voltage
}

// at is the current that is left at a voltage across the leads.
func (s Source) at(volts float64) float64 {
	if s.Open <= 0 {
		return s.Amps
	}
	return s.Amps * max(0, 1-volts/s.Open)
}

// Across is the voltage that the meter reads across a junction.
func (s Source) Across(j Junction) float64 {
	if s.Open <= 0 {
		return j.Volts(s.Amps)
	}
	ohms := s.Open / s.Amps
	return s.Open - ohms*j.InSeries(s.Open, ohms)
}

// Ohms is a resistance with its bounds, in ohm. High is infinite where the
// reading can be had with no leak at all.
type Ohms struct{ Low, Best, High float64 }

// The idealities between which junctions lie that are read through a board
// (Shockley's 1 by diffusion and 2 by recombination), and a middle.
const (
	idealityLow  = 1.0
	idealityBest = 1.5
	idealityHigh = 2.0
)

// Leak is the resistance to ground that explains a low reading in diode mode:
// what has to lie beside the junction so that a meter which reads good volts on
// a good board reads low volts. Slack is by how much, in volts, the good reading
// may differ between good boards. It is false if the meter's current is not
// known, or the reading is not below the good one.
//
// Of the junction no more is taken to be known than that it reads good volts
// and that its ideality is from 1 to 2; hence the bounds.
func Leak(low, good, slack float64, meter Source, celsius float64) (Ohms, bool) {
	if meter.Amps <= 0 || low < 0 || low >= good {
		return Ohms{}, false
	}
	found := Ohms{Best: leak(low, good, idealityBest, meter, celsius), Low: math.Inf(1)}
	for _, n := range []float64{idealityLow, idealityHigh} {
		for _, g := range []float64{good - slack, good + slack} {
			ohms := leak(low, g, n, meter, celsius)
			found.Low, found.High = min(found.Low, ohms), max(found.High, ohms)
		}
	}
	return found, true
}

// leak is the resistance for one ideality: what the junction does not take of
// the meter's current at the low voltage has to go beside it.
func leak(low, good, ideality float64, meter Source, celsius float64) float64 {
	taken := meter.at(good) * math.Exp((low-good)/(ideality*Thermal(celsius)))
	beside := meter.at(low) - taken
	if beside <= 0 {
		return math.Inf(1)
	}
	return low / beside
}
