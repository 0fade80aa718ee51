package draw

import (
	"testing"

	"netlore/store/board"
)

// TestAt points at each part and pad of the scene: at its middle lies it, or something
// smaller; and nothing is found far away from all of them.
func TestAt(t *testing.T) {
	b := smallPlan().Members[0].Board
	for i := range b.Parts {
		id := board.PartID(i)
		o, _ := b.PartOutline(id)
		if o.Zero() || b.PartSide(id) != board.Top {
			continue
		}
		box := o.Bounds()
		middle := board.Point{X: (box.Min.X + box.Max.X) / 2, Y: (box.Min.Y + box.Max.Y) / 2}
		kind, found, ok := At(b, board.Top, middle, 0)
		if !ok {
			t.Errorf("nothing is found at the middle of %s", b.Parts[i].Name)
			continue
		}
		if kind == Cover {
			t.Errorf("at %s a cover is found", b.Parts[i].Name)
		}
		if kind == Part && found != int32(i) {
			other, _ := b.PartOutline(board.PartID(found))
			if other.Area() > o.Area() {
				t.Errorf("at %s the larger %s is found", b.Parts[i].Name, b.Parts[found].Name)
			}
		}
	}
	if kind, id, ok := At(b, board.Top, board.Point{X: -1e9, Y: -1e9}, 1000); ok {
		t.Errorf("far away lies %d %d", kind, id)
	}
	if _, _, ok := At(b, board.Bottom, board.Point{X: 2e9, Y: 2e9}, 1e12); !ok {
		t.Error("nothing is found however far it may be away")
	}
}
