package sheet

import (
	"strings"

	"netlore/store/board"
)

// found is what a target can be on one board. The first of the kinds is the
// one that is taken.
type found struct {
	kinds []board.TargetKind
	net   board.NetID // that the thing is on, or is; None if on none
}

// resolve finds what a target names: without a word before it a pad, else a
// net, else a part, else a pin, else a cover or branch.
func resolve(b *board.Board, t board.Target) found {
	r := found{net: board.None}
	for _, kind := range []board.TargetKind{board.OnPad, board.OnNet, board.OnPart, board.OnPin, board.OnCover, board.OnBranch} {
		if t.Kind != kind && t.Kind != board.AnyTarget {
			continue
		}
		if net, ok := lookUp(b, kind, t); ok {
			if len(r.kinds) == 0 {
				r.net = net
			}
			r.kinds = append(r.kinds, kind)
		}
		if kind == board.OnPart && len(r.kinds) > 0 {
			break // a whole name is not taken apart, and a cover may be a part
		}
	}
	return r
}

// lookUp finds a thing of one kind, and the net it is on.
func lookUp(b *board.Board, kind board.TargetKind, t board.Target) (board.NetID, bool) {
	switch kind {
	case board.OnPad:
		if id := b.FindPad(t.Name); id != board.None {
			return b.Pads[id].Net, true
		}
	case board.OnNet:
		id := b.FindNet(t.Name)
		return id, id != board.None
	case board.OnPart:
		return board.None, b.FindPart(t.Name) != board.None
	case board.OnPin:
		return lookUpPin(b, t)
	case board.OnCover:
		return board.None, b.FindCover(t.Name) != board.None
	case board.OnBranch:
		for i := range b.Branches {
			if b.Branches[i].Name == t.Name {
				return b.Branches[i].Net, true
			}
		}
	}
	return board.None, false
}

// lookUpPin finds a pin. A target without a word before it has part and pin in
// one name.
func lookUpPin(b *board.Board, t board.Target) (board.NetID, bool) {
	part, pin := t.Name, t.Pin
	if pin == "" {
		i := strings.LastIndexByte(part, '.')
		if i < 0 {
			return board.None, false
		}
		part, pin = part[:i], part[i+1:]
	}
	p := b.FindPart(part)
	if p == board.None {
		return board.None, false
	}
	id := b.FindPin(p, pin)
	if id == board.None {
		return board.None, false
	}
	return b.Pins[id].Net, true
}
