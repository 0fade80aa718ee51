package run_test

import (
	"slices"

	"netlore/query/words"
	"netlore/store/board"
)

// Copper as naive sees it: all pairs of boxes on common layers, and groups of
// them grown until nothing more touches.

// naivePiece is a piece of copper of a net that has more than one, or may have.
type naivePiece struct {
	net        int
	pins, pads []int
	rest       bool // of which it is not known what piece it belongs to
}

func (x naivePiece) of(noun words.Noun) []int {
	if noun == words.Pins {
		return x.pins
	}
	return x.pads
}

// naiveCopper is the pieces of a board: first the branches that are declared,
// with their ids.
type naiveCopper struct {
	pieces []naivePiece
	apart  map[int]bool // nets whose pieces may be one
}

// block is a box of copper on some layers: of a pin, a pad, a via, or one line
// of a track.
type block struct {
	rect
	from, to int
	noun     words.Noun // words.Pins, words.Pads; else drawn
	id       int
	via      bool
	track    int // else -1
}

func (a block) touches(b block) bool {
	return a.track >= 0 && a.track == b.track || a.from <= b.to && b.from <= a.to &&
		a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1
}

// pieces are what is known of the copper of the board.
func (n naive) pieces() *naiveCopper {
	if n.known.pieces == nil && n.known.apart == nil {
		*n.known = n.findPieces()
	}
	return n.known
}

// piece is the place in the list of a branch with an id. Of one that tracks leave
// it is the piece that something in it is in.
func (n naive) piece(id int) int {
	if id < len(n.b.Branches) {
		return id
	}
	x := n.b.Copper().Pieces[id]
	return slices.IndexFunc(n.pieces().pieces, func(p naivePiece) bool {
		return p.net == int(x.Net) && (len(x.Pads) > 0 && slices.Contains(p.pads, int(x.Pads[0])) || len(x.Pads) == 0 && slices.Contains(p.pins, int(x.Pins[0])))
	})
}

func (n naive) findPieces() naiveCopper {
	c := naiveCopper{apart: map[int]bool{}}
	declared := map[int]bool{}
	for _, x := range n.b.Branches {
		piece := naivePiece{net: int(x.Net)}
		for _, p := range x.Pins {
			piece.pins = append(piece.pins, int(p))
		}
		for _, p := range x.Pads {
			piece.pads = append(piece.pads, int(p))
		}
		c.pieces, declared[int(x.Net)] = append(c.pieces, piece), true
	}
	for net := range n.b.Nets {
		switch groups := n.groups(net); {
		case declared[net]:
			c.extend(groups)
		case n.b.Nets[net].Kind != board.Ground:
			c.addApart(n, net, groups)
		}
	}
	return c
}

// extend adds what touches one declared branch only.
func (c *naiveCopper) extend(groups []naiveGroup) {
	stated := slices.Clone(c.pieces)
	for _, g := range groups {
		in := map[int]bool{}
		free := naivePiece{net: g.net, rest: true}
		for _, noun := range []words.Noun{words.Pins, words.Pads} {
			for _, id := range g.of(noun) {
				some := false
				for i, x := range stated {
					if !x.rest && slices.Contains(x.of(noun), id) {
						in[i], some = true, true
					}
				}
				switch {
				case some:
				case noun == words.Pins:
					free.pins = append(free.pins, id)
				default:
					free.pads = append(free.pads, id)
				}
			}
		}
		if len(in) == 0 {
			c.pieces = append(c.pieces, free)
		}
		for i := range in {
			if len(in) == 1 {
				c.pieces[i].pins = append(c.pieces[i].pins, free.pins...)
				c.pieces[i].pads = append(c.pieces[i].pads, free.pads...)
			}
		}
	}
}

// naiveGroup is copper that touches; open if a via in it has copper on one layer
// at most.
type naiveGroup struct {
	naivePiece
	open bool
}

// addApart adds the pieces of a net if two or more could be joined elsewhere.
func (c *naiveCopper) addApart(n naive, net int, groups []naiveGroup) {
	var merged []naiveGroup
	open := -1
	for _, g := range groups {
		if g.open && open >= 0 {
			merged[open].pins = append(merged[open].pins, g.pins...)
			merged[open].pads = append(merged[open].pads, g.pads...)
			continue
		}
		if g.open {
			open = len(merged)
		}
		merged = append(merged, g)
	}
	ways := 0
	for i := range merged {
		merged[i].rest = !n.wayOut(merged, i)
		if !merged[i].rest {
			ways++
		}
	}
	if ways < 2 {
		return
	}
	c.apart[net] = true
	for _, g := range merged {
		c.pieces = append(c.pieces, g.naivePiece)
	}
}

