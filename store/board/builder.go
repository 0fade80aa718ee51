package board

import (
	"maps"
	"slices"
)

// Builder collects the things of one board in any order and makes a Board.
// Adding is set-valued: saying the same thing twice is harmless. Names are
// interned, so a name that occurs ten thousand times is held once.
//
// The methods that add return pointers into the builder, valid until the next
// call that adds a thing of the same kind; fill in what is known.
type Builder struct {
	b        Board
	parts    map[string]PartID
	nets     map[string]NetID
	pads     map[string]PadID
	covers   map[string]CoverID
	branches map[string]BranchID
	pins     map[pinKey]PinID
	names    map[string]string
	texts    Texts
}

type pinKey struct {
	part PartID
	name string
}

// NewBuilder starts a board.
func NewBuilder(ref Ref) *Builder {
	return &Builder{
		b:        Board{Ref: ref},
		parts:    map[string]PartID{},
		nets:     map[string]NetID{},
		pads:     map[string]PadID{},
		covers:   map[string]CoverID{},
		branches: map[string]BranchID{},
		pins:     map[pinKey]PinID{},
		names:    map[string]string{},
	}
}

// Grow makes room for so many more parts, nets and pins, which makes adding
// them faster. It changes nothing else.
func (bu *Builder) Grow(parts, nets, pins int) {
	bu.b.Parts = slices.Grow(bu.b.Parts, parts)
	bu.b.Nets = slices.Grow(bu.b.Nets, nets)
	bu.b.Pins = slices.Grow(bu.b.Pins, pins)
	bu.parts = roomier(bu.parts, parts)
	bu.nets = roomier(bu.nets, nets)
	bu.pins = roomier(bu.pins, pins)
	bu.names = roomier(bu.names, parts+nets)
}

// roomier returns m with room for n more keys.
func roomier[K comparable, V any](m map[K]V, n int) map[K]V {
	larger := make(map[K]V, len(m)+n)
	maps.Copy(larger, m)
	return larger
}

// Intern returns s, always the same string for the same bytes. It is a copy,
// so that a name does not hold the whole file it was cut from.
func (bu *Builder) Intern(s string) string {
	kept, ok := bu.names[s]
	if !ok {
		kept = bu.texts.Keep(s)
		bu.names[kept] = kept
	}
	return kept
}

// Board gives access to the board's own fields (Title, Size, Outline, Layers)
// and to Vias, Holes and Tracks, which have no names and are appended.
func (bu *Builder) Board() *Board { return &bu.b }

// Part returns the id of the part of this name, adding it if it is new.
// A new part has the class its letters tell.
func (bu *Builder) Part(name string) PartID {
	if id, ok := bu.parts[name]; ok {
		return id
	}
	name = bu.Intern(name)
	id := PartID(len(bu.b.Parts))
	bu.b.Parts = append(bu.b.Parts, Part{Name: name, Class: ClassOf(name)})
	bu.parts[name] = id
	return id
}

// HasPart reports whether the part is known already.
func (bu *Builder) HasPart(name string) bool { _, ok := bu.parts[name]; return ok }

// Net returns the id of the net of this name, adding it if it is new.
func (bu *Builder) Net(name string) NetID {
	if id, ok := bu.nets[name]; ok {
		return id
	}
	name = bu.Intern(name)
	id := NetID(len(bu.b.Nets))
	bu.b.Nets = append(bu.b.Nets, Net{Name: name})
	bu.nets[name] = id
	return id
}

// HasNet reports whether the net is known already.
func (bu *Builder) HasNet(name string) bool { _, ok := bu.nets[name]; return ok }

// Pad returns the id of the pad of this name, adding it if it is new.
func (bu *Builder) Pad(name string) PadID {
	if id, ok := bu.pads[name]; ok {
		return id
	}
	name = bu.Intern(name)
	id := PadID(len(bu.b.Pads))
	bu.b.Pads = append(bu.b.Pads, Pad{Name: name, Net: None})
	bu.pads[name] = id
	return id
}

// Cover returns the id of the cover of this name, adding it if it is new.
func (bu *Builder) Cover(name string) CoverID {
	if id, ok := bu.covers[name]; ok {
		return id
	}
	name = bu.Intern(name)
	id := CoverID(len(bu.b.Covers))
	bu.b.Covers = append(bu.b.Covers, Cover{Name: name, Part: None})
	bu.covers[name] = id
	return id
}

// Branch returns the id of the branch of this name, adding it if it is new.
func (bu *Builder) Branch(name string) BranchID {
	if id, ok := bu.branches[name]; ok {
		return id
	}
	name = bu.Intern(name)
	id := BranchID(len(bu.b.Branches))
	bu.b.Branches = append(bu.b.Branches, Branch{Name: name, Net: None})
	bu.branches[name] = id
	return id
}

// Pin returns the id of a pin of a part, adding it, on no net, if it is new.
func (bu *Builder) Pin(part PartID, name string) PinID {
	key := pinKey{part, name}
	if id, ok := bu.pins[key]; ok {
		return id
	}
	key.name = bu.Intern(name)
	id := PinID(len(bu.b.Pins))
	bu.b.Pins = append(bu.b.Pins, Pin{Part: part, Net: None, Name: key.name})
	bu.pins[key] = id
	return id
}

// Connect puts a pin on a net. It reports false, and changes nothing, if the
// pin is on another net already: that net is returned.
func (bu *Builder) Connect(pin PinID, net NetID) (NetID, bool) {
	p := &bu.b.Pins[pin]
	if p.Net != None && p.Net != net {
		return p.Net, false
	}
	p.Net = net
	return net, true
}

// The At methods give access to a thing while the board is being built.
func (bu *Builder) PartAt(id PartID) *Part       { return &bu.b.Parts[id] }
func (bu *Builder) NetAt(id NetID) *Net          { return &bu.b.Nets[id] }
func (bu *Builder) PadAt(id PadID) *Pad          { return &bu.b.Pads[id] }
func (bu *Builder) PinAt(id PinID) *Pin          { return &bu.b.Pins[id] }
func (bu *Builder) CoverAt(id CoverID) *Cover    { return &bu.b.Covers[id] }
func (bu *Builder) BranchAt(id BranchID) *Branch { return &bu.b.Branches[id] }

// Build puts everything in order and returns the board. The builder must not
// be used afterwards.
func (bu *Builder) Build() *Board {
	b := bu.b
	for i := range b.Covers {
		if p, ok := bu.parts[b.Covers[i].Name]; ok {
			b.Covers[i].Part = p
		}
	}
	bu.b = Board{}
	b.order()
	b.index()
	return &b
}
