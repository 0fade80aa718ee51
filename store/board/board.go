// Package board is the domain: boards, stacks, parts, pins, nets, pads,
// covers, branches and what is known about them, as pure values.
//
// It does no input or output and imports the standard library only. Lengths
// and places are whole micrometres, x to the right and y up as seen from the
// top of the board; angles are millidegrees, counter-clockwise as seen from
// the top. A Board is made by a Builder and does not change afterwards, so any
// number of goroutines may read it.
//
// Partial knowledge is normal: a part may have no place, a cover no outline.
// Methods that judge geometry answer with a Truth, which can be Unknown.
package board

import (
	"slices"
	"sort"
)

// The ids of a board's things are indices into its slices. They hold for one
// Board value only and are never stored.
type (
	PartID   int32
	PinID    int32
	NetID    int32
	PadID    int32
	CoverID  int32
	BranchID int32
)

// None is the id of nothing: a pin on no net has Net None.
const None = -1

// Ref names one revision of one board. Revision may be empty.
type Ref struct {
	Name     string
	Revision string
}

// String prints the reference as it is written in a sheet: "Heron-A rev 3".
func (r Ref) String() string {
	if r.Revision == "" {
		return r.Name
	}
	return r.Name + " rev " + r.Revision
}

// Board is one printed board of one revision. Parts, Nets, Pads, Covers and
// Branches are in natural order of their names; Pins are ordered by part, then
// naturally by pin name.
type Board struct {
	Ref
	Title   string
	Layers  int32   // copper layers; 0 when unknown
	Size    Size    // zero when unknown
	Outline Outline // zero when unknown

	Parts    []Part
	Pins     []Pin
	Nets     []Net
	Pads     []Pad
	Covers   []Cover
	Branches []Branch

	// Copper that belongs to no part: kept as geometry.
	Vias   []Via
	Holes  []Hole
	Tracks []Track

	// Made by Builder.Build and Assemble.
	partPins []PinID // partPins[p]..partPins[p+1] are the pins of part p
	netPins  []PinID // pins in order of net; netFirst slices it
	netFirst []int32
	netPads  []PadID
	padFirst []int32
	space    *lazySpace
	hiders   *lazyHiders
	kept     *kept
	rung     *rungs // made by Ringing; nil of a board as it is stated
}

// Part is one component.
type Part struct {
	Name      string // reference designator: C1201
	Class     Class
	Value     Quantity // farads, henries, ohms, hertz; Unit NoUnit when unknown
	Volts     Quantity // rated voltage
	Amps      Quantity // rated current
	Percent   Quantity // tolerance of the value, as a ratio
	Text      string   // what it is, where no quantity says it: "RF transceiver"
	Package   string   // 0402, QFN-32
	Side      Side
	Placed    bool // At and Turn are known
	At        Point
	Turn      int32
	Size      Size // body before turning; zero when not stated
	Unfitted  bool // drawn, but not on the real board
	Functions []string
}

// Pin is one terminal of one part.
type Pin struct {
	Part   PartID
	Net    NetID // None: on no net as far as known
	Name   string
	Placed bool
	Side   Side // BothSides for a through hole
	At     Point
	Shape  PadShape
}

// NetKind tells what a net is for.
type NetKind uint8

const (
	NetUnknown NetKind = iota
	Ground
	Power
	Signal
)

// Net is everything that one name connects on one board.
type Net struct {
	Name      string
	Aliases   []string
	Kind      NetKind
	Volts     Quantity // nominal; Unit NoUnit when unknown
	Functions []string
}

// Pad is a bare place to touch: an interposer pad, a test point, an edge pad.
type Pad struct {
	Name   string
	Net    NetID
	Group  string // the frame or connector it belongs to: IP1
	Placed bool
	Side   Side
	At     Point
	Shape  PadShape
}

// Risk says how likely lifting a cover does harm.
type Risk uint8

const (
	RiskUnknown Risk = iota
	RiskLow
	RiskMedium
	RiskHigh
)

// CoverKind is what a cover is.
type CoverKind uint8

const (
	CoverUnknown CoverKind = iota
	Shield
	Connector
	Reader
	Sticker
	Underfill
	Foil
	Holder
	Module
)

