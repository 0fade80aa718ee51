package draw

import (
	"netlore/store/board"
)

// diagram is one piece of copper as a rail, with what hangs on it.
type diagram struct {
	*drawing
	member int
	name   string
	pads   []*thing
	parts  []*thing
}

const (
	diagramWide = 1040.0
	slotHigh    = 92.0
	padHigh     = 44.0
)

// diagrams draws what has no place by the copper it hangs on: one for each
// piece of copper. A thing is drawn on the piece that most of what is asked for hangs on, but
// not on ground, unless it hangs on nothing else.
func (d *drawing) diagrams() []*diagram {
	var all []*diagram
	for m := range d.picture.Members {
		all = append(all, d.diagramsOf(m)...)
	}
	return all
}

func (d *drawing) diagramsOf(member int) []*diagram {
	b := d.picture.Members[member].Board
	pieces := b.Copper().Pieces
	on := piecesOf(b, pieces)
	count := map[int]int{}
	for i := range d.nowhere {
		if t := &d.nowhere[i]; t.member == member {
			for _, p := range on(t) {
				count[p]++
			}
		}
	}
	loose := &diagram{drawing: d, member: member, name: "on no net that is known"}
	byPiece := map[int]*diagram{}
	for i := range d.nowhere {
		t := &d.nowhere[i]
		if t.member != member {
			continue
		}
		g, best := loose, -1
		for _, p := range on(t) {
			if best < 0 || count[p] > count[best] || count[p] == count[best] && p < best {
				best = p
			}
		}
		if best >= 0 {
			if g = byPiece[best]; g == nil {
				g = &diagram{drawing: d, member: member, name: pieceName(b, &pieces[best])}
				byPiece[best] = g
			}
		}
		g.add(t)
	}
	var all []*diagram
	for p := range pieces {
		if g := byPiece[p]; g != nil {
			all = append(all, g)
		}
	}
	if len(loose.pads)+len(loose.parts) > 0 {
		all = append(all, loose)
	}
	return all
}

func pieceName(b *board.Board, p *board.Piece) string {
	if p.Name != "" {
		return p.Name
	}
	return b.Nets[p.Net].Name
}

// piecesOf tells which pieces of copper a thing hangs on.
func piecesOf(b *board.Board, pieces []board.Piece) func(*thing) []int {
	ofPin, ofPad := map[board.PinID][]int{}, map[board.PadID][]int{}
	for i := range pieces {
		for _, id := range pieces[i].Pins {
			ofPin[id] = append(ofPin[id], i)
		}
		for _, id := range pieces[i].Pads {
			ofPad[id] = append(ofPad[id], i)
		}
	}
	return func(t *thing) (on []int) {
		switch t.Kind {
		case Pad:
			return ofPad[board.PadID(t.ID)]
		case Pin:
			return ofPin[board.PinID(t.ID)]
		case Part:
			first, last := b.PinsOf(board.PartID(t.ID))
			for id := first; id < last; id++ {
				on = append(on, ofPin[id]...)
			}
		}
		return on
	}
}

func (g *diagram) add(t *thing) {
	if t.Kind == Pad {
		g.pads = append(g.pads, t)
	} else {
		g.parts = append(g.parts, t)
	}
}

// draw draws the rail with its pads above and its parts below; y is the upper edge.
func (g *diagram) draw(w *writer, y float64) float64 {
	w.start("g", "transform", "translate("+number(edge)+" "+number(y)+")")
	defer w.end("g")
	w.label(short(g.picture.Members[g.member].Name)+" · "+short(qualified(g.picture.Members[g.member].Role, g.name)), 0, 14, large, ink, "font-weight", "bold")
	at := 30.0
	slot := g.slot()
	per := max(int(diagramWide/slot), 1)
	pads, parts := g.pads, g.parts
	for first := true; first || len(pads)+len(parts) > 0; first = false {
		n, m := min(per, len(pads)), min(per, len(parts))
		at += g.row(w, at, slot, pads[:n], parts[:m])
		pads, parts = pads[n:], parts[m:]
	}
	return at + 12
}

// slot is how wide the room for one thing is.
func (g *diagram) slot() float64 {
	widest := 48.0
	for _, list := range [][]*thing{g.pads, g.parts} {
		for _, t := range list {
			widest = max(widest, width(t.label(), small))
		}
	}
	return widest + 14
}

// row draws a stretch of the rail; it returns how high it is.
func (g *diagram) row(w *writer, y, slot float64, pads, parts []*thing) float64 {
	rail := y
	if len(pads) > 0 {
		rail += padHigh
	}
	long := slot * float64(max(len(pads), len(parts)))
	w.empty("path", "d", "M0 "+number(rail)+"L"+number(long)+" "+number(rail), "stroke", ink, "stroke-width", "3")
	for i, t := range pads {
		g.hang(w, t, slot*(float64(i)+0.5), rail, true)
	}
	for i, t := range parts {
		g.hang(w, t, slot*(float64(i)+0.5), rail, false)
	}
	if len(parts) == 0 {
		return rail - y + 24
	}
	return rail - y + slotHigh
}

// hang draws one thing on the rail: a pad above it, a part below it.
func (g *diagram) hang(w *writer, t *thing, x, rail float64, above bool) {
	g.sign(t)
	w.start("g", "stroke", accent, "fill", tint, "stroke-width", 1.8+4*min(max(t.Weight, 0), 1), "data-thing", t.name)
	w.words("title", t.told(g.picture.Groups))
	name, y := t.label(), rail+76
	if above {
		y = rail - 28
		w.empty("path", "d", "M"+number(x)+" "+number(rail)+"L"+number(x)+" "+number(rail-10))
		w.empty("circle", "cx", x, "cy", rail-16, "r", 6.0)
	} else {
		g.symbol(w, t, x, rail)
	}
	w.label(name, x-width(name, small)/2, y, small, ink, "stroke", "none")
	w.end("g")
}
