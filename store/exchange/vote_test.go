package exchange

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"netlore/store/board"
)

func vote(t testing.TB, shop byte, volts float64) Vote {
	t.Helper()
	q, err := board.ParseQuantity(fmt.Sprintf("%.4fV", volts), board.Volt)
	if err != nil {
		t.Fatal(err)
	}
	within, err := board.ParseTolerance("±8%")
	if err != nil {
		t.Fatal(err)
	}
	return Vote{Key{shop}, board.Expected{Mode: board.Diode, On: board.Target{Kind: board.OnNet, Name: "VMAIN"}, Value: q, Within: within}}
}

func TestThreeShopsMustAgree(t *testing.T) {
	v := func(shop byte, volts float64) Vote { return vote(t, shop, volts) }
	open := Vote{Key{9}, board.Expected{Mode: board.Diode, Open: true}}
	for name, c := range map[string]struct {
		votes []Vote
		want  string // value and tolerance; empty if they do not agree
		off   int
	}{
		"nobody":                  {nil, "", 0},
		"two":                     {[]Vote{v(1, 0.41), v(2, 0.41)}, "", 0},
		"three":                   {[]Vote{v(1, 0.41), v(2, 0.42), v(3, 0.40)}, "0.41V ±11%", 0},
		"one shop three times":    {[]Vote{v(1, 0.41), v(1, 0.41), v(1, 0.41)}, "", 0},
		"two and one far off":     {[]Vote{v(1, 0.41), v(2, 0.412), v(3, 5)}, "", 1},
		"three and one far off":   {[]Vote{v(1, 0.41), v(2, 0.412), v(3, 0.414), v(4, 5)}, "0.412V ±8%", 1},
		"one shop shouts":         {[]Vote{v(1, 0.41), v(2, 0.412), v(3, 0.414), v(4, 5), v(4, 5), v(4, 5), v(4, 5), v(4, 5)}, "0.412V ±8%", 1},
		"three and one says open": {[]Vote{v(1, 0.41), v(2, 0.412), v(3, 0.414), open}, "0.412V ±8%", 1},
		"zero":                    {[]Vote{v(1, 0), v(2, 0), v(3, 0)}, "", 0},
	} {
		got, off, ok := Agree(c.votes)
		said := ""
		if ok {
			said = got.Value.String() + " " + got.Within.String()
		}
		if said != c.want || len(off) != c.off {
			t.Errorf("%s: %q with %d off, want %q with %d", name, said, len(off), c.want, c.off)
		}
	}
	opens := []Vote{open, open, open}
	opens[1].Shop, opens[2].Shop = Key{8}, Key{7}
	if got, _, ok := Agree(opens); !ok || !got.Open {
		t.Errorf("three shops say open: %+v, %v", got, ok)
	}
}

// TestPoisoning lets bad shops, fewer than the good ones, say whatever they like:
// they cannot move the value beyond what the good ones say, or widen its
// tolerance beyond three times their range and more than their own call for.
func TestPoisoning(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for range 20_000 {
		good := 3 + rng.IntN(6)
		bad := rng.IntN((good + 1) / 2)
		low, high := math.Inf(1), math.Inf(-1)
		var votes []Vote
		for s := range good {
			volts := 0.4 + 0.01*rng.NormFloat64()
			low, high = min(low, volts), max(high, volts)
			votes = append(votes, vote(t, byte(s), volts))
		}
		for s := range bad {
			volts := []float64{0.001, 5, 0.35, 0.45, 0.4 + 0.1*rng.NormFloat64()}[rng.IntN(5)]
			for range 1 + rng.IntN(5) {
				votes = append(votes, vote(t, byte(100+s), max(volts, 0)))
			}
		}
		rng.Shuffle(len(votes), func(i, j int) { votes[i], votes[j] = votes[j], votes[i] })
		got, _, ok := Agree(votes)
		if !ok {
			continue
		}
		if value := got.Value.Float(); value < low-1e-4 || value > high+1e-4 {
			t.Fatalf("%d bad of %d: %s, and the good ones say %.4f to %.4f", bad, good+bad, got.Value, low, high)
		}
		if wide := width(&got); wide > max(0.08, 3*madToSigma*(high-low)/got.Value.Float())+0.011 {
			t.Fatalf("%d bad of %d: ±%.3f, and the good ones say %.4f to %.4f", bad, good+bad, wide, low, high)
		}
	}
}
