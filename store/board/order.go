package board

import (
	"cmp"
	"slices"
)

// order sorts every kind of thing naturally and renumbers all references.
func (b *Board) order() {
	parts := sortBy(b.Parts, func(p *Part) string { return p.Name })
	nets := sortBy(b.Nets, func(n *Net) string { return n.Name })
	pads := sortBy(b.Pads, func(p *Pad) string { return p.Name })
	sortBy(b.Covers, func(c *Cover) string { return c.Name })
	sortBy(b.Branches, func(x *Branch) string { return x.Name })

	for i := range b.Pins {
		p := &b.Pins[i]
		p.Part, p.Net = moved(parts, p.Part), moved(nets, p.Net)
	}
	pins := sortPins(b.Pins)
	for i := range b.Pads {
		b.Pads[i].Net = moved(nets, b.Pads[i].Net)
	}
	for i := range b.Covers {
		c := &b.Covers[i]
		c.Part = moved(parts, c.Part)
		c.Parts, c.Pads = movedSet(parts, c.Parts), movedSet(pads, c.Pads)
	}
	for i := range b.Branches {
		x := &b.Branches[i]
		x.Net = moved(nets, x.Net)
		x.Pads, x.Pins = movedSet(pads, x.Pads), movedSet(pins, x.Pins)
	}
	for i := range b.Vias {
		b.Vias[i].Net = moved(nets, b.Vias[i].Net)
	}
	for i := range b.Tracks {
		b.Tracks[i].Net = moved(nets, b.Tracks[i].Net)
	}
}

// index builds the slices that answer PinsOf, PinsOn and PadsOn. If there are
// some already, their memory is used again.
func (b *Board) index() {
	b.space, b.hiders, b.kept = &lazySpace{}, &lazyHiders{}, &kept{}
	b.partPins = zeros(b.partPins, len(b.Parts)+1)
	for i := range b.Pins {
		b.partPins[b.Pins[i].Part+1]++
	}
	for i := range b.Parts {
		b.partPins[i+1] += b.partPins[i]
	}
	b.netFirst, b.padFirst = zeros(b.netFirst, len(b.Nets)+1), zeros(b.padFirst, len(b.Nets)+1)
	b.netPins = group(b.netFirst, b.netPins, len(b.Pins), func(i int) NetID { return b.Pins[i].Net })
	b.netPads = group(b.padFirst, b.netPads, len(b.Pads), func(i int) NetID { return b.Pads[i].Net })
}

// zeros is a slice of n zeros, in the memory of another if that is enough.
func zeros[ID ~int32](used []ID, n int) []ID {
	if n > cap(used) {
		return make([]ID, n)
	}
	used = used[:n]
	clear(used)
	return used
}

// group lists, for each net, the things that are on it, by counting sort. Those
// of net n are ids[first[n]:first[n+1]]; first is all zeros to begin with.
func group[ID ~int32](first []int32, used []ID, things int, net func(int) NetID) []ID {
	for i := range things {
		first[net(i)+1]++ // None is in front of all nets
	}
	off := first[0]
	first[0] = 0
	for i := range first[1:] {
		first[i+1] += first[i]
	}
	ids := zeros(used, things-int(off))
	for i := range things {
		if n := net(i); n != None {
			ids[first[n]] = ID(i)
			first[n]++
		}
	}
	copy(first[1:], first) // each net now has where it ends, which is where the next begins
	first[0] = 0
	return ids
}

// sortBy sorts things naturally by name and returns where each one went.
func sortBy[T any](things []T, name func(*T) string) []int32 {
	from := make([]int32, len(things))
	for i := range from {
		from[i] = int32(i)
	}
	slices.SortFunc(from, func(i, j int32) int {
		return CompareNatural(name(&things[i]), name(&things[j]))
	})
	return permute(things, from)
}

// sortPins sorts pins by part, then naturally by name.
func sortPins(pins []Pin) []int32 {
	from := make([]int32, len(pins))
	for i := range from {
		from[i] = int32(i)
	}
	slices.SortFunc(from, func(i, j int32) int {
		a, b := &pins[i], &pins[j]
		if a.Part != b.Part {
			return cmp.Compare(a.Part, b.Part)
		}
		return CompareNatural(a.Name, b.Name)
	})
	return permute(pins, from)
}

// permute puts things[from[i]] at i and returns the inverse of from.
func permute[T any](things []T, from []int32) []int32 {
	sorted := make([]T, len(things))
	to := make([]int32, len(things))
	for i, f := range from {
		sorted[i] = things[f]
		to[f] = int32(i)
	}
	copy(things, sorted)
	return to
}

func moved[ID ~int32](to []int32, id ID) ID {
	if id == None {
		return None
	}
	return ID(to[id])
}

// movedSet renumbers ids, sorts them and drops repeats.
func movedSet[ID ~int32](to []int32, ids []ID) []ID {
	if len(ids) == 0 {
		return nil
	}
	set := make([]ID, len(ids))
	for i, id := range ids {
		set[i] = ID(to[id])
	}
	slices.Sort(set)
	return slices.Compact(set)
}
