package run

import (
	"slices"

	"netlore/query/trace"
	"netlore/query/words"
	"netlore/store/board"
)

// rails are the rails of a device that a part may make, and how far each is from
// where the supply comes in: a rail is made by those of the parts on it that are
// on a rail nearer to there, too. Which pin of a part is its output nothing tells;
// that nearer is where it draws from is common practice, no source.
type rails struct {
	w      *assembly
	supply *trace.Supply
	of     map[trace.Place]int // the rail of each place
	makers [][]memberThing     // on each rail
	power  []bool              // it has a power net
	signal []bool              // it carries no supply
	fed    []bool              // from outside: by a battery, a charger, a plug
	steps  []int               // from such a one, -1 if there is no way from it
}

// feeding and making are the classes of parts that feed a device, and that make a
// rail from another one.
var (
	feeding = []board.Class{board.Battery, board.Charger}
	making  = []board.Class{board.PowerManager, board.Regulator, board.Converter, board.LoadSwitch}
)

func isOf(c board.Class, classes []board.Class) bool { return slices.ContainsFunc(classes, c.Is) }

// railsOf finds the rails of a device.
func (w *assembly) railsOf(supply *trace.Supply) *rails {
	r := &rails{w: w, supply: supply, of: map[trace.Place]int{}}
	for member := range w.scope.Members {
		for id := range w.site(member).b.Parts {
			x := memberThing{member, thing{words.Parts, int32(id)}}
			if part := &w.site(member).b.Parts[id]; !part.Unfitted && (isOf(part.Class, feeding) || isOf(part.Class, making)) {
				r.add(x)
			}
		}
	}
	r.findFed()
	r.count()
	return r
}

// add puts a part on its rails.
func (r *rails) add(x memberThing) {
	for _, p := range placesOf(nil, r.supply, x) {
		if r.supply.Stop(p) == trace.Stops {
			continue
		}
		id, ok := r.of[p]
		if !ok {
			id = r.mark(p)
		}
		if !slices.Contains(r.makers[id], x) {
			r.makers[id] = append(r.makers[id], x)
		}
	}
}

// mark finds all of a rail.
func (r *rails) mark(p trace.Place) int {
	id := len(r.makers)
	r.makers = append(r.makers, nil)
	power, supplies := false, true
	reach := r.supply.Reach([]trace.Place{p}, trace.Ties{All: true})
	for q := range trace.Place(r.supply.Places()) {
		if !reach.Has(q) || r.supply.Stop(q) == trace.Stops {
			continue
		}
		r.of[q] = id
		if c := r.supply.Copper(q); c.Net != board.None {
			b := r.w.site(c.Member).b
			power = power || b.Nets[c.Net].Kind == board.Power
			supplies = supplies && onlySupplies(b, c.Net)
		}
	}
	r.power, r.signal = append(r.power, power), append(r.signal, !power && !supplies)
	return id
}

// onlySupplies reports whether a net, which is not stated to be of power, leads from
// one part that makes a rail to another: nothing else is on it but small parts.
func onlySupplies(b *board.Board, net board.NetID) bool {
	makers := 0
	for _, pin := range b.PinsOn(net) {
		c := b.Parts[b.Pins[pin].Part].Class
		if isOf(c, making) {
			makers++
		} else if !isSmall(c) {
			return false
		}
	}
	return makers > 1
}

// findFed finds the rails that are fed from outside: by batteries and chargers,
// and where there is none on the device, by plugs.
func (r *rails) findFed() {
	r.fed = make([]bool, len(r.makers))
	none := true
	for id, makers := range r.makers {
		r.fed[id] = r.power[id] && slices.ContainsFunc(makers, func(x memberThing) bool { return isOf(r.class(x), feeding) })
		none = none && !r.fed[id]
	}
	if none {
		for p, id := range r.of {
			r.fed[id] = r.fed[id] || r.power[id] && r.isPlugged(p)
		}
	}
}

func (r *rails) class(x memberThing) board.Class { return r.w.site(x.member).b.Parts[x.id].Class }

// isPlugged reports whether a connector is at a place.
func (r *rails) isPlugged(p trace.Place) bool {
	c := r.supply.Copper(p)
	if c.Net == board.None {
		return false
	}
	b := r.w.site(c.Member).b
	return slices.ContainsFunc(b.PinsOn(c.Net), func(pin board.PinID) bool {
		return b.Parts[b.Pins[pin].Part].Class.Is(board.ConnectorPart)
	})
}

// count counts how far each rail is from one that is fed, part by part.
func (r *rails) count() {
	on := map[memberThing][]int{}
	for id, makers := range r.makers {
		for _, x := range makers {
			if !r.signal[id] {
				on[x] = append(on[x], id)
			}
		}
	}
	r.steps = make([]int, len(r.makers))
	var next []int
	for id := range r.steps {
		if r.steps[id] = -1; r.fed[id] {
			r.steps[id], next = 0, append(next, id)
		}
	}
	for len(next) > 0 {
		id := next[0]
		next = next[1:]
		for _, x := range r.makers[id] {
			for _, far := range on[x] {
				if r.steps[far] < 0 {
					r.steps[far], next = r.steps[id]+1, append(next, far)
				}
			}
		}
	}
}

// makersOf are the parts that may make the rail of some places; none if it may be
// fed by a plug. A charger draws from a plug, and what it feeds has none. (Common
// practice, no source.)
func (r *rails) makersOf(places []trace.Place) (all []memberThing) {
	for _, p := range places {
		id, ok := r.of[p]
		if !ok || r.signal[id] {
			continue
		}
		for _, x := range r.makers[id] {
			switch {
			case r.steps[id] != 0:
				if r.draws(x, r.steps[id]) {
					all = append(all, x)
				}
			case isOf(r.class(x), feeding):
				all = append(all, x)
			}
		}
		if r.steps[id] == 0 && r.hasPlug(id) {
			return nil
		}
		return all
	}
	return nil
}

func (r *rails) hasPlug(id int) bool {
	for p, on := range r.of {
		if on == id && r.isPlugged(p) {
			return true
		}
	}
	return false
}

// draws reports whether a part is on a rail that is nearer to where the supply comes
// in, or, of rails to which no way is known, on any.
func (r *rails) draws(x memberThing, steps int) bool {
	return steps < 0 || slices.ContainsFunc(placesOf(nil, r.supply, x), func(p trace.Place) bool {
		id, ok := r.of[p]
		return ok && r.steps[id] >= 0 && r.steps[id] < steps
	})
}