// wayOut reports whether something else than copper can join a group to others:
// of the classes of random parts connectors and what is not known lead away,
// and resistors, inductors and beads lead to another group.
func (n naive) wayOut(all []naiveGroup, i int) bool {
	if len(all[i].pads) > 0 {
		return true
	}
	for _, p := range all[i].pins {
		part := n.b.Pins[p].Part
		switch n.b.Parts[part].Class {
		case board.ClassUnknown, board.ConnectorPart:
			return true
		case board.Resistor, board.Inductor, board.Bead:
			for k, g := range all {
				if k != i && slices.ContainsFunc(g.pins, func(q int) bool { return n.b.Pins[q].Part == part }) {
					return true
				}
			}
		}
	}
	return false
}

// groups are the pins and pads of a net that tracks and vias join, those with the
// lowest pin first.
func (n naive) groups(net int) []naiveGroup {
	if !slices.ContainsFunc(n.b.Tracks, func(t board.Track) bool { return int(t.Net) == net }) {
		return nil
	}
	blocks := n.blocks(net)
	var groups []naiveGroup
	done := make([]bool, len(blocks))
	for i := range blocks {
		if done[i] {
			continue
		}
		in := []int{i}
		done[i] = true
		for at := 0; at < len(in); at++ {
			for k := range blocks {
				if !done[k] && blocks[in[at]].touches(blocks[k]) {
					done[k] = true
					in = append(in, k)
				}
			}
		}
		if g, ok := groupOf(blocks, in); ok {
			g.net = net
			groups = append(groups, g)
		}
	}
	return groups
}

func groupOf(blocks []block, in []int) (g naiveGroup, ok bool) {
	drawn := false
	for _, i := range in {
		switch x := blocks[i]; {
		case x.noun == words.Pins:
			g.pins = append(g.pins, x.id)
		case x.noun == words.Pads:
			if !slices.Contains(g.pads, x.id) {
				g.pads = append(g.pads, x.id)
			}
		case x.via:
			low, high := 1000, 0
			for _, y := range blocks {
				if x.touches(y) && (x.from != y.from || x.to != y.to) {
					low, high = min(low, y.from), max(high, y.to)
				}
			}
			g.open, drawn = g.open || low >= high, true
		default:
			drawn = true
		}
	}
	return g, drawn && len(g.pins)+len(g.pads) > 0
}

// blocks are the copper of a net. Layers of a board of which the number is not
// known count to 256.
func (n naive) blocks(net int) (all []block) {
	last := int(n.b.Layers)
	if last == 0 {
		last = 256
	}
	add := func(noun words.Noun, id int) {
		r := n.rect(noun, id)
		if n.netOf(noun, id) != net || !r.placed {
			return
		}
		side := n.side(noun, id)
		if side == board.Top || side == board.BothSides {
			all = append(all, block{rect: r, from: 1, to: 1, noun: noun, id: id, track: -1})
		}
		if side == board.Bottom || side == board.BothSides {
			all = append(all, block{rect: r, from: last, to: last, noun: noun, id: id, track: -1})
		}
		if i := len(all) - 2; side == board.BothSides {
			all[i].track, all[i+1].track = 1_000_000+id, 1_000_000+id // the two are one
		}
	}
	for p := range n.b.Pins {
		add(words.Pins, p)
	}
	for p := range n.b.Pads {
		add(words.Pads, p)
	}
	around := func(a, b board.Point, w int32) rect {
		return rect{int(min(a.X, b.X) - w/2), int(min(a.Y, b.Y) - w/2), int(max(a.X, b.X) + w/2), int(max(a.Y, b.Y) + w/2), true}
	}
	for _, v := range n.b.Vias {
		if int(v.Net) == net {
			all = append(all, block{rect: around(v.At, v.At, v.Shape.W), from: 1, to: 256, via: true, track: -1})
		}
	}
	for i, t := range n.b.Tracks {
		for k := 1; k < len(t.Path) && int(t.Net) == net; k++ {
			all = append(all, block{rect: around(t.Path[k-1], t.Path[k], t.Pen.W), from: int(t.Layer), to: int(t.Layer), track: i})
		}
	}
	return all
}
