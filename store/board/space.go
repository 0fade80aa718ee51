package board

import (
	"cmp"
	"slices"
	"sync"
)

// Space finds the placed things of one board by where they are. Things of a kind
// are indexed when they are first asked for; any number of goroutines may ask.
type Space struct {
	board *Board
	parts func() tree[PartID]
	pads  func() tree[PadID]
	pins  func() tree[PinID]
}

// lazySpace is the Space of a board, made when it is first asked for.
type lazySpace struct {
	once  sync.Once
	space *Space
}

// Equal reports true: boards do not differ by whether their index was made.
func (*lazySpace) Equal(*lazySpace) bool { return true }

// Space returns the space index of the board. It is made once, when it is first
// asked for, and shared by all who ask.
func (b *Board) Space() *Space {
	b.space.once.Do(func() { b.space.space = NewSpace(b) })
	return b.space.space
}

// NewSpace indexes the parts, pads and pins of a board whose place is known.
func NewSpace(b *Board) *Space {
	return &Space{
		board: b,
		parts: sync.OnceValue(func() tree[PartID] { return newTree(len(b.Parts), b.PartBounds) }),
		pads: sync.OnceValue(func() tree[PadID] {
			return newTree(len(b.Pads), func(p PadID) (Bounds, Basis) {
				return copperBounds(b.Pads[p].Placed, b.Pads[p].At, b.Pads[p].Shape)
			})
		}),
		pins: sync.OnceValue(func() tree[PinID] {
			return newTree(len(b.Pins), func(p PinID) (Bounds, Basis) {
				return copperBounds(b.Pins[p].Placed, b.Pins[p].At, b.Pins[p].Shape)
			})
		}),
	}
}

// PartsIn returns the parts whose bounds share at least a point with in, in
// order of id. Parts without a place are in nothing.
func (s *Space) PartsIn(in Bounds) []PartID { return s.parts().in(in) }

// PadsIn returns the pads whose bounds share at least a point with in, in
// order of id.
func (s *Space) PadsIn(in Bounds) []PadID { return s.pads().in(in) }

// PinsIn returns the pins whose bounds share at least a point with in, in
// order of id.
func (s *Space) PinsIn(in Bounds) []PinID { return s.pins().in(in) }

// PartsNowhere returns the parts without a place, in order of id. It must not be
// changed.
func (s *Space) PartsNowhere() []PartID { return s.parts().nowhere }

// PadsNowhere returns the pads without a place, in order of id. It must not be
// changed.
func (s *Space) PadsNowhere() []PadID { return s.pads().nowhere }

// PinsNowhere returns the pins without a place, in order of id. It must not be
// changed.
func (s *Space) PinsNowhere() []PinID { return s.pins().nowhere }

// PartsBehind returns the parts that certainly lie behind an outline on one
// side of the board, in order of id; see Board.BehindPart.
func (s *Space) PartsBehind(o Outline, side Side) []PartID {
	return slices.DeleteFunc(s.PartsIn(o.Bounds()), func(p PartID) bool {
		return s.board.BehindPart(o, side, p).Truth != True
	})
}

// PartsBehind returns the parts that certainly lie behind an outline on one
// side of the board, in order of id; see BehindPart. Who asks often makes a
// Space and asks that.
func (b *Board) PartsBehind(o Outline, side Side) []PartID {
	var found []PartID
	for p := range PartID(len(b.Parts)) {
		if b.BehindPart(o, side, p).Truth == True {
			found = append(found, p)
		}
	}
	return found
}

// fan is how many entries a node of a tree has.
const fan = 16

// tree is a packed R-tree: the entries are sorted along a curve that keeps
// near things together, and boxes are made round every fan of them, then round
// every fan of those, up to a single one. Unlike a grid it does not mind a
// part that was placed a kilometre off.
type tree[ID ~int32] struct {
	ids     []ID
	levels  [][]Bounds // levels[0] are the boxes of ids
	nowhere []ID       // that have no place
}

func newTree[ID ~int32](n int, bounds func(ID) (Bounds, Basis)) tree[ID] {
	type entry struct {
		id    ID
		box   Bounds
		curve uint64
	}
	entries := make([]entry, 0, n)
	var t tree[ID]
	for id := range ID(n) {
		if box, basis := bounds(id); basis != NoPlace {
			entries = append(entries, entry{id, box, curve(box.Center())})
		} else {
			t.nowhere = append(t.nowhere, id)
		}
	}
	slices.SortFunc(entries, func(a, b entry) int {
		return cmp.Or(cmp.Compare(a.curve, b.curve), cmp.Compare(a.id, b.id))
	})
	t.ids = make([]ID, len(entries))
	boxes := make([]Bounds, len(entries))
	for i, e := range entries {
		t.ids[i], boxes[i] = e.id, e.box
	}
	t.levels = stack(boxes)
	return t
}

// stack puts levels of larger boxes onto the lowest until one box is left.
func stack(boxes []Bounds) [][]Bounds {
	levels := [][]Bounds{boxes}
	for len(boxes) > 1 {
		var larger []Bounds
		for group := range slices.Chunk(boxes, fan) {
			box := group[0]
			for _, b := range group[1:] {
				box = box.join(b)
			}
			larger = append(larger, box)
		}
		levels = append(levels, larger)
		boxes = larger
	}
	return levels
}

// in returns the ids whose boxes meet a box, sorted.
func (t tree[ID]) in(box Bounds) []ID {
	var found []ID
	top := len(t.levels) - 1
	for i := range t.levels[top] {
		found = t.search(found, box, top, i)
	}
	slices.Sort(found)
	return found
}

func (t tree[ID]) search(found []ID, box Bounds, level, i int) []ID {
	if !t.levels[level][i].Meets(box) {
		return found
	}
	if level == 0 {
		return append(found, t.ids[i])
	}
	for k := i * fan; k < min((i+1)*fan, len(t.levels[level-1])); k++ {
		found = t.search(found, box, level-1, k)
	}
	return found
}

// curve is the place of a point on the Z curve, which visits near points one
// after the other: the bits of x and y by turns.
func curve(p Point) uint64 {
	const middle = 1 << 31 // makes places count from 0
	return spread(uint32(int64(p.X)+middle)) | spread(uint32(int64(p.Y)+middle))<<1
}

// spread puts a 0 before each bit of n.
func spread(n uint32) uint64 {
	x := uint64(n)
	for _, step := range []struct {
		shift uint
		mask  uint64
	}{{16, 0x0000ffff0000ffff}, {8, 0x00ff00ff00ff00ff}, {4, 0x0f0f0f0f0f0f0f0f}, {2, 0x3333333333333333}, {1, 0x5555555555555555}} {
		x = (x | x<<step.shift) & step.mask
	}
	return x
}
