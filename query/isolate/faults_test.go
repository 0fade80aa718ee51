package isolate_test

import (
	"reflect"
	"testing"

	"netlore/query/isolate"
	"netlore/query/trace"
	"netlore/store/board"
)

// TestShares: 20 ceramic capacitors, a tantalum one, a diode and a transistor, from
// base rates of MIL-HDBK-217F and failure modes of MIL-HDBK-338B, as transcribed;
// the shares were computed in Python.
func TestShares(t *testing.T) {
	s := newStack(1)
	for range 20 {
		s.part(s.branches[0], lowerBoard, isolate.None, 0)
	}
	tantalum := s.part(s.branches[0], lowerBoard, isolate.None, 0)
	s.Parts[tantalum].Mode = isolate.Tantalum
	diode := s.part(s.branches[0], lowerBoard, isolate.None, 0)
	s.Parts[diode].Class = board.DiodePart
	transistor := s.part(s.branches[0], lowerBoard, isolate.None, 0)
	s.Parts[transistor].Class = board.Transistor
	d := s.done()
	c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil), exact())
	single := of(c, func(f *isolate.Fault) bool { return f.Kind == isolate.Single })
	near(t, "capacitors", 20*of(c, onPart(0))/single, .4636, 1e-4)
	near(t, "tantalum", of(c, onPart(tantalum))/single, .0753, 1e-4)
	near(t, "diode", of(c, onPart(diode))/single, .0279, 1e-4)
	near(t, "transistor", of(c, onPart(transistor))/single, .4331, 1e-4)
	near(t, "ceramic, per million hours", isolate.Ceramic.PerMillionHours(), .000382, 5e-7)
	near(t, "inductor, per million hours", isolate.ModeOf(board.Inductor).PerMillionHours(), .000714, 5e-7)
	for _, class := range board.Classes() {
		if m := isolate.ModeOf(class); m.Source == "" || m.Base <= 0 || m.Short <= 0 || m.Short > 1 {
			t.Errorf("%v: %+v", class, m)
		}
	}
}

// TestSmooth: the mean of the Dirichlet distribution, by hand; with one job of
// nothing it is the prior, with many it is what the shop saw.
func TestSmooth(t *testing.T) {
	prior := []float64{3, 1}
	for _, c := range []struct{ counts, want []float64 }{
		{[]float64{0, 0}, []float64{.75, .25}},
		{[]float64{0, 20}, []float64{15. / 40, 25. / 40}},
		{[]float64{0, 20000}, []float64{15. / 20020, 20005. / 20020}},
	} {
		for i, p := range isolate.Smooth(prior, c.counts, 20) {
			near(t, "smoothed", p, c.want[i], 1e-12)
		}
	}
	s := newStack(1)
	often := s.part(s.branches[0], lowerBoard, isolate.None, 0)
	never := s.part(s.branches[0], lowerBoard, isolate.None, 0)
	d := s.done()
	c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), []float64{10, 0}), exact())
	near(t, "how much likelier a part is that was it ten times", of(c, onPart(often))/of(c, onPart(never)), 2, 1e-9) // (10+10)/10
}

// TestHistory: liquid makes zones and several parts likelier, a drop ceramic
// capacitors (common practice, no source).
func TestHistory(t *testing.T) {
	s := newStack(1)
	capacitor := s.part(s.branches[0], lowerBoard, isolate.None, 0)
	chip := s.part(s.branches[0], lowerBoard, isolate.None, 0)
	s.Parts[chip].Class = board.Chip
	d := s.done()
	after := func(h isolate.History) *isolate.Case {
		return newCase(t, d, isolate.Faults(d, isolate.PriorsFor(h), nil), exact())
	}
	none, liquid, drop := after(isolate.NoHistory), after(isolate.Liquid), after(isolate.Drop)
	if of(liquid, isZone) < 2*of(none, isZone) || of(drop, isZone) > of(none, isZone) {
		t.Errorf("zones have %v, with liquid %v, after a drop %v", of(none, isZone), of(liquid, isZone), of(drop, isZone))
	}
	near(t, "how much likelier a capacitor is after a drop", of(drop, onPart(capacitor))/of(drop, onPart(chip))*of(none, onPart(chip))/of(none, onPart(capacitor)), 3, 1e-9)
	for _, c := range []*isolate.Case{none, liquid, drop} {
		near(t, "all together", of(c, func(*isolate.Fault) bool { return true }), 1, 1e-12)
	}
}

