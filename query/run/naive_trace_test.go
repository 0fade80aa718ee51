package run_test

import (
	"slices"

	"netlore/query/check"
	"netlore/query/words"
	"netlore/store/board"
)

// Traces as naive sees them: the truth that each spot is reached is the best
// over all ways of the worst on a way, found by trying every way from every
// spot until nothing gets better.

// spot is a piece of copper: a net, a branch, or a pin or pad of which the
// branch is not known. Beside declared branches such a one is come to by a part,
// or by copper: then it leads on by parts only, because it is on one branch at
// most. Outside is what
// the frame pads on a net lead to.
type spot struct {
	kind   rune // n net, b piece, p pin, d pad, o outside
	id     int
	copper bool
}

type spots map[spot]board.Truth

func (s spots) raise(at spot, t board.Truth) bool {
	if s[at] >= t {
		return false
	}
	s[at] = t
	return true
}

// of is how true it is that a spot is reached, however it is come to.
func (s spots) of(at spot) board.Truth {
	came := at
	came.copper = true
	return max(s[at], s[came])
}

// spotsOf are the spots of a pin or pad: more than one if it is in several
// branches.
func (n naive) spotsOf(noun words.Noun, id int) []spot {
	net := n.netOf(noun, id)
	if net < 0 {
		return nil
	}
	var in []spot
	several := false
	c := n.pieces()
	for i, x := range c.pieces {
		several = several || x.net == net
		if slices.Contains(x.of(noun), id) {
			in = append(in, spot{kind: 'b', id: i})
		}
	}
	switch {
	case in != nil:
		return in
	case !several:
		return []spot{{kind: 'n', id: net}}
	case noun == words.Pins:
		return []spot{{kind: 'p', id: id}}
	}
	return []spot{{kind: 'd', id: id}}
}

func (n naive) netOfSpot(s spot) int {
	switch s.kind {
	case 'b':
		return n.pieces().pieces[s.id].net
	case 'p':
		return n.netOf(words.Pins, s.id)
	case 'd':
		return n.netOf(words.Pads, s.id)
	}
	return s.id
}

// isLoose reports whether it is not known which branch a spot is on.
func (n naive) isLoose(s spot) bool {
	return s.kind == 'p' || s.kind == 'd' || s.kind == 'b' && n.pieces().pieces[s.id].rest
}

// spotsOfNet are the spots of a net that is not one piece.
func (n naive) spotsOfNet(net int) []spot {
	var list []spot
	for i, x := range n.pieces().pieces {
		if x.net == net {
			list = append(list, spot{kind: 'b', id: i})
		}
	}
	for _, l := range n.loose() {
		if n.netOfSpot(l) == net && l.kind != 'b' {
			list = append(list, l)
		}
	}
	return list
}

// ground is how true it is that a trace ends at a spot.
func (n naive) ground(s spot) board.Truth {
	stated := false
	for _, net := range n.b.Nets {
		stated = stated || net.Kind == board.Ground
	}
	switch kind := n.b.Nets[n.netOfSpot(s)].Kind; {
	case s.kind == 'o' || kind == board.Ground:
		return board.True
	case kind == board.NetUnknown && !stated:
		return board.Unknown
	}
	return board.False
}

// opened are the parts and pads that a trace does not cross.
type opened struct{ parts, pads map[int]bool }

// passing is how true it is that a part lets a trace through.
func (n naive) passing(id int, passes []check.Pass, at int) board.Truth {
	part := &n.b.Parts[id]
	best, any := board.False, false
	for _, p := range passes {
		t := board.True
		if !p.Any {
			t = n.kind(part, p.Kind)
		}
		if p.Below.Known() {
			ohms := board.Unknown
			switch {
			case part.Class == board.Capacitor || part.Class == board.Crystal:
				ohms = board.False
			case part.Class != board.Bead && part.Value.Known() && part.Value.Unit == board.Ohm:
				ohms = truth(part.Value.Float() < p.Below.Float())
			}
			t = least(t, ohms)
		}
		best, any = max(best, t), any || p.Any && !p.Below.Known()
	}
	if at > 2 && !any {
		best = least(best, board.Unknown)
	}
	return best
}

