package readings

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/mat"
)

// bench is a made-up shop: what its nets, boards and meters really are.
type bench struct {
	rng    *rand.Rand
	nets   []float64
	meters []float64
	sd     float64
}

func newBench(seed uint64, nets int, meters ...float64) *bench {
	b := &bench{rng: rand.New(rand.NewPCG(seed, seed)), meters: meters, sd: 0.004}
	for range nets {
		b.nets = append(b.nets, 0.3+0.4*b.rng.Float64())
	}
	return b
}

func (b *bench) setup() Setup {
	return Setup{Nets: len(b.nets), Meters: len(b.meters), Covers: Usual, Resolution: 0.001}
}

// read is one reading, rounded to the display's last digit.
func (b *bench) read(net, board, meter int) Sample {
	v := b.nets[net] + b.meters[meter] + b.sd*b.rng.NormFloat64()
	return Sample{Net: int32(net), Board: int32(board), Meter: int32(meter), Value: math.Round(v*1000) / 1000}
}

// all reads every net of some boards, each board with one meter after the other.
func (b *bench) all(boards int) (samples []Sample) {
	for net := range b.nets {
		for board := range boards {
			samples = append(samples, b.read(net, board, board%len(b.meters)))
		}
	}
	return samples
}

func TestFitFindsMetersAndNets(t *testing.T) {
	b := newBench(1, 300, 0, 0.018, -0.031) // the shifts that other test currents make
	f := FitSamples(b.all(9), b.setup())
	for meter, want := range b.meters {
		got := f.Meter(meter)
		near(t, "shift", got.By, want, 0.001)
		if !got.Linked || got.Nets != 300 || got.SD > 0.001 {
			t.Errorf("meter %d: %+v", meter, got)
		}
	}
	near(t, "spread of boards", f.Common().SD(), b.sd, 0.0003)
	for net, want := range b.nets {
		e := f.Net(net)
		near(t, "net", e.Value, want, 4*b.sd/3+0.001)
		if e.Count != (Count{9, 9, 3}) {
			t.Errorf("net %d rests on %+v", net, e.Count)
		}
	}
}

// Without outliers and with every meter on every net the fit is close to plain
// least squares, which gonum solves.
func TestFitNearLeastSquares(t *testing.T) {
	b := newBench(2, 12, 0, 0.02, -0.01)
	samples := b.all(12)
	f := FitSamples(samples, b.setup())
	design := mat.NewDense(len(samples)+1, 12+3, nil)
	values := mat.NewVecDense(len(samples)+1, nil)
	for i, s := range samples {
		design.Set(i, int(s.Net), 1)
		design.Set(i, 12+int(s.Meter), 1)
		values.SetVec(i, s.Value)
	}
	for meter := range 3 {
		design.Set(len(samples), 12+meter, 1) // the shifts add up to nothing
	}
	var x mat.VecDense
	if err := x.SolveVec(design, values); err != nil {
		t.Fatal(err)
	}
	for a := range 3 {
		for c := range 3 {
			near(t, "between meters", f.Meter(a).By-f.Meter(c).By, x.AtVec(12+a)-x.AtVec(12+c), 0.0015)
		}
	}
}

// A board that is bad, and a meter that is off by a lot, are named and move
// nothing by more than a reading's last digit.
func TestFitIsNotMoved(t *testing.T) {
	const boards = 9
	b := newBench(3, 100, 0, 0.01, -0.01)
	good := FitSamples(b.all(boards), b.setup())
	b = newBench(3, 100, 0, 0.01, -0.01)
	samples := b.all(boards)
	for i := range samples {
		if samples[i].Board == 4 && samples[i].Net%5 == 0 {
			samples[i].Value = 0.002
		}
	}
	f := FitSamples(samples, b.setup())
	for net := range b.nets {
		was, is := good.Net(net), f.Net(net)
		near(t, "value", is.Value, was.Value, 0.004)
		bad := net%5 == 0
		if named := contains(is.Outliers, 4, 0.002); named != bad || len(is.Outliers) > 2 {
			t.Errorf("net %d: outliers %v", net, is.Outliers)
		}
		if is.High-is.Low > 2*(was.High-was.Low) {
			t.Errorf("net %d: %g wide, before %g", net, is.High-is.Low, was.High-was.Low)
		}
	}
}

func contains(list []Sample, board int32, value float64) bool {
	for _, s := range list {
		if s.Board == board && s.Value == value {
			return true
		}
	}
	return false
}