// TestKindsOfFaults: what is on ground, is not, or may be; several in one zone;
// and one of two places.
func TestKindsOfFaults(t *testing.T) {
	s := newStack(1, 1)
	s.Covers = []isolate.Cover{{}}
	a := s.part(s.branches[0], lowerBoard, isolate.None, 0)
	b := s.part(s.branches[0], lowerBoard, isolate.None, 1)
	s.part(s.branches[0], lowerBoard, isolate.None, 9)
	under := s.part(s.branches[0], lowerBoard, 0, 1)
	not := s.part(s.branches[0], lowerBoard, isolate.None, 2)
	s.Parts[not].Grounded = board.False
	may := s.part(s.branches[1], lowerBoard, isolate.None, 3)
	s.Parts[may].Grounded = board.Unknown
	two := s.part(s.branches[0], lowerBoard, 0, 4)
	s.Parts[two].At = []trace.Place{s.branches[0], s.branches[1]}
	d := s.done()
	c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil), exact())
	near(t, "a part that is not on ground", of(c, with(not)), 0, 0)
	near(t, "a part that may be on ground", of(c, onPart(may))/of(c, onPart(a)), .5, 1e-9)
	pairs := of(c, func(f *isolate.Fault) bool { return with(a)(f) && with(b)(f) })
	if across := of(c, func(f *isolate.Fault) bool { return with(a)(f) && with(under)(f) }); pairs == 0 || across != 0 {
		t.Errorf("two beside each other have %v, two on either side of a cover %v", pairs, across)
	}
	for _, x := range c.Suspects() {
		if f := c.Fault(x.Faults[0]); f.Kind == isolate.Single && f.Sites[0].Part == two {
			if len(x.Faults) != 2 || c.Fault(x.Faults[0]).Sites[0].At == c.Fault(x.Faults[1]).Sites[0].At {
				t.Errorf("a part at two places of the rail: %+v", x)
			}
			near(t, "it", x.P, of(c, onPart(a)), 1e-9)
		}
	}
	sum := 0.0
	for i, x := range c.Suspects() {
		sum += x.P
		if i > 0 && x.P > c.Suspects()[i-1].P {
			t.Errorf("suspect %d is likelier than the one before", i)
		}
	}
	near(t, "all suspects", sum, 1, 1e-9)
}

// TestBridges: only neighbours are bridged, and only to ground; in a grid those
// across a diagonal are none.
func TestBridges(t *testing.T) {
	s := newStack(1)
	s.part(s.branches[0], lowerBoard, isolate.None, 0)
	pads := []struct {
		x, y     float64
		grounded bool
	}{{1, 0, true}, {2, 0, true}, {0, 1, true}, {1, 1, true}, {.2, 0, false}} // beside, far, above, across
	s.Pads[0].Spot = isolate.Spot{X: 0, Y: 0, Placed: true}
	for _, p := range pads {
		s.Pads = append(s.Pads, isolate.Pad{Grounded: p.grounded, Spot: isolate.Spot{X: p.x, Y: p.y, Placed: true}})
	}
	s.Pads = s.Pads[:5]
	got := bridges(t, s.done())
	if want := map[[2]int]int{{0, 1}: 2, {0, 3}: 2}; !reflect.DeepEqual(got, want) { // on either board
		t.Errorf("bridges %v, want %v", got, want)
	}
	// Without places, those before and after are neighbours; in a ring also the last and first.
	for i := range s.Pads {
		s.Pads[i].Spot = isolate.Spot{}
	}
	if got, want := bridges(t, s.done()), (map[[2]int]int{{0, 1}: 2}); !reflect.DeepEqual(got, want) {
		t.Errorf("in a line, bridges %v, want %v", got, want)
	}
	s.Ring = true
	if got, want := bridges(t, s.done()), (map[[2]int]int{{0, 1}: 2, {0, 4}: 2}); !reflect.DeepEqual(got, want) {
		t.Errorf("in a ring, bridges %v, want %v", got, want)
	}
}

func bridges(t *testing.T, d *isolate.Device) map[[2]int]int {
	t.Helper()
	all := map[[2]int]int{}
	for _, f := range isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil) {
		if f.Kind == isolate.Bridge {
			all[f.Pads]++
		}
	}
	return all
}

// TestAlong: two rows round a frame come in the order in which tape goes round.
func TestAlong(t *testing.T) {
	var spots []isolate.Spot
	at := func(x, y float64) { spots = append(spots, isolate.Spot{X: x, Y: y, Placed: true}) }
	at(5, 0)  // 0: below
	at(0, 5)  // 1: left
	at(10, 5) // 2: right
	at(5, 10) // 3: above
	at(6, 1)  // 4: below, second row
	at(0, 0)  // 5: corner
	at(9, 6)  // 6: right, second row
	order, ok := isolate.Along(spots)
	if want := []int{5, 0, 4, 2, 6, 3, 1}; !ok || !reflect.DeepEqual(order, want) {
		t.Errorf("order %v, want %v", order, want)
	}
	if _, ok := isolate.Along([]isolate.Spot{{}}); ok {
		t.Error("a place is missing, and there is an order")
	}
}
