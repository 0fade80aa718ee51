package board

import "slices"

// ringsBelow is the resistance, in ohms, above which no continuity tester rings.
// Most stop between ten and some tens of ohms (common practice, no source).
const ringsBelow = 100

// MayRingThrough reports whether a continuity tester may ring from one pin of the
// part to another: through a coil, a bead, a fuse, a few ohms, a closed contact,
// or what is not known.
func (part *Part) MayRingThrough() bool {
	switch {
	case part.Unfitted:
		return false
	case part.Class.Is(Inductor), part.Class.Is(Bead), part.Class.Is(Fuse), part.Class.Is(Switch), part.Class.Is(Relay), part.Class.Is(Transformer),
		part.Class.Is(Filter), part.Class.Is(Speaker), part.Class.Is(Motor):
		return true
	case part.Class.Is(Resistor), part.Class.Is(Jumper), part.Class.Is(Network), part.Class.Is(Thermistor), part.Class.Is(Attenuator), part.Class == ClassUnknown:
		return !part.Value.Known() || part.Value.Unit == Ohm && part.Value.Float() <= ringsBelow
	}
	return false
}

// bridge is a part through which a tester may ring from one net to another.
type bridge struct {
	part PartID
	to   NetID
}

// bridges are, for each net, the parts that lead to other nets. Of a part of
// unknown class with more than two nets that is not taken for likely.
func (b *Board) bridges() [][]bridge {
	all := make([][]bridge, len(b.Nets))
	var nets []NetID
	for i := range b.Parts {
		p := PartID(i)
		if !b.Parts[i].MayRingThrough() {
			continue
		}
		if nets = b.netsOf(nets[:0], p); len(nets) > 2 && b.Parts[i].Class == ClassUnknown {
			continue
		}
		for _, from := range nets {
			for _, to := range nets {
				if from != to {
					all[from] = append(all[from], bridge{p, to})
				}
			}
		}
	}
	return all
}

// RingsBeyond is a part through which a tester on a net may ring from another net,
// None if there is none.
func (b *Board) RingsBeyond(net NetID) PartID {
	if all := b.bridgesKept()[net]; all != nil {
		return all[0].part
	}
	return None
}

type bridgesKey struct{}

// RingsBetween is the parts through which one net may ring to another, in order of
// the way; nil if there is no way.
func (b *Board) RingsBetween(x, y NetID) []PartID {
	back, _ := around(b.bridgesKept(), []NetID{y}, nil)
	var way []PartID
	for at, ok := back[x]; ok && at.part != None; at = back[at.to] {
		way = append(way, at.part)
	}
	return way
}

// bridgesKept are the bridges, made once.
func (b *Board) bridgesKept() [][]bridge {
	return b.Keep(bridgesKey{}, func() any { return b.bridges() }).([][]bridge)
}

// netsOf appends the nets of a part to a list, each once.
func (b *Board) netsOf(list []NetID, p PartID) []NetID {
	first, last := b.PinsOf(p)
	for pin := first; pin < last; pin++ {
		if net := b.Pins[pin].Net; net != None && !slices.Contains(list, net) {
			list = append(list, net)
		}
	}
	return list
}

// reach is which nets may ring with some, each with the part by which it was come
// to, and from which net; the part is None for those themselves.
type reach map[NetID]bridge

// around follows bridges from some nets, but not into those that are kept out. The
// nets are in the order in which they are come to.
func around(bridges [][]bridge, from []NetID, out map[NetID]bool) (reach, []NetID) {
	r, queue := reach{}, slices.Clone(from)
	for _, net := range from {
		r[net] = bridge{None, None}
	}
	for i := 0; i < len(queue); i++ {
		for _, x := range bridges[queue[i]] {
			if _, seen := r[x.to]; !seen && !out[x.to] {
				r[x.to] = bridge{x.part, queue[i]}
				queue = append(queue, x.to)
			}
		}
	}
	return r, queue
}