// The promise of the interval, by drawing lots with a fixed seed: on at least
// nine nets in ten it covers at least 95 of 100 good boards.
func TestIntervalKeepsItsPromise(t *testing.T) {
	for _, boards := range []int{1, 2, 3, 4, 5, 8} {
		b := newBench(uint64(boards), 3000, 0)
		samples := append(b.all(boards), b.more(boards, 600)...)
		f := FitSamples(samples, b.setup())
		kept, width := 0, 0.0
		for net := 600; net < len(b.nets); net++ {
			e := f.Net(net)
			width += (e.High - e.Low) / float64(len(b.nets)-600)
			if phi((e.High-b.nets[net])/b.sd)-phi((e.Low-b.nets[net])/b.sd) >= Usual.Content {
				kept++
			}
		}
		share := float64(kept) / float64(len(b.nets)-600)
		if share < Usual.Confidence-0.02 || width > 12*b.sd {
			t.Errorf("%d boards: %.3f of the intervals cover enough; they are %.1f standard deviations wide", boards, share, width/b.sd)
		}
		t.Logf("%d boards: %.3f, %.1f standard deviations wide", boards, share, width/b.sd)
	}
}

// more are five further boards of the first nets, so that how boards differ is
// known at all.
func (b *bench) more(boards, nets int) (samples []Sample) {
	for net := range nets {
		for board := boards; board < boards+5; board++ {
			samples = append(samples, b.read(net, board, 0))
		}
	}
	return samples
}

// Where two boards of two, or two of four, read something else, there is no
// telling which are good: the interval spans them, and all are named.
func TestBoardsThatDoNotAgree(t *testing.T) {
	b := newBench(11, 40, 0)
	samples := b.all(6)
	setup := b.setup()
	setup.Nets += 4
	for net, values := range [][]float64{{.41, .02}, {.41, .02, .414}, {.41, .02, .414, .022}, {.41, .41, .41, .02, .02, .02}} {
		for board, v := range values {
			samples = append(samples, Sample{Net: int32(40 + net), Board: int32(board), Value: v})
		}
	}
	f := FitSamples(samples, setup)
	for net, want := range []struct {
		apart    bool
		outliers int
		wide     float64 // at least
	}{{true, 2, 1}, {false, 1, 0.01}, {true, 4, .39}, {true, 6, .39}} {
		e := f.Net(40 + net)
		if e.Apart != want.apart || len(e.Outliers) != want.outliers || e.High-e.Low < want.wide {
			t.Errorf("net %d: %+v", net, e)
		}
	}
	near(t, "two of three", f.Net(41).Value, 0.412, 0.004)
}

func TestFitOfFew(t *testing.T) {
	setup := Setup{Nets: 4, Meters: 3, Covers: Usual, Resolution: 0.001}
	f := FitSamples([]Sample{
		{Net: 0, Board: 0, Meter: 0, Value: 0.412},
		{Net: 1, Board: 0, Meter: 0, Value: 0.5}, {Net: 1, Board: 1, Meter: 0, Value: 0.504},
		{Net: 2, Board: 0, Meter: 1, Value: math.Inf(1)}, {Net: 2, Board: 1, Meter: 1, Value: math.Inf(1)}, {Net: 2, Board: 2, Meter: 2, Value: 0.6},
	}, setup)
	one, two, open, none := f.Net(0), f.Net(1), f.Net(2), f.Net(3)
	if one.Value != 0.412 || !math.IsInf(one.High, 1) || !math.IsInf(one.Low, -1) {
		t.Errorf("one board tells nothing of others: %+v", one)
	}
	// Two values of 0.502 ± 0.00283 (and the last digit) with one degree of
	// freedom: the factor of the tables for n=2 is 18.8 at 95 %/90 % (from memory).
	if near(t, "middle of two", two.Value, 0.502, 1e-12); two.High-two.Value < 15*0.00283 || two.High-two.Value > 25*0.00283 {
		t.Errorf("two boards: ± %g", two.High-two.Value)
	}
	if !math.IsInf(open.Value, 1) || open.Low != open.High || len(open.Outliers) != 1 || open.Count.Boards != 2 {
		t.Errorf("two open, one not: %+v", open)
	}
	if !cmp.Equal(none, Estimate{Low: math.Inf(-1), High: math.Inf(1)}) {
		t.Errorf("never read: %+v", none)
	}
	if f.Meter(0).Linked || f.Meters() != (Spread{}) {
		t.Errorf("a meter alone: %+v, %+v", f.Meter(0), f.Meters())
	}
}

