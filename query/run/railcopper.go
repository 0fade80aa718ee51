package run

import (
	"context"

	"netlore/query/copper"
	"netlore/query/isolate"
	"netlore/query/trace"
	"netlore/query/words"
	"netlore/store/board"
)

// railCopper is the drawn copper of a rail on all boards, as a circuit, in some
// state of the device.
type railCopper struct {
	*bench
	copper.Metal
	circuit copper.Circuit
	nets    map[memberNet]copper.Layout
	solved  *copper.Solution
}

// memberNet is a net of a member.
type memberNet struct {
	member int
	net    board.NetID
}

// What solder between two boards, and a coil, bead or fuse of which it is not
// stated, have in ohms: common practice, without a source.
const (
	jointOhms = .0005
	coilOhms  = .02
)

// copperOfRail is nil if no track of the rail is drawn on any board, or if what is
// drawn is too dense to be solved.
func (x *bench) copperOfRail(ctx context.Context, m copper.Metal, s isolate.State) (*railCopper, error) {
	r := &railCopper{bench: x, Metal: m, nets: map[memberNet]copper.Layout{}}
	for member := range x.scope.Members {
		r.lay(member)
	}
	if len(r.nets) == 0 {
		return nil, nil
	}
	r.joinBoards(&s)
	r.joinParts(&s)
	solved, err := r.circuit.Solve(ctx)
	if err == copper.ErrTooDense {
		x.remark("the copper of the rail is too dense to be worked out")
		return nil, nil
	}
	r.solved = solved
	return r, err
}

// lay lays the nets of the rail on one board.
func (r *railCopper) lay(member int) {
	b := r.site(member).b
	if len(b.Tracks) == 0 {
		return
	}
	drawing := b.Drawing()
	for p := range trace.Place(r.supply.Places()) {
		at := r.supply.Copper(p)
		key := memberNet{member, at.Net}
		if _, ok := r.nets[key]; ok || at.Member != member || at.Net == board.None || !r.onRail(p) {
			continue
		}
		if l, ok := r.Lay(&r.circuit, b, drawing, at.Net); ok {
			r.nets[key] = l
		}
	}
}

// joinBoards puts the solder of the frame between the boards, where it is not open.
func (r *railCopper) joinBoards(s *isolate.State) {
	taped := map[int]bool{}
	for _, pad := range s.Taped {
		taped[pad] = true
	}
	for i, both := range r.frame {
		a, b := r.padNode(both.a), r.padNode(both.b)
		if a != copper.None && b != copper.None && !s.Apart && !taped[i] {
			r.circuit.Resistor(a, b, jointOhms)
		}
	}
}

// joinParts puts in the parts that the rail goes through.
func (r *railCopper) joinParts(s *isolate.State) {
	off := map[int]bool{}
	for _, part := range s.Off {
		off[part] = true
	}
	for i, part := range r.parts {
		nodes := r.partNodes(part)
		if r.device.Parts[i].Tie == trace.None || off[i] || len(nodes) < 2 {
			continue
		}
		ohms := coilOhms
		if p := &r.site(part.member).b.Parts[part.id]; isResistance(p) {
			ohms = p.Value.Float()
		}
		for _, n := range nodes[1:] {
			r.circuit.Resistor(nodes[0], n, ohms)
		}
	}
}

// padNode is the node of a pad, or copper.None.
func (r *railCopper) padNode(p trace.Pad) copper.Node {
	if n, ok := r.nets[memberNet{p.Member, r.site(p.Member).b.Pads[p.ID].Net}].Pads[p.ID]; ok {
		return n
	}
	return copper.None
}

func (r *railCopper) pinNode(member int, pin board.PinID) copper.Node {
	if n, ok := r.nets[memberNet{member, r.site(member).b.Pins[pin].Net}].Pins[pin]; ok {
		return n
	}
	return copper.None
}

// partNodes are those of the pins of a part on the rail.
func (r *railCopper) partNodes(part memberThing) (all []copper.Node) {
	first, last := r.site(part.member).b.PinsOf(board.PartID(part.id))
	for pin := first; pin < last; pin++ {
		if n := r.pinNode(part.member, pin); n != copper.None {
			all = append(all, n)
		}
	}
	return all
}

// node is that of a pin, a pad, or the first pin of a part on the rail, or
// copper.None.
func (r *railCopper) node(x memberThing) copper.Node {
	switch x.noun {
	case words.Pads:
		return r.padNode(trace.Pad{Member: x.member, ID: board.PadID(x.id)})
	case words.Pins:
		return r.pinNode(x.member, board.PinID(x.id))
	case words.Parts:
		if all := r.partNodes(x); len(all) > 0 {
			return all[0]
		}
	}
	return copper.None
}
