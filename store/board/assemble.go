package board

import "fmt"

// Assemble makes a board of fields that are in order already, as a store keeps
// them: it checks order and references, builds the indexes, and takes over b.
// An error says what is out of order; b is then unusable.
func Assemble(b *Board) error {
	b.partPins, b.netPins, b.netFirst, b.netPads, b.padFirst, b.rung = nil, nil, nil, nil, nil, nil
	return Reassemble(b)
}

// Reassemble is Assemble for a b that was a board and got other fields. It uses
// the memory of the old indexes, so there must be no copy of what b was.
func Reassemble(b *Board) error {
	if err := b.checkOrder(); err != nil {
		return err
	}
	if err := b.checkRefs(); err != nil {
		return err
	}
	b.index()
	return nil
}

func (b *Board) checkOrder() error {
	if i := unordered(len(b.Parts), func(i int) string { return b.Parts[i].Name }); i > 0 {
		return fmt.Errorf("part %q is out of order", b.Parts[i].Name)
	}
	if i := unordered(len(b.Nets), func(i int) string { return b.Nets[i].Name }); i > 0 {
		return fmt.Errorf("net %q is out of order", b.Nets[i].Name)
	}
	if i := unordered(len(b.Pads), func(i int) string { return b.Pads[i].Name }); i > 0 {
		return fmt.Errorf("pad %q is out of order", b.Pads[i].Name)
	}
	if i := unordered(len(b.Covers), func(i int) string { return b.Covers[i].Name }); i > 0 {
		return fmt.Errorf("cover %q is out of order", b.Covers[i].Name)
	}
	if i := unordered(len(b.Branches), func(i int) string { return b.Branches[i].Name }); i > 0 {
		return fmt.Errorf("branch %q is out of order", b.Branches[i].Name)
	}
	for i := 1; i < len(b.Pins); i++ {
		p, q := &b.Pins[i-1], &b.Pins[i]
		if p.Part > q.Part || p.Part == q.Part && CompareNatural(p.Name, q.Name) >= 0 {
			return fmt.Errorf("pin %q is out of order", q.Name)
		}
	}
	return nil
}

// unordered returns the first index whose name does not follow the one before
// it, or 0.
func unordered(n int, name func(int) string) int {
	for i := 1; i < n; i++ {
		if CompareNatural(name(i-1), name(i)) >= 0 {
			return i
		}
	}
	return 0
}

func (b *Board) checkRefs() error {
	parts, pins, nets, pads := len(b.Parts), len(b.Pins), len(b.Nets), len(b.Pads)
	for i := range b.Pins {
		if !within(b.Pins[i].Part, parts) || !orNone(b.Pins[i].Net, nets) {
			return fmt.Errorf("pin %d points outside the board", i)
		}
	}
	for i := range b.Pads {
		if !orNone(b.Pads[i].Net, nets) {
			return fmt.Errorf("pad %d points outside the board", i)
		}
	}
	for i := range b.Covers {
		c := &b.Covers[i]
		if !orNone(c.Part, parts) || !allWithin(c.Parts, parts) || !allWithin(c.Pads, pads) {
			return fmt.Errorf("cover %d points outside the board", i)
		}
	}
	for i := range b.Branches {
		x := &b.Branches[i]
		if !orNone(x.Net, nets) || !allWithin(x.Pads, pads) || !allWithin(x.Pins, pins) {
			return fmt.Errorf("branch %d points outside the board", i)
		}
	}
	for i := range b.Vias {
		if !orNone(b.Vias[i].Net, nets) {
			return fmt.Errorf("via %d points outside the board", i)
		}
	}
	for i := range b.Tracks {
		if !orNone(b.Tracks[i].Net, nets) {
			return fmt.Errorf("track %d points outside the board", i)
		}
	}
	return nil
}

func within[ID ~int32](id ID, n int) bool { return id >= 0 && int(id) < n }

func orNone[ID ~int32](id ID, n int) bool { return id == None || within(id, n) }

// allWithin reports whether ids are a set within n things: each once, in order.
func allWithin[ID ~int32](ids []ID, n int) bool {
	for i, id := range ids {
		if !within(id, n) || i > 0 && ids[i-1] >= id {
			return false
		}
	}
	return true
}
