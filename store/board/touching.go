package board

import (
	"cmp"
	"slices"
)

// touching is what the tracks and vias of a net join, in order of the first pin
// of each piece; those without a pin come last, in order of their first pad.
type touching struct {
	pieces []Piece
	dense  bool // too many shapes lie one over the other to be compared
}

// How often shapes are looked at is bounded, for each net and for the board: long
// slanted lines side by side, of which all boxes meet and none touch, would
// take the square of their number. A rail of 120,000 shapes takes 50 looks for
// each.
const (
	looksEach    = 100
	looksAtLeast = 20_000
	looksOfBoard = 30_000_000
)

// touch finds what touches of the shapes of a net in so many looks, and how many
// are left of these.
func touch(net NetID, all []shape, looks int) (touching, int) {
	w := newJoiner(all, looks)
	w.joinLines()
	w.joinBeds()
	open := w.openVias()
	if w.looks < 0 {
		return touching{dense: true}, 0
	}
	return touching{pieces: w.pieces(net, open)}, w.looks
}

// newJoiner sorts the shapes of a net by their layers and indexes them.
func newJoiner(all []shape, looks int) *joiner {
	slices.SortStableFunc(all, func(a, b shape) int {
		return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to))
	})
	w := &joiner{all: all, sets: make([]shapeID, len(all)), looks: looks}
	for i := range w.sets {
		w.sets[i] = shapeID(i)
	}
	for first := 0; first < len(all); {
		last := first + 1
		for last < len(all) && all[last].layers == all[first].layers {
			last++
		}
		w.beds = append(w.beds, newBed(all, first, last))
		first = last
	}
	return w
}

// shapeID is the number of a shape of a net.
type shapeID int32

// joiner finds which shapes hang together.
type joiner struct {
	all   []shape
	sets  []shapeID // of each shape another in the same set, or itself if it stands for the set
	beds  []bed
	looks int // how many more are allowed
}

// bed is the shapes that are on the same layers, in a tree.
type bed struct {
	layers
	tree[shapeID]
	// one is, for each box of each level above the lowest, a shape in it if all
	// in it are known to be in one set; else None. What is in one set with those
	// passes by the box.
	one [][]shapeID
}

func newBed(all []shape, first, last int) bed {
	t := newTree(last-first, func(id shapeID) (Bounds, Basis) { return all[first+int(id)].box, ByPoint })
	d := bed{layers: all[first].layers, tree: t, one: make([][]shapeID, len(t.levels))}
	for i := range t.ids {
		t.ids[i] += shapeID(first)
	}
	for level := 1; level < len(t.levels); level++ {
		d.one[level] = slices.Repeat([]shapeID{None}, len(t.levels[level]))
	}
	return d
}

// set is the shape that stands for the set of a shape.
func (w *joiner) set(i shapeID) shapeID {
	for w.sets[i] != i {
		w.sets[i] = w.sets[w.sets[i]]
		i = w.sets[i]
	}
	return i
}

// join makes one set of two.
func (w *joiner) join(i, k shapeID) {
	i, k = w.set(i), w.set(k)
	w.sets[max(i, k)] = min(i, k)
}

// joinLines joins the lines of each track, which follow each other, and the two
// sides of each pad.
func (w *joiner) joinLines() {
	backs := map[int32]shapeID{}
	for i := range w.all {
		switch w.all[i].owner {
		case ofLine:
			w.join(shapeID(i-1), shapeID(i))
		case ofBack:
			backs[w.all[i].id] = shapeID(i)
		}
	}
	for i := range w.all {
		if s := &w.all[i]; s.owner == ofPad {
			if back, ok := backs[s.id]; ok {
				w.join(shapeID(i), back)
			}
		}
	}
}

// joinBeds joins all shapes that touch.
func (w *joiner) joinBeds() {
	for i := range w.beds {
		for k := i; k < len(w.beds); k++ {
			if !w.beds[i].meets(w.beds[k].layers) {
				continue
			}
			for at, id := range w.beds[i].ids {
				if k > i {
					at = None
				}
				if top := len(w.beds[k].levels) - 1; w.beds[k].levels[top][0].Meets(w.all[id].box) {
					w.search(id, &w.beds[k], at, top, 0)
				}
			}
		}
	}
}