// Cover is a thing that hides parts from sight, probe and camera.
// A part can be a cover: then Part is that part, which it does not hide.
type Cover struct {
	Name    string
	Kind    CoverKind
	Part    PartID // None unless the cover is a part of this board
	Side    Side
	Outline Outline // zero when unknown
	// Listed says that Parts and Pads were listed by hand. A list is taken as
	// whole: with a list, geometry is not asked.
	Listed  bool
	Parts   []PartID
	Pads    []PadID
	Lift    string   // how it comes off: hot-air, unplug, peel
	Minutes Quantity // seconds; Unit NoUnit when unknown
	Risk    Risk
}

// Branch is one piece of copper of a net on one board.
type Branch struct {
	Name      string
	Net       NetID
	Pads      []PadID
	Pins      []PinID
	Functions []string
}

// Via is a plated hole between layers that belongs to no part.
type Via struct {
	Net   NetID // None when not known
	At    Point
	Drill int32
	Shape PadShape // its ring; the smallest where they differ by layer
	// From and To are copper layers, 1 at the top; 0, 0 is through all.
	From, To uint8
	// Mask is the solder-mask digit of the source file, '0'..'3', or 0.
	Mask byte
}

// Hole is an unplated or tooling hole.
type Hole struct {
	At     Point
	Drill  int32
	Plated bool
}

// Track is conductor drawn on one layer with one pen.
type Track struct {
	Net   NetID // None when not known
	Layer uint8
	Pen   PadShape
	Path  []Point
}

// PinsOf returns the pins of part p, in natural order. The slice of ids is the
// half-open range [first, last).
func (b *Board) PinsOf(p PartID) (first, last PinID) {
	return b.partPins[p], b.partPins[p+1]
}

// PinsOn returns the pins on net n in pin order. It must not be changed.
func (b *Board) PinsOn(n NetID) []PinID {
	return b.netPins[b.netFirst[n]:b.netFirst[n+1]]
}

// PadsOn returns the pads on net n in natural order. It must not be changed.
func (b *Board) PadsOn(n NetID) []PadID {
	return b.netPads[b.padFirst[n]:b.padFirst[n+1]]
}

// HasGround reports whether a net is said to be ground. Which one is never
// guessed.
func (b *Board) HasGround() bool {
	return slices.ContainsFunc(b.Nets, func(n Net) bool { return n.Kind == Ground })
}

// FindPart returns the part of exactly this name, or None.
func (b *Board) FindPart(name string) PartID {
	return PartID(find(len(b.Parts), func(i int) string { return b.Parts[i].Name }, name))
}

// FindNet returns the net of exactly this name or alias, or None. A name wins
// over an alias.
func (b *Board) FindNet(name string) NetID {
	if n := find(len(b.Nets), func(i int) string { return b.Nets[i].Name }, name); n != None {
		return NetID(n)
	}
	for i := range b.Nets {
		for _, a := range b.Nets[i].Aliases {
			if a == name {
				return NetID(i)
			}
		}
	}
	return None
}

// FindPad returns the pad of exactly this name, or None.
func (b *Board) FindPad(name string) PadID {
	return PadID(find(len(b.Pads), func(i int) string { return b.Pads[i].Name }, name))
}

// FindCover returns the cover of exactly this name, or None.
func (b *Board) FindCover(name string) CoverID {
	return CoverID(find(len(b.Covers), func(i int) string { return b.Covers[i].Name }, name))
}

// FindPin returns the pin of this name on part p, or None.
func (b *Board) FindPin(p PartID, name string) PinID {
	first, last := b.PinsOf(p)
	i := find(int(last-first), func(i int) string { return b.Pins[int(first)+i].Name }, name)
	if i == None {
		return None
	}
	return first + PinID(i)
}

// PinName returns the full name of a pin: "U300.A4".
func (b *Board) PinName(p PinID) string {
	return b.Parts[b.Pins[p].Part].Name + "." + b.Pins[p].Name
}

// find does a binary search in names that are in natural order.
func find(n int, name func(int) string, want string) int {
	i := sort.Search(n, func(i int) bool { return CompareNatural(name(i), want) >= 0 })
	if i < n && name(i) == want {
		return i
	}
	return None
}
