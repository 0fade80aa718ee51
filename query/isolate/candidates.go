package isolate

import (
	"cmp"
	"slices"

	"netlore/query/isolate/inject"
	"netlore/query/isolate/sequence"
	"netlore/query/trace"
	"netlore/store/board"
)

// TestKind is what a test does.
type TestKind uint8

// The kinds of tests.
const (
	FeedIt    TestKind = iota // the device, or one half alone, and read the draw
	TapeIt                    // a run of pads, and feed the device
	ReadIt                    // with a meter
	InjectIt                  // and look for what becomes warm
	LookAtIt                  // for corrosion
	LiftIt                    // a part, and see whether the short is gone
	MeasureIt                 // milliohms along a piece of copper, and see where they are lowest
)

// Test is a test that can be made. What a kind does not say is None or zero.
type Test struct {
	Kind   TestKind
	At     []trace.Place    // where it is fed, or the tip of the meter is
	Half   int              // fed alone; None is the whole device
	First  int              // the first pad of a run of tape
	Pads   int              // and how many pads along the frame
	Probe  int              // where the meter goes
	Part   int              // that is lifted
	Points []int            // where milliohms are read
	View   View             // that is looked at
	With   Tool             // by which warmth is looked for
	Feed   inject.Injection // while that is looked at
	State  State            // of the device while it is made
	Cost   Cost             // without what it takes to come to that state
}

// Observation is what was observed if something, or nothing, was seen in a test. If
// something was warm, what it was has to be filled in.
func (t *Test) Observation(seen bool) Observation {
	switch t.Kind {
	case InjectIt:
		return &Heat{With: t.With, At: t.At, State: t.State, Feed: t.Feed, Seen: seen, Part: None}
	case LookAtIt:
		return &Stain{State: t.State, Spot: t.View.Spot(), Seen: seen}
	case ReadIt:
		return &Short{By: Reading, At: t.At, State: t.State, Seen: seen}
	case MeasureIt:
		return &Short{By: Reading, At: t.At, State: t.State, Seen: seen}
	case TapeIt:
		return &Short{By: Tape, At: t.At, State: t.State, Seen: seen}
	}
	return &Short{By: Draw, At: t.At, State: t.State, Seen: seen}
}

// View is what can be looked at at once: what is open on one side of a board, or
// what lies under one cover.
type View struct {
	Board  int
	Side   board.Side
	Cover  int // None for what is open
	Inside bool
}

// Bench is what there is to work with.
type Bench struct {
	Costs     Costs
	Feed      inject.Injection
	Camera    bool
	Milliohms bool    // a meter that resolves them, with four wires
	Spray     bool    // freezer spray, which is proposed where there is no camera
	Sure      float64 // the chance at which a suspect is taken to be it; 0 stands for 0.95
}

// candidate is a test and what it tells of each fault.
type candidate struct {
	Test
	tells sequence.Test
}

// candidates makes tests for a device in some state.
type candidates struct {
	*crowd
	bench *Bench
	state State
	all   []candidate
}

// add adds a test for the short: how likely a current flows into each fault says how
// likely it is seen. On is what the test needs.
func (k *candidates) add(t Test, flows []float64, e Error, on sequence.Mode) {
	for f, c := range flows {
		if flows[f] = e.chance(c); k.faults[f].Kind == Elsewhere {
			flows[f] = .5
		}
	}
	k.addChances(t, flows, on)
}

// addChances adds a test with two outcomes, of which the second has a chance by
// fault. There are few different ones.
func (k *candidates) addChances(t Test, chances []float64, on sequence.Mode) {
	var different []float64
	x := sequence.Test{Cost: k.bench.Costs.price(t.Cost), On: on, Outcomes: 2, Class: make([]uint16, len(chances))}
	for f, p := range chances {
		class := slices.Index(different, p)
		if class < 0 {
			class = len(different)
			different = append(different, p)
			x.Rows = append(x.Rows, yesNo(p))
		}
		x.Class[f] = uint16(class)
	}
	k.all = append(k.all, candidate{t, x})
}

// yesNo is the row of a test that says yes, which is outcome 1, with p.
func yesNo(p float64) (row []sequence.Chance) {
	for o, x := range [2]float64{1 - p, p} {
		if x > 0 {
			row = append(row, sequence.Chance{Outcome: o, P: x})
		}
	}
	return row
}

// loose is the set-up of boards that are unsoldered; that of cover i is 1<<(i+1).
const loose sequence.Mode = 1

// needs is what it takes to come to a spot.
func needs(s *Spot) (on sequence.Mode) {
	if s.Cover != None {
		on |= 2 << s.Cover
	}
	if s.Inside {
		on |= loose
	}
	return on
}

// at is the state with what a test needs: the lid off, and the boards apart or
// together.
func (k *candidates) at(s *Spot, apart bool) State {
	state := k.state
	if s != nil && s.Cover != None && !slices.Contains(state.Lids, s.Cover) {
		state.Lids = append(slices.Clip(state.Lids), s.Cover)
	}
	state.Apart = apart
	state.Loose = state.Loose || apart
	return state
}

