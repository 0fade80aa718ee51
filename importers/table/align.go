package table

import (
	"fmt"

	"netlore/query/diag"
	"netlore/store/board"
)

// near is how far beside its pins the place of a part may be, in micrometres:
// some programs give the place of pin 1, or of the body.
const near = 2000

// enough is how many parts must have pins with places, for these to tell
// anything.
const enough = 10

// unitByPins is the one unit in which nearly all parts lie on their pins, and
// how many do. It is "" if no netlist has given places of pins, or if they do
// not decide it.
func (r *reader) unitByPins() (unit string, parts int) {
	pins := r.pinBounds()
	found := ""
	for _, u := range []string{"mm", "mil", "in"} {
		on, of := r.lying(pins, u)
		if of < enough || on*10 < of*8 {
			continue
		}
		if found != "" {
			return "", 0
		}
		found, parts = u, on
	}
	return found, parts
}

// checkPins warns if most parts lie beside their pins.
func (r *reader) checkPins(unit string) {
	on, of := r.lying(r.pinBounds(), unit)
	if of < enough || on*2 >= of {
		return
	}
	r.remark("T125", diag.Warning, fmt.Sprintf("only %d of %d parts lie on the pins that another file gives them", on, of),
		"do both files have the same origin, the same revision, and neither is mirrored?")
}

// pinBounds are the boxes round the pins of each part, as far as they have
// places.
func (r *reader) pinBounds() map[board.PartID]board.Bounds {
	boxes := map[board.PartID]board.Bounds{}
	if len(r.places.all) == 0 {
		return boxes
	}
	for i := range r.board.Board().Pins {
		p := r.board.PinAt(board.PinID(i))
		if !p.Placed {
			continue
		}
		b, ok := boxes[p.Part]
		if !ok {
			b = board.Bounds{Min: p.At, Max: p.At}
		}
		b.Min = board.Point{X: min(b.Min.X, p.At.X), Y: min(b.Min.Y, p.At.Y)}
		b.Max = board.Point{X: max(b.Max.X, p.At.X), Y: max(b.Max.Y, p.At.Y)}
		boxes[p.Part] = b
	}
	return boxes
}

// lying counts the parts of this file that lie on their pins, and those that
// have pins with places.
func (r *reader) lying(pins map[board.PartID]board.Bounds, unit string) (on, of int) {
	for i := range r.places.all {
		s := &r.places.all[i]
		if s.key.thing != aPart {
			continue
		}
		box, ok := pins[board.PartID(s.key.id)]
		if !ok || !s.placed {
			continue
		}
		of++
		if at, ok := s.point(unit); ok && box.Min.X-near <= at.X && at.X <= box.Max.X+near &&
			box.Min.Y-near <= at.Y && at.Y <= box.Max.Y+near {
			on++
		}
	}
	return on, of
}