// reach is what some spots lead to. Nothing is come to that avoid has surely.
func (n naive) reach(from spots, passes []check.Pass, cut opened, avoid spots) spots {
	got := spots{}
	for s, t := range from {
		got[s] = t
	}
	pins := make([][]spot, len(n.b.Parts))
	for p := range n.b.Pins {
		part := n.b.Pins[p].Part
		pins[part] = append(pins[part], n.pinSpot(p)...)
	}
	ties := make([]board.Truth, len(pins))
	for part, at := range pins {
		if !n.b.Parts[part].Unfitted && !cut.parts[part] {
			ties[part] = n.passing(part, passes, len(distinct(at)))
		}
	}
	copper := n.copper()
	for changed := true; changed; {
		changed = false
		step := func(from, to spot, tie board.Truth) {
			t := least(got.leaving(n, from), tie)
			if avoid[to] != board.True && t > board.False {
				changed = got.raise(to, t) || changed
			}
		}
		for part, at := range pins {
			for _, a := range at {
				for _, b := range at {
					if tie := ties[part]; a != b && tie > board.False {
						step(a, b, tie)
						step(n.came(a), b, tie)
					}
				}
			}
		}
		for _, c := range copper { // ground does not end what is one piece
			if avoid[c.to] == board.True {
				continue
			}
			for _, at := range [][2]spot{{c.from, c.to}, {mark(c.from), mark(c.to)}} {
				if t := least(got[at[0]], c.tie); t > board.False {
					changed = got.raise(at[1], t) || changed
				}
			}
		}
		for pad := range n.b.Pads {
			if at := n.spotsOf(words.Pads, pad); n.b.Pads[pad].Group != "" && at != nil && !cut.pads[pad] {
				out := spot{kind: 'o', id: n.netOf(words.Pads, pad)}
				for _, s := range append(at, n.came(at[0])) {
					step(s, out, board.True)
				}
				step(out, at[0], board.True)
			}
		}
	}
	return got
}

// pinSpot is where a part is tied to copper by a pin; if that is in several
// branches, which then are one piece, in the first.
func (n naive) pinSpot(pin int) []spot {
	at := n.spotsOf(words.Pins, pin)
	return at[:min(len(at), 1)]
}

func (n naive) came(s spot) spot {
	s.copper = n.isLoose(s) && !n.pieces().apart[n.netOfSpot(s)]
	return s
}

func distinct(list []spot) map[spot]bool {
	set := map[spot]bool{}
	for _, s := range list {
		set[s] = true
	}
	return set
}

// leaving is how true it is that a trace goes on from a spot. Where it began
// does not end it.
func (s spots) leaving(n naive, from spot) board.Truth {
	if t, ok := s[mark(from)]; ok {
		return max(t, least(s[from], opposite(n.ground(from))))
	}
	return least(s[from], opposite(n.ground(from)))
}

// begin marks where a trace begins; what is one piece with it is marked, too.
func (s spots) begin(at spot, t board.Truth) {
	s.raise(at, t)
	s.raise(mark(at), t)
}

// mark is the key under which it is kept that a trace begins at a spot.
func mark(at spot) spot { return spot{kind: 'x', id: int(at.kind)<<20 | at.id, copper: at.copper} }

func (n naive) loose() []spot {
	var list []spot
	for i, x := range n.pieces().pieces {
		if x.rest {
			list = append(list, spot{kind: 'b', id: i})
		}
	}
	for p := range n.b.Pins {
		if s := n.spotsOf(words.Pins, p); s != nil && s[0].kind == 'p' {
			list = append(list, s[0])
		}
	}
	for p := range n.b.Pads {
		if s := n.spotsOf(words.Pads, p); s != nil && s[0].kind == 'd' {
			list = append(list, s[0])
		}
	}
	return list
}

// copperStep leads from copper to copper without a part.
type copperStep struct {
	from, to spot
	tie      board.Truth
}

// copper is the steps from branch to branch, which something in both makes one,
// and those from and to what may be on a branch.
func (n naive) copper() []copperStep {
	var all []copperStep
	for _, noun := range []words.Noun{words.Pins, words.Pads} {
		for id := range n.count(noun) {
			at := n.spotsOf(noun, id)
			for _, a := range at {
				for _, b := range at {
					if a != b {
						all = append(all, copperStep{a, b, board.True})
					}
				}
			}
		}
	}
	loose := n.loose()
	for _, l := range loose {
		if n.pieces().apart[n.netOfSpot(l)] {
			continue
		}
		for i, x := range n.pieces().pieces {
			if b := (spot{kind: 'b', id: i}); x.net == n.netOfSpot(l) && !x.rest {
				all = append(all, copperStep{b, n.came(l), board.Unknown}, copperStep{l, b, board.Unknown})
			}
		}
		for _, o := range loose {
			if n.netOfSpot(o) == n.netOfSpot(l) {
				all = append(all, copperStep{l, n.came(o), board.Unknown})
			}
		}
	}
	for net := range n.pieces().apart {
		list := n.spotsOfNet(net)
		for _, a := range list {
			for _, b := range list {
				if a != b {
					all = append(all, copperStep{a, b, board.Unknown})
				}
			}
		}
	}
	return all
}
