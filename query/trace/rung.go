package trace

import (
	"slices"

	"netlore/store/board"
)

// rung adds a loose place for each pin and pad that rings so that it may be on a
// net, or on one of several. The places of nets are ends with the net for a tie.
func (w *weaver) rung(member int, nets []end, pins, pads []Place) {
	all := w.members[member].Board.Rungs()
	for i := range all {
		r := &all[i]
		where := &pins
		id := int(r.Pin)
		if r.Pad != board.None {
			where, id = &pads, int(r.Pad)
		}
		if r.Sure || (*where)[id] != None {
			continue
		}
		(*where)[id] = w.maybeOn(member, r, nets)
	}
}

// maybeOn adds the place of what may be on some nets. If one of them is ground, a
// trace that comes there may end or not.
func (w *weaver) maybeOn(member int, r *board.Rung, nets []end) Place {
	least, most := Stops, Goes
	for _, net := range r.Nets {
		s := w.stop(Copper{member, net, board.None})
		least, most = min(least, s), max(most, s)
	}
	stop := least
	if least != most {
		stop = MayStop
	}
	var pieces []Place
	for _, e := range nets {
		if slices.Contains(r.Nets, board.NetID(e.tie)) {
			pieces = append(pieces, e.place)
		}
	}
	unknown := Copper{member, board.None, board.None}
	w.places = append(w.places, unknown, unknown)
	p := w.build.AddLoose(stop)
	w.build.Copper(pieces, []Place{p})
	maybe := Crossing{Member: member, Part: board.None, Why: r.Why}
	w.crossings = append(w.crossings, maybe, maybe)
	return p
}
