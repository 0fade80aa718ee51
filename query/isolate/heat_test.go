package isolate_test

import (
	"math"
	"testing"

	"netlore/query/isolate"
	"netlore/query/isolate/inject"
	"netlore/store/board"
)

// TestHeat: what lies in the open and does not show is less of a suspect than what
// lies under a cover; with a spot named, that part is it. A short of a few
// milliohms stays cold, and its way is warm: a coil that is warm points behind it.
func TestHeat(t *testing.T) {
	s := newStack(1, 1)
	s.Covers = []isolate.Cover{{Off: isolate.Cost{Minutes: 12}}}
	open := s.part(s.branches[0], lowerBoard, isolate.None, 5)
	beside := s.part(s.branches[0], lowerBoard, isolate.None, 25)
	under := s.part(s.branches[0], lowerBoard, 0, 15)
	coil, behind := s.series(s.branches[1], lowerBoard, true)
	s.part(behind, lowerBoard, 0, 45)
	d := s.done()
	c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil), isolate.CommonPractice())
	look := isolate.Heat{At: d.Source, Feed: inject.Injection{Volts: 1, Amps: 2, Path: .02}, Part: isolate.None, Spot: isolate.Spot{Cover: isolate.None}}

	nothing := c.With(&look)
	if in, out := of(nothing, onPart(under)), of(nothing, onPart(open)); in < 3*out {
		t.Errorf("nothing shows: the covered part has %v, the open one %v", in, out)
	}
	off := look
	off.State.Lids = []int{0}
	if in, out := of(c.With(&off), onPart(under)), of(c.With(&off), onPart(open)); math.Abs(in-out) > 1e-9 {
		t.Errorf("the cover off, nothing shows: the covered part has %v, the open one %v", in, out)
	}
	named := look
	named.Seen, named.Part = true, open
	if p := of(c.With(&named), with(open)); p < .9 {
		t.Errorf("the part that was warm has %v", p)
	}
	place := look
	place.Seen, place.Spot = true, isolate.Spot{Board: lowerBoard, Side: board.Top, X: 24, Placed: true, Cover: isolate.None}
	if p := of(c.With(&place), with(beside)); p < .9 {
		t.Errorf("the part 1 mm from the spot has %v", p)
	}
	way := look
	way.Seen, way.Part = true, coil
	beyond := func(f *isolate.Fault) bool { return len(f.Sites) > 0 && f.Sites[0].At == behind }
	if p, before := of(c.With(&way), beyond), of(c, beyond); p < .6 || before > .3 {
		t.Errorf("the coil was warm, and what is behind it has %v, before %v", p, before)
	}
	faint := way
	faint.Feed.Amps = .05 // 50 µW in a coil of 20 milliohms are 5 mK
	if strong, weak := of(c.With(&way), beyond), of(c.With(&faint), beyond); weak > strong/2 {
		t.Errorf("the coil was warm, and what is behind it has %v, fed with 50 mA %v", strong, weak)
	}
	frost := look
	frost.With = isolate.FreezeSpray
	if camera, spray := of(nothing, onPart(open)), of(c.With(&frost), onPart(open)); camera > spray {
		t.Errorf("nothing shows: the open part has %v by camera, %v by frost, which shows less", camera, spray)
	}
}

// TestThroughBoard: a spot on the other side of the board, behind a part under a
// cover, speaks for that part; where the other side faces another board it cannot
// have been seen there, so that nothing seen says no more than it does.
func TestThroughBoard(t *testing.T) {
	s := newStack(1)
	s.Covers = []isolate.Cover{{Off: isolate.Cost{Minutes: 12}}}
	under := s.part(s.branches[0], lowerBoard, 0, 15)
	far := s.part(s.branches[0], lowerBoard, 0, 45)
	s.part(s.branches[0], lowerBoard, isolate.None, 30)
	d := s.done()
	c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil), isolate.CommonPractice())
	look := isolate.Heat{At: d.Halves[1].Feed, State: isolate.State{Apart: true, Loose: true}, Feed: inject.Injection{Volts: 1, Amps: 2, Path: .02}, Part: isolate.None}
	spot := look
	spot.Seen, spot.Spot = true, isolate.Spot{Board: lowerBoard, Side: board.Bottom, X: 17, Placed: true, Cover: isolate.None}
	if a, b := of(c.With(&spot), onPart(under)), of(c.With(&spot), onPart(far)); a < 5*b {
		t.Errorf("it is warm behind a part, which has %v, one elsewhere has %v", a, b)
	}
	together := look
	together.State = isolate.State{}
	apart, closed := c.With(&look), c.With(&together)
	if a, b := of(apart, onPart(under)), of(closed, onPart(under)); a >= b {
		t.Errorf("nothing shows: what lies under a cover has %v with its back open, %v with it closed", a, b)
	}
}

// TestPower: the chance that a short shows rises with the power, by the worked
// values of what 1 V and 2 A do: a supply of 0.1 A shows hardly anything.
func TestPower(t *testing.T) {
	s := newStack(1)
	open := s.part(s.branches[0], lowerBoard, isolate.None, 5)
	s.part(s.branches[0], lowerBoard, isolate.None, 45)
	d := s.done()
	c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil), isolate.CommonPractice())
	last := -1.0
	for _, amps := range []float64{.01, .1, .5, 2} {
		h := &isolate.Heat{At: d.Source, Feed: inject.Injection{Volts: 1, Amps: amps, Path: .02}, Seen: true, Part: open}
		p := of(c.With(h), onPart(open))
		if p <= last {
			t.Errorf("with %v A the warm part has %v, with less %v", amps, p, last)
		}
		last = p
	}
}

// TestCorrosion: corrosion seen in a zone speaks for its copper and, less, its
// parts; none seen speaks against them.
func TestCorrosion(t *testing.T) {
	s := newStack(1)
	near := s.part(s.branches[0], lowerBoard, isolate.None, 5)
	far := s.part(s.branches[0], lowerBoard, isolate.None, 45)
	d := s.done()
	c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.Liquid), nil), isolate.CommonPractice())
	spot := d.Parts[near].Spot
	seen := c.With(&isolate.Stain{Spot: spot, Radius: 3, Seen: true})
	not := c.With(&isolate.Stain{Spot: spot, Radius: 3})
	if a, b := of(seen, onPart(near)), of(seen, onPart(far)); a < 3*b {
		t.Errorf("corrosion was seen: the part there has %v, another %v", a, b)
	}
	if a, b := of(not, onPart(near)), of(not, onPart(far)); a >= b {
		t.Errorf("none was seen: the part there has %v, another %v", a, b)
	}
	zone := c.With(&isolate.Stain{Spot: spot, Seen: true})
	if a, b := of(zone, isZone), of(c, isZone); a < 1.5*b {
		t.Errorf("corrosion was seen all over: the copper has %v, before %v", a, b)
	}
}

func isZone(f *isolate.Fault) bool { return f.Kind == isolate.Zone }
