package isolate

import (
	"netlore/query/isolate/sequence"
)

// View is the view of a spot.
func (s *Spot) View() View { return View{s.Board, s.Side, s.Cover, s.Inside} }

// Spot is what lies in a view, wherever.
func (v View) Spot() Spot {
	return Spot{Board: v.Board, Side: v.Side, Cover: v.Cover, Inside: v.Inside}
}

// inViews are the views in which a fault may show, in order, and the faults of each.
func (c *Case) inViews() (order []View, faults map[View][]int) {
	faults = map[View][]int{}
	for f := range c.faults {
		for i := range c.faults[f].Sites {
			v := c.faults[f].Sites[i].Spot.View()
			have := faults[v]
			if have == nil {
				order = append(order, v)
			}
			if len(have) == 0 || have[len(have)-1] != f {
				faults[v] = append(have, f)
			}
		}
	}
	return order, faults
}

// heats are a look at each view while the rail is fed, with a camera, or else with
// freezer spray. Spots are told apart by cells of some size.
func (k *candidates) heats() {
	with, cost := Camera, k.bench.Costs.Inject
	if !k.bench.Camera {
		with, cost = FreezeSpray, k.bench.Costs.Freeze
	}
	if !k.bench.Camera && !k.bench.Spray {
		return
	}
	sense := k.rates.sense(with)
	seen := sense.seen(k.bench.Feed, 1)
	order, faults := k.inViews()
	for _, v := range order {
		spot := v.Spot()
		at, half, state := k.fed(&spot)
		flows := k.conducts(at, &state)
		on := needs(&spot)
		if state.Apart {
			on |= loose
		}
		t := Test{Kind: InjectIt, At: at, Half: half, View: v, With: with, State: state, Feed: k.bench.Feed, Cost: cost}
		k.all = append(k.all, candidate{t, k.spots(t, flows, faults[v], seen, on)})
	}
}

// spots is what a look at a view tells: outcome 0 is that nothing is seen, each
// other one that a spot is, spots that are too near to each other to be told apart
// being one. That something else is taken for the spot is left out of the plan; in
// what is concluded from a look it is not.
func (k *candidates) spots(t Test, flows []float64, faults []int, seen float64, on sequence.Mode) sequence.Test {
	x := sequence.Test{Cost: k.bench.Costs.price(t.Cost), On: on, Outcomes: 1, Class: make([]uint16, len(flows)), Rows: [][]sequence.Chance{{{Outcome: 0, P: 1}}}}
	type row struct {
		outcome int
		flow    float64
	}
	rows, outcomes := map[row]uint16{}, map[cell]int{}
	for _, f := range faults {
		if flows[f] == 0 {
			continue
		}
		key := k.cellOf(f, t.View)
		if _, ok := outcomes[key]; !ok {
			outcomes[key] = x.Outcomes
			x.Outcomes++
		}
		r := row{outcomes[key], flows[f]}
		if _, ok := rows[r]; !ok {
			rows[r] = uint16(len(x.Rows))
			d := flows[f] * seen
			x.Rows = append(x.Rows, []sequence.Chance{{Outcome: 0, P: 1 - d}, {Outcome: r.outcome, P: d}})
		}
		x.Class[f] = rows[r]
	}
	return x
}

// looks are a look at each view for corrosion.
func (k *candidates) looks() {
	order, _ := k.inViews()
	for _, v := range order {
		spot := v.Spot()
		state := k.at(&spot, spot.Inside || k.state.Apart)
		on := needs(&spot)
		stain := Stain{State: state, Spot: spot, Seen: true}
		p, _ := stain.weigh(k.crowd.Case)
		k.addChances(Test{Kind: LookAtIt, Half: None, View: v, State: state, Cost: k.bench.Costs.Look}, p, on)
	}
}
