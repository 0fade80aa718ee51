package isolate

import (
	"errors"
	"fmt"
	"slices"

	"netlore/query/trace"
	"netlore/store/board"
)

// None is no part, pad, cover, board or half.
const None = -1

// Device is what is on the bench, as far as a short on one of its rails goes.
type Device struct {
	Graph  *trace.Graph
	Source []trace.Place // where a supply feeds the rail of the whole device
	Halves []Half        // its boards, if it can be taken apart
	Parts  []Part        // on the rail
	Pads   []Pad         // of the frame between the boards, in order along it
	Ring   bool          // the frame is closed: the last pad is beside the first
	Covers []Cover       // at most 63
	Probes []Probe       // where a meter reaches the rail
	Points []Point       // where milliohms can be read, some for each piece of copper
}

// Half is a board of a stack.
type Half struct {
	Feed []trace.Place // where the rail is fed if the board is alone
}

// Part is a part on the rail.
type Part struct {
	Class    board.Class
	At       []trace.Place // of its pins on the rail, each once
	Grounded board.Truth   // it has a pin on ground
	Tie      trace.TieID   // that goes through it; trace.None if nothing does
	Spot     Spot
	Mode     Mode // how it fails; the zero Mode stands for that of its class
}

// Spot is where something is, and what lies over it.
type Spot struct {
	Board  int
	Side   board.Side
	X, Y   float64 // mm
	Placed bool    // X and Y are known
	Cover  int     // that hides it, None if it is open
	Inside bool    // it faces the other board, so that it is seen only when the halves are apart
}

// Pad is a pad of the frame, with the one that it is joined to.
type Pad struct {
	Ties     []trace.TieID // that open if the pad is covered or stays open
	At       []trace.Place // of the rail, on each board where it is on it
	Grounded bool
	Spot     Spot
}

// Cover is what can be taken off.
type Cover struct {
	Off  Cost
	Stay bool // it cannot come off
}

// Probe is a place for the tip of a meter.
type Probe struct {
	At   trace.Place
	Half int // None if the device is of one board
	Spot Spot
}

// State is what was done to the device. The zero State is as it came in.
type State struct {
	Loose bool          // the boards are unsoldered: by hand they go together and apart
	Apart bool          // and they are apart now
	Taped []int         // pads that are covered
	Off   []int         // parts that are lifted or taken off
	New   []int         // parts that were replaced; they can be off, too
	Lids  []int         // covers that are off
	Cut   []trace.TieID // what else is open
}

// What a device can lack.
var (
	ErrNoGround = errors.New("no net is known to be ground, so nothing can be told of a short to ground: say which net it is")
	ErrNoSource = errors.New("where the supply feeds the rail is not known: say where it comes in")
)

// NoSuchError is that a device names something that it does not have.
type NoSuchError struct {
	What   string // "place", "cover"
	Number int
}

func (e *NoSuchError) Error() string {
	return fmt.Sprintf("there is no %s of the number %d", e.What, e.Number)
}

// check finds what is wrong with a device.
func (d *Device) check() error {
	grounded := false
	for p := range d.Graph.Places() {
		grounded = grounded || d.Graph.Stop(trace.Place(p)) == trace.Stops
	}
	switch {
	case !grounded:
		return ErrNoGround
	case len(d.Source) == 0:
		return ErrNoSource
	case len(d.Covers) > 63:
		return &NoSuchError{"cover", len(d.Covers) - 1}
	}
	return errors.Join(d.checkPlaces(d.Source), d.checkSpots())
}

func (d *Device) checkPlaces(places []trace.Place) error {
	for _, p := range places {
		if p < 0 || int(p) >= d.Graph.Places() {
			return &NoSuchError{"place", int(p)}
		}
	}
	return nil
}

func (d *Device) checkSpots() error {
	var all []error
	add := func(s Spot, at []trace.Place) {
		if s.Cover != None && (s.Cover < 0 || s.Cover >= len(d.Covers)) {
			all = append(all, &NoSuchError{"cover", s.Cover})
		}
		all = append(all, d.checkPlaces(at))
	}
	for i := range d.Parts {
		add(d.Parts[i].Spot, d.Parts[i].At)
	}
	for i := range d.Pads {
		add(d.Pads[i].Spot, d.Pads[i].At)
	}
	for i := range d.Probes {
		add(d.Probes[i].Spot, []trace.Place{d.Probes[i].At})
	}
	for i := range d.Points {
		add(d.Points[i].Spot, []trace.Place{d.Points[i].At})
	}
	for i := range d.Halves {
		all = append(all, d.checkPlaces(d.Halves[i].Feed))
	}
	return errors.Join(all...)
}

// CanPart reports whether the boards can be taken apart as far as is known: that
// something joins them.
func (d *Device) CanPart() bool {
	for i := range d.Pads {
		if len(d.Pads[i].Ties) > 0 {
			return len(d.Halves) > 1
		}
	}
	return false
}

// Pieces are the pieces in which some places are in a state of the device: each is
// what one place and all that it may lead to reach. Ways that are not known of count
// as ways, so there may be more pieces.
func (d *Device) Pieces(at []trace.Place, s *State) (pieces []*trace.Reach) {
	ties := trace.Ties{Cut: d.cut(s), All: true}
	for _, p := range at {
		if !slices.ContainsFunc(pieces, func(r *trace.Reach) bool { return r.Has(p) }) {
			pieces = append(pieces, d.Graph.Reach([]trace.Place{p}, ties))
		}
	}
	return pieces
}

// cut is what is open in a state.
func (d *Device) cut(s *State) map[trace.TieID]bool {
	cut := map[trace.TieID]bool{}
	add := func(ties []trace.TieID) {
		for _, t := range ties {
			cut[t] = true
		}
	}
	add(s.Cut)
	for _, pad := range s.Taped {
		add(d.Pads[pad].Ties)
	}
	for _, part := range s.Off {
		if t := d.Parts[part].Tie; t != trace.None {
			cut[t] = true
		}
	}
	for i := range d.Pads {
		if s.Apart {
			add(d.Pads[i].Ties)
		}
	}
	return cut
}