// search joins a shape with those that it touches in a box of a bed, which its own
// box meets. Those that are not after a place in the bed have looked for this
// one already.
func (w *joiner) search(id shapeID, d *bed, after, level, box int) {
	if w.looks--; w.looks < 0 {
		return
	}
	if level == 0 {
		if other := d.ids[box]; w.set(other) != w.set(id) && w.all[id].touches(&w.all[other]) {
			w.join(id, other)
		}
		return
	}
	one := d.one[level][box]
	if one != None && w.set(one) == w.set(id) {
		return
	}
	mine := w.all[id].box
	first, end := d.kids(level, box)
	for kid := first; kid < end; kid++ {
		if d.levels[level-1][kid].Meets(mine) && d.last(level-1, kid) > after {
			w.search(id, d, after, level-1, kid)
		}
	}
	if one == None {
		d.one[level][box] = w.oneOf(d, level, box)
	}
}

// last is the last place of the bed that is in a box.
func (d *bed) last(level, box int) int {
	last := box + 1
	for range level {
		last *= fan
	}
	return last - 1
}

// kids are the boxes of the level below that are in a box.
func (d *bed) kids(level, box int) (first, end int) {
	return box * fan, min((box+1)*fan, len(d.levels[level-1]))
}

// oneOf is a shape in a box if all in it are known to be in one set, else None.
func (w *joiner) oneOf(d *bed, level, box int) shapeID {
	inside := d.ids
	if level > 1 {
		inside = d.one[level-1]
	}
	first, end := d.kids(level, box)
	found := inside[first]
	for _, id := range inside[first:end] {
		if id == None || w.set(id) != w.set(found) {
			return None
		}
	}
	return found
}

// openVias are the sets with a via of which no more than one layer has copper.
func (w *joiner) openVias() map[shapeID]bool {
	open := map[shapeID]bool{}
	for i := range w.all {
		if s := &w.all[i]; s.owner == ofVia && !open[w.set(shapeID(i))] && !w.joinsLayers(s) {
			open[w.set(shapeID(i))] = true
		}
	}
	return open
}

// joinsLayers reports whether a via touches copper on two layers. Vias of the
// same layers do not count.
func (w *joiner) joinsLayers(via *shape) bool {
	on := layers{lowest + 1, 0}
	for i := range w.beds {
		d := &w.beds[i]
		if d.layers != via.layers && d.meets(via.layers) && w.any(via, d, len(d.levels)-1, 0) {
			on = layers{min(on.from, d.from), max(on.to, d.to)}
		}
	}
	return on.from < on.to
}

// any reports whether a shape touches one in a box of a bed.
func (w *joiner) any(s *shape, d *bed, level, box int) bool {
	if w.looks--; w.looks < 0 || !d.levels[level][box].Meets(s.box) {
		return false
	}
	if level == 0 {
		return s.touches(&w.all[d.ids[box]])
	}
	first, end := d.kids(level, box)
	for kid := first; kid < end; kid++ {
		if w.any(s, d, level-1, kid) {
			return true
		}
	}
	return false
}

// pieces are the sets with pins or pads that tracks or vias are in.
func (w *joiner) pieces(net NetID, open map[shapeID]bool) []Piece {
	list := map[shapeID]*Piece{}
	for i := range w.all {
		s, set := &w.all[i], w.set(shapeID(i))
		x := list[set]
		if x == nil {
			x = &Piece{Branch: Branch{Net: net}, Against: None, Open: open[set]}
			list[set] = x
		}
		switch s.owner {
		case ofPin:
			x.Pins = append(x.Pins, PinID(s.id))
		case ofPad:
			x.Pads = append(x.Pads, PadID(s.id))
		case ofVia:
			x.Vias++
		case ofTrack:
			x.Tracks++
		}
	}
	var pieces []Piece
	for _, x := range list {
		if (x.Tracks > 0 || x.Vias > 0) && (len(x.Pins) > 0 || len(x.Pads) > 0) {
			slices.Sort(x.Pins)
			slices.Sort(x.Pads)
			pieces = append(pieces, *x)
		}
	}
	slices.SortFunc(pieces, comparePieces)
	return pieces
}

// comparePieces orders pieces of a net that have nothing in common.
func comparePieces(x, y Piece) int {
	if len(x.Pins) > 0 && len(y.Pins) > 0 {
		return cmp.Compare(x.Pins[0], y.Pins[0])
	}
	return cmp.Or(cmp.Compare(len(y.Pins), len(x.Pins)), slices.Compare(x.Pads, y.Pads))
}
