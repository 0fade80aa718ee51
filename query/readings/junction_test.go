package readings

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !scalar.EqualWithinAbs(got, want, tol) {
		t.Errorf("%s: %.9g, want %.9g ± %g", what, got, want, tol)
	}
}

// reference is a small signal diode with the SPICE parameters that are in common
// use for the type 1N4148 (values from memory).
var reference = Junction{Saturation: 2.52e-9, Ideality: 1.752, Celsius: 25}

// kT/q from the exact constants of the SI of 2019.
func TestThermal(t *testing.T) {
	near(t, "25 °C", Thermal(25), 25.6926e-3, 1e-7)
	near(t, "300 K", Thermal(26.85), 25.8520e-3, 1e-7)
	near(t, "a decade at n=1", Thermal(25)*math.Ln10, 59.159e-3, 1e-6)
}

// The constant omega = W(1) of the Handbook of Mathematical Functions' kind of
// tables; the other values by solving w + ln w = x.
func TestWright(t *testing.T) {
	near(t, "W(1)", wright(0), 0.5671432904, 1e-10)
	near(t, "W(e)", wright(1), 1, 1e-14)
	for _, x := range []float64{-700, -30, -2, -1, -0.1, 0.5, 0.999, 1.001, 3, 40, 700, 1e6} {
		if w := wright(x); math.Abs(w+math.Log(w)-x) > 1e-12*max(1, math.Abs(x)) {
			t.Errorf("w(%g) = %g: w + ln w is %g", x, w, w+math.Log(w))
		}
	}
}

// The voltages across the reference junction with a resistance beside it at the
// test currents that makers of meters state, worked out with another program by
// Lambert's W and by finding the root; all in volts.
func TestLeaking(t *testing.T) {
	ohms := []float64{100, 300, 470, 1e3, 2.2e3, 4.7e3, 10e3, 100e3}
	for _, c := range []struct {
		amps, open float64
		volts      []float64
	}{
		{0.5e-3, 0.549078, []float64{.049999, .149980, .234783, .447570, .520249, .537391, .543895, .548582}},
		{1e-3, 0.580279, []float64{.099998, .299416, .446132, .544848, .566867, .574412, .577601, .580017}},
		{1.5e-3, 0.598530, []float64{.149993, .437441, .534608, .576688, .589670, .594565, .596703, .598351}},
	} {
		near(t, "no leak", reference.Volts(c.amps), c.open, 1e-6)
		near(t, "no leak, back", reference.Amps(c.open), c.amps, 3e-8)
		for i, r := range ohms {
			near(t, "leak", reference.Leaking(c.amps, r), c.volts[i], 1.5e-6)
			near(t, "leak, by root finding", rootLeaking(reference, c.amps, r), c.volts[i], 1.5e-6)
		}
	}
	near(t, "no resistance", reference.Leaking(1e-3, 0), 0, 0)
}

// rootLeaking halves the interval until the two currents add up.
func rootLeaking(j Junction, amps, ohms float64) float64 {
	low, high := 0.0, j.Volts(amps)
	for range 60 {
		if v := (low + high) / 2; v/ohms+j.Amps(v) < amps {
			low = v
		} else {
			high = v
		}
	}
	return low
}

// Worked out with another program for the reference junction: currents through
// it in series with a resistance, and what meters with a source resistance read.
func TestInSeries(t *testing.T) {
	near(t, "1 V, 1 kohm", reference.InSeries(1, 1e3), 0.4551518e-3, 1e-10)
	near(t, "5 V, 1 kohm", reference.InSeries(5, 1e3), 4.353507e-3, 1e-9)
	near(t, "0.7 V, 10 ohm", reference.InSeries(0.7, 10), 4.857561e-3, 1e-9)
	near(t, "0.58 V, 0 ohm", reference.InSeries(0.580279, 0), 1e-3, 1e-8)
	near(t, "3 V, 0.6 mA", Source{Amps: 0.6e-3, Open: 3}.Across(reference), 0.548202, 1e-5)
	near(t, "3.2 V, 0.7 mA", Source{Amps: 0.7e-3, Open: 3.2}.Across(reference), 0.555639, 1e-5)
	near(t, "3 V, 1.5 mA", Source{Amps: 1.5e-3, Open: 3}.Across(reference), 0.588698, 1e-5)
	near(t, "1 mA", Source{Amps: 1e-3}.Across(reference), 0.580279, 1e-6)
}

// The textbooks' rule of -2 mV/K, and the values of the formula that they derive
// it from.
func TestDrift(t *testing.T) {
	j := Junction{Celsius: 25}
	for volts, want := range map[float64]float64{.45: -2.794e-3, .60: -2.291e-3, .65: -2.123e-3, .70: -1.956e-3} {
		near(t, "drift", j.Drift(volts), want, 1e-6)
	}
}

// The leak behind a low reading where a good board reads 0.450 V, worked out by
// hand from Shockley's equation for two idealities.
func TestLeakOfOneIdeality(t *testing.T) {
	for _, c := range []struct{ low, ideality, want float64 }{
		{.350, 1, 357.29}, {.350, 1.752, 392.57}, {.400, 1, 466.65}, {.400, 1.752, 596.39}, {.440, 1, 1364.7}, {.100, 1, 100.0}, {.010, 1, 10.0},
	} {
		got := leak(c.low, .450, c.ideality, Source{Amps: 1e-3}, 25)
		near(t, "leak", got, c.want, c.want*1e-3)
		near(t, "at half the current", leak(c.low, .450, c.ideality, Source{Amps: .5e-3}, 25), 2*got, 1e-6*got)
		near(t, "at 1.5 mA", leak(c.low, .450, c.ideality, Source{Amps: 1.5e-3}, 25), got/1.5, 1e-6*got)
	}
}

// A leak that was put in is found between the bounds, whatever the ideality.
func TestLeakIsBetweenItsBounds(t *testing.T) {
	for _, n := range []float64{1, 1.3, 1.752, 2} {
		for _, ohms := range []float64{3, 47, 220, 1e3, 4.7e3} {
			j := Junction{Saturation: 1e-10, Ideality: n, Celsius: 25}
			good, low := j.Volts(1e-3), j.Leaking(1e-3, ohms)
			got, ok := Leak(low, good, 0.002, Source{Amps: 1e-3}, 25)
			if !ok || got.Low > ohms*(1+1e-6) || got.High < ohms*(1-1e-6) || got.Best < got.Low || got.Best > got.High {
				t.Errorf("ideality %g, %g ohm: %+v, %v", n, ohms, got, ok)
			}
		}
	}
}

func TestNoLeak(t *testing.T) {
	for _, c := range []struct {
		low, good float64
		meter     Source
	}{{.5, .45, Source{Amps: 1e-3}}, {.45, .45, Source{Amps: 1e-3}}, {.3, .45, Source{}}, {-.1, .45, Source{Amps: 1e-3}}} {
		if got, ok := Leak(c.low, c.good, 0, c.meter, 25); ok {
			t.Errorf("%+v: %+v", c, got)
		}
	}
	if got, _ := Leak(.449, .450, .005, Source{Amps: 1e-3}, 25); !math.IsInf(got.High, 1) {
		t.Errorf("a reading within the slack needs no leak: %+v", got)
	}
}
