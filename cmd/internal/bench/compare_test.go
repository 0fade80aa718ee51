package bench

import (
	"math"
	"testing"

	"netlore/query/readings"
	"netlore/store/board"
)

var none, isOpen = math.NaN(), math.Inf(1)

// All that is drawn stands where its number belongs on one scale: halfway between two
// things is halfway between their numbers.
func TestStripScale(t *testing.T) {
	c := chart{edge: 0.5, Strips: []strip{{X: 0, Value: 0.4, Low: 0.3, High: 0.5, Rings: []float64{0.2, isOpen}}, {X: isOpen, Value: none, Low: none, High: none}}}
	c.scale()
	a, b := c.Strips[0], c.Strips[1]
	if a.X != inset || b.X != 100-inset || a.Rings[1] != 100-inset {
		t.Errorf("nothing is at %v, open at %v and %v", a.X, b.X, a.Rings[1])
	}
	if middle := (a.Low + a.High) / 2; math.Abs(a.Value-middle) > 0.02 {
		t.Errorf("the middle of the tolerance is at %v, its number at %v", middle, a.Value)
	}
	if middle := (a.X + a.Value) / 2; math.Abs(a.Rings[0]-middle) > 0.02 {
		t.Errorf("half of it is at %v, not at %v", a.Rings[0], middle)
	}
	if last := c.Ticks[len(c.Ticks)-1]; last.Text != "0.5" || math.Abs(last.X-a.High) > 0.02 {
		t.Errorf("the last tick is %v; 0.5 is at %v", last, a.High)
	}
}

// However large the numbers are, the scale has a few round ticks.
func TestTickStep(t *testing.T) {
	for edge := 1e-6; edge < 1e7; edge *= 1.03 {
		step := tickStep(edge)
		digits := step / math.Pow(10, math.Floor(math.Log10(step)+1e-9))
		if n := edge / step; n < 2 || n > 5 || math.Abs(digits-math.Round(digits)) > 1e-6 && math.Abs(digits-2.5) > 1e-6 {
			t.Fatalf("up to %g in steps of %g", edge, step)
		}
	}
}

func TestSpread(t *testing.T) {
	for want, all := range map[string][]float64{"": nil, "0.4V (1)": {0.4}, "0.412V to 0.44V (3)": {0.44, 0.412, 0.416}, "0.3V to open (2)": {isOpen, 0.3}} {
		if got := spread(all, readings.UnitOf(board.Diode)); got != want {
			t.Errorf("%v is %q, not %q", all, got, want)
		}
	}
}