// feeds are the whole device as it is, and each half alone.
func (k *candidates) feeds() {
	if !k.state.Apart {
		k.add(Test{Kind: FeedIt, At: k.device.Source, Half: None, State: k.state, Cost: k.bench.Costs.Feed}, k.conducts(k.device.Source, &k.state), k.rates.Draw, 0)
	}
	for i := range k.device.Halves {
		state := k.at(nil, true)
		k.add(Test{Kind: FeedIt, At: k.device.Halves[i].Feed, Half: i, State: state, Cost: k.bench.Costs.Feed}, k.conducts(k.device.Halves[i].Feed, &state), k.rates.Draw, loose)
	}
}

// tapes are the runs that are worth a thought.
func (k *candidates) tapes() {
	if !k.device.CanPart() {
		return
	}
	fr := k.newFrame(&k.state)
	for _, r := range fr.worth(k.p) {
		t := Test{Kind: TapeIt, At: k.device.Source, Half: None, First: fr.carry[r.first], State: k.at(nil, false), Cost: k.bench.Costs.Tape}
		t.State.Loose = true
		last := fr.carry[(r.first+r.pads-1)%len(fr.carry)]
		n := len(k.device.Pads)
		t.Pads = (last-t.First+n)%n + 1
		t.State.Taped = slices.Grow(slices.Clip(t.State.Taped), t.Pads)
		for i := range t.Pads {
			t.State.Taped = append(t.State.Taped, (t.First+i)%n)
		}
		k.add(t, fr.flowsByFault(r), k.rates.Tape, loose)
	}
}

// mostReads are more readings than are ever worth a thought. Where it is not known
// which pins are on one piece of copper, each is a piece of its own.
const mostReads = 100

// reads are one reading on each piece of the rail, where a meter comes to it most
// cheaply, the boards being apart if they can be. Of very many pieces, those are read
// that come first in that.
func (k *candidates) reads() {
	apart := k.state.Apart || k.device.CanPart()
	state := k.at(nil, apart)
	cut := k.device.cut(&state)
	done, n := map[trace.Place]bool{}, 0
	for _, i := range k.byAccess() {
		probe := &k.device.Probes[i]
		if done[probe.At] {
			continue
		}
		if n++; n > mostReads {
			break
		}
		sure := k.device.Graph.Reach([]trace.Place{probe.At}, trace.Ties{Cut: cut})
		for j := range k.device.Probes {
			if at := k.device.Probes[j].At; sure.Has(at) {
				done[at] = true
			}
		}
		on := needs(&probe.Spot)
		if apart {
			on |= loose
		}
		with := k.at(&probe.Spot, apart)
		at := []trace.Place{probe.At}
		k.add(Test{Kind: ReadIt, At: at, Half: probe.Half, Probe: i, State: with, Cost: k.bench.Costs.Read},
			k.conducts(at, &with), k.rates.Reading, on)
	}
}

// byAccess are the probes in order of what it costs to come to them, those first of
// as many that are where most is likely bad.
func (k *candidates) byAccess() []int {
	likely := map[trace.Place]float64{}
	for f, sites := range k.sites {
		for _, at := range sites {
			likely[k.places[at]] += k.p[f]
		}
	}
	price := func(i int) float64 {
		cover := k.device.Probes[i].Spot.Cover
		if cover == None || slices.Contains(k.state.Lids, cover) {
			return 0
		}
		return k.bench.Costs.price(k.device.Covers[cover].Off)
	}
	order := make([]int, len(k.device.Probes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(price(a), price(b)), cmp.Compare(likely[k.device.Probes[b].At], likely[k.device.Probes[a].At]))
	})
	return order
}

// fed is where the device is fed so that a current comes to a spot, and the state
// that takes.
func (k *candidates) fed(s *Spot) (at []trace.Place, half int, state State) {
	if (s.Inside || k.state.Apart) && s.Board < len(k.device.Halves) {
		return k.device.Halves[s.Board].Feed, s.Board, k.at(s, true)
	}
	return k.device.Source, None, k.at(s, k.state.Apart)
}

// lifts lift parts.
func (k *candidates) lifts(parts []int) {
	for _, i := range parts {
		x := &k.device.Parts[i]
		at, half, state := k.fed(&x.Spot)
		state.Off = append(slices.Clip(state.Off), i)
		k.add(Test{Kind: LiftIt, At: at, Half: half, Part: i, State: state, Cost: k.bench.Costs.Lift}, k.conducts(at, &state), k.rates.Draw, needs(&x.Spot))
	}
}

// worthLifting are the parts that the rail goes through, and so many of the others
// that are most likely bad.
func (c *Case) worthLifting(p []float64, off []int, most int) (parts []int) {
	chance := make([]float64, len(c.device.Parts))
	for f := range c.faults {
		for _, s := range c.faults[f].Sites {
			if s.Part != None {
				chance[s.Part] += p[f]
			}
		}
	}
	var bad []int
	for i := range chance {
		switch {
		case slices.Contains(off, i):
		case c.device.Parts[i].Tie != trace.None:
			parts = append(parts, i)
		case chance[i] > 0:
			bad = append(bad, i)
		}
	}
	slices.SortStableFunc(bad, func(a, b int) int { return cmp.Compare(chance[b], chance[a]) })
	return append(parts, bad[:min(len(bad), most)]...)
}