// A meter that shares nets only with one that shares with others is linked; two
// that share with each other only are compared and not linked.
func TestMetersAreLinkedOverOthers(t *testing.T) {
	b := newBench(5, 60, 0, 0.01, 0.02, 0.05, 0.08)
	var samples []Sample
	for net := range 60 {
		pair := [][2]int{{0, 1}, {1, 2}, {3, 4}}[net%3]
		for board := range 6 {
			samples = append(samples, b.read(net, board, pair[board%2]))
		}
	}
	f := FitSamples(samples, b.setup())
	for meter, want := range []float64{-0.01, 0, 0.01, -0.015, 0.015} {
		near(t, "shift", f.Meter(meter).By, want, 0.004)
		if got := f.Meter(meter).Linked; got != (meter < 3) {
			t.Errorf("meter %d linked: %v", meter, got)
		}
	}
	low, high := f.Interval(0, 1)
	for _, meter := range []int{AnyMeter, OtherMeter} {
		if wideLow, wideHigh := f.Interval(0, meter); wideLow >= low || wideHigh <= high {
			t.Errorf("a meter that is not known has to be given more room: %g to %g, %g to %g", low, high, wideLow, wideHigh)
		}
	}
	shiftedLow, _ := f.Interval(0, 2)
	near(t, "moved by the shift", shiftedLow-low, f.Meter(2).By-f.Meter(1).By, 1e-12)
}

// Readings of one board again and again are no more boards.
func TestRepeatsAreNoBoards(t *testing.T) {
	b := newBench(6, 40, 0)
	samples := b.all(3)
	f := FitSamples(samples, b.setup())
	var often []Sample
	for range 7 {
		often = append(often, samples...)
	}
	again := FitSamples(often, b.setup())
	for net := range b.nets {
		if f.Net(net).Count.Boards != again.Net(net).Count.Boards || math.Abs(f.Net(net).High-again.Net(net).High) > 1e-9 {
			t.Fatalf("net %d: %+v, then %+v", net, f.Net(net), again.Net(net))
		}
	}
}

// In whatever order readings come, the result is the same to the last bit, and
// taking one in later is the same as having it from the start, but for what
// stays as it was fitted.
func TestFitIsTheSameInAnyOrder(t *testing.T) {
	b := newBench(8, 50, 0, 0.01)
	samples := b.all(6)
	f := FitSamples(samples, b.setup())
	last := samples[len(samples)-1]
	late := FitSamples(samples[:len(samples)-1], b.setup())
	late.Add(last)
	b.rng.Shuffle(len(samples), func(i, j int) { samples[i], samples[j] = samples[j], samples[i] })
	mixed := FitSamples(samples, b.setup())
	for net := range b.nets {
		if !cmp.Equal(f.Net(net), mixed.Net(net)) {
			t.Errorf("net %d: %s", net, cmp.Diff(f.Net(net), mixed.Net(net)))
		}
	}
	near(t, "taken in later", late.Net(49).Value, f.Net(49).Value, 1e-3)
	if late.Net(49).Count != f.Net(49).Count {
		t.Errorf("taken in later: %+v, want %+v", late.Net(49).Count, f.Net(49).Count)
	}
}

// BenchmarkFit makes the expected values of a board of 1,500 nets of a million
// readings, and takes one more in. The baseline is a plain mean of each net.
func BenchmarkFit(b *testing.B) {
	shop := newBench(9, 1500, 0, 0.01, -0.02, 0.03, 0.002)
	samples := shop.all(667)
	f := FitSamples(samples, shop.setup())
	b.Run("refit", func(b *testing.B) {
		for b.Loop() {
			f.Refit()
		}
	})
	b.Run("add", func(b *testing.B) {
		for n := 0; b.Loop(); n++ {
			f.Add(shop.read(n%1500, n%667, 2))
		}
	})
	b.Run("baseline plain means", func(b *testing.B) {
		for b.Loop() {
			sums, counts := make([]float64, 1500), make([]float64, 1500)
			for _, s := range samples {
				sums[s.Net] += s.Value
				counts[s.Net]++
			}
			for net := range sums {
				sums[net] /= counts[net]
			}
		}
	})
}
