package inject_test

import (
	"math"
	"testing"

	"netlore/query/isolate/inject"
)

func near(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s is %.6g, want %v", what, got, want)
	}
}

const (
	mil = 0.0254
	oz  = 1.378 * 25.4 // µm, as the published copies of the curves have it
)

// TestWidth: 11.8 and 30.8 mil for 1 A and 10 K are quoted with IPC-2221
// everywhere; the others were computed from its formula in Python.
func TestWidth(t *testing.T) {
	for _, c := range []struct{ amps, external, internal float64 }{
		{1, 11.826, 30.764}, {2, 30.764, 80.031}, {3, 53.818, 140.005}, {5, 108.875, 283.232}, {10, 283.232, 736.811},
	} {
		near(t, "a track outside", inject.Width(c.amps, oz, 10, inject.External)/mil, c.external, 1e-3)
		near(t, "a track inside", inject.Width(c.amps, oz, 10, inject.Internal)/mil, c.internal, 1e-3)
	}
	near(t, "in mm", inject.Width(1, oz, 10, inject.External), .3004, 1e-3)
	for _, c := range []struct{ width, external, internal float64 }{
		{4, .6182, .3091}, {6, .8295, .4147}, {10, 1.2013, .6006}, {20, 1.9856, .9928},
	} {
		near(t, "what a track outside carries", inject.Carries(c.width*mil, oz, 20, inject.External), c.external, 1e-3)
		near(t, "what a track inside carries", inject.Carries(c.width*mil, oz, 20, inject.Internal), c.internal, 1e-3)
	}
}

// TestFuses: a published table for 1 oz and 1 s, and the coefficient of the
// formula for 25 °C, computed in Python. The table takes 1 oz for 1.378 mil.
func TestFuses(t *testing.T) {
	for width, want := range map[float64]float64{10: 2.6, 20: 5.1, 30: 7.7, 50: 12.8, 100: 25.7} {
		if got := inject.Fuses(width*mil, oz, 1, 25); math.Abs(got-want) > .05 {
			t.Errorf("a track of %v mil melts at %v A, want %v", width, got, want)
		}
	}
	near(t, "a square mil", inject.Fuses(mil, 25.4, 1, 25), .186270, 1e-4)
	near(t, "in 5 s", inject.Fuses(10*mil, oz, 5, 25), 1.148, 1e-3)
}

// TestInjection: 1 V and 2 A over 20 mΩ, by hand.
func TestInjection(t *testing.T) {
	in := inject.Injection{Volts: 1, Amps: 2, Path: .02}
	for _, c := range []struct{ short, amps, watts float64 }{
		{.01, 2, .04}, {.05, 2, .2}, {.1, 2, .4}, {.5, 1.9231, 1.84911}, {1, .9804, .96117}, {5, .1992, .19841}, {50, .02, .01998},
	} {
		near(t, "the current", in.Current(c.short), c.amps, 1e-3)
		near(t, "the power", in.InShort(c.short), c.watts, 1e-3)
	}
	near(t, "the power on the way to 10 mΩ", in.OnTheWay(.01), .08, 1e-9)
	near(t, "a short of nothing, by leads of nothing", inject.Injection{Volts: 1, Amps: 2}.Current(0), 2, 1e-9)
	near(t, "what 5 mW takes at 50 mΩ", math.Sqrt(.005/.05), .316, 1e-3)
	for step := .05; step < 10; step *= 1.1 { // most heat where R + P is volts/amps
		if in.InShort(step) > in.InShort(.48)+1e-9 {
			t.Errorf("%v ohms become warmer than those that match", step)
		}
	}
}

// TestStored: by hand.
func TestStored(t *testing.T) {
	near(t, "100 µF at 4.4 V", inject.Energy(100e-6, 4.4), .968e-3, 1e-9)
	near(t, "1000 µF at 20 V", inject.Energy(1000e-6, 20), .2, 1e-9)
	near(t, "100 Ω and 100 µF to 1 %", inject.Discharge(100, 100e-6, .01), 46.05e-3, 1e-3)
}
