package board

import "strings"

// Found is what a target can be on one board. The first of the kinds is the
// one that is taken; there are none if nothing has the name.
type Found struct {
	Kinds []TargetKind
	Net   NetID // that the thing is on, or is; None if on none
}

// Find finds what a target names, whatever its role: without a word before it a
// pad, else a net, else a part, else a pin, else a cover or branch.
func (b *Board) Find(t Target) Found {
	r := Found{Net: None}
	for _, kind := range []TargetKind{OnPad, OnNet, OnPart, OnPin, OnCover, OnBranch} {
		if t.Kind != kind && t.Kind != AnyTarget {
			continue
		}
		if net, ok := b.lookUp(kind, t); ok {
			if len(r.Kinds) == 0 {
				r.Net = net
			}
			r.Kinds = append(r.Kinds, kind)
		}
		if kind == OnPart && len(r.Kinds) > 0 {
			break // a whole name is not taken apart, and a cover may be a part
		}
	}
	return r
}

// lookUp finds a thing of one kind, and the net it is on.
func (b *Board) lookUp(kind TargetKind, t Target) (NetID, bool) {
	switch kind {
	case OnPad:
		if id := b.FindPad(t.Name); id != None {
			return b.Pads[id].Net, true
		}
	case OnNet:
		id := b.FindNet(t.Name)
		return id, id != None
	case OnPart:
		return None, b.FindPart(t.Name) != None
	case OnPin:
		if id, ok := b.findPinOf(t); ok {
			return b.Pins[id].Net, true
		}
	case OnCover:
		return None, b.FindCover(t.Name) != None
	case OnBranch:
		for i := range b.Branches {
			if b.Branches[i].Name == t.Name {
				return b.Branches[i].Net, true
			}
		}
	}
	return None, false
}

// findPinOf finds a pin. A target without a word before it has part and pin in
// one name.
func (b *Board) findPinOf(t Target) (PinID, bool) {
	part, pin := t.Name, t.Pin
	if pin == "" {
		i := strings.LastIndexByte(part, '.')
		if i < 0 {
			return None, false
		}
		part, pin = part[:i], part[i+1:]
	}
	p := b.FindPart(part)
	if p == None {
		return None, false
	}
	id := b.FindPin(p, pin)
	return id, id != None
}

// Names lists what a target can name: pads, nets by all their names, parts and
// covers.
func (b *Board) Names() []string {
	var names []string
	for i := range b.Pads {
		names = append(names, b.Pads[i].Name)
	}
	for i := range b.Nets {
		names = append(append(names, b.Nets[i].Name), b.Nets[i].Aliases...)
	}
	for i := range b.Parts {
		names = append(names, b.Parts[i].Name)
	}
	for i := range b.Covers {
		names = append(names, b.Covers[i].Name)
	}
	return names
}
