package draw

import (
	"cmp"
	"fmt"
	"slices"

	"netlore/store/board"
)

// view is one side of one board.
type view struct {
	*drawing
	member int
	side   board.Side
	ground ground
	w, h   float64 // of the board
	labels []*label
	inset  float64 // of the board from the left edge of the picture
}

// The largest a board is drawn, and how much of the picture is beside it.
const (
	mostWide, mostHigh = 1120.0, 860.0
	edge               = 24.0
	header             = 34.0
)

// views are the sides on which something lies that is asked for.
func (d *drawing) views() []*view {
	var all []*view
	for m := range d.picture.Members {
		for _, side := range d.sides(m) {
			v := &view{drawing: d, member: m, side: side}
			v.layOut()
			all = append(all, v)
		}
	}
	return all
}

// sides are the sides of a member that are drawn. What goes through the board is
// on each of them, and on the top if there is no other.
func (d *drawing) sides(member int) []board.Side {
	seen := map[board.Side]bool{}
	for i := range d.things {
		if t := &d.things[i]; t.member == member {
			seen[t.side] = true
		}
	}
	of := &d.picture.Members[member]
	for _, band := range of.Bands {
		for _, id := range band.Pads {
			if p := &of.Board.Pads[id]; p.Placed {
				seen[p.Side] = true
			}
		}
	}
	for i := range of.Zones {
		seen[of.Zones[i].Side] = true
	}
	var sides []board.Side
	if seen[board.Top] || seen[board.BothSides] && !seen[board.Bottom] {
		sides = append(sides, board.Top)
	}
	if seen[board.Bottom] {
		sides = append(sides, board.Bottom)
	}
	return sides
}

func (v *view) board() *board.Board { return v.of().Board }
func (v *view) of() *Member         { return &v.picture.Members[v.member] }

// layOut sets the scale of the view and places its names.
func (v *view) layOut() {
	from := v.extent()
	wide, high := float64(from.Max.X-from.Min.X), float64(from.Max.Y-from.Min.Y)
	v.ground = ground{from: from, scale: min(mostWide/wide, mostHigh/high), mirror: v.side == board.Bottom}
	v.w, v.h = v.ground.size()
	v.labels = slices.Concat(v.bandNames(), v.coverNames(), v.zoneNames())
	shown := v.shown()
	named := make([]label, len(shown))
	for i, t := range shown {
		named[i] = label{thing: t, name: t.name, text: t.label(), of: v.room(t)}
		v.labels = append(v.labels, &named[i])
	}
	for _, l := range v.labels {
		l.w = width(l.text, small) + 4
	}
	left := place(v.labels, box{0, 0, v.w, v.h})
	v.inset = edge
	for _, l := range left {
		v.inset = max(v.inset, edge+marginGap+l.w)
	}
	for _, l := range margins(left, v.w, v.h) {
		v.unnamed = append(v.unnamed, l.name)
		l.text = ""
	}
}

// room is the box that a thing takes, with what is drawn round it.
func (v *view) room(t *thing) box {
	b := v.ground.bounds(t.outline)
	if t.joined.to == "" {
		return b
	}
	x, y := b.middle()
	r := max(b.width(), b.height())*0.75 + 2
	return box{x - r, y - r, x + r, y + r}
}

// bandNames are the names of tape, each at its middle pad.
func (v *view) bandNames() (list []*label) {
	for _, band := range v.of().Bands {
		id := band.Pads[len(band.Pads)/2]
		if o, _ := v.board().PadOutline(id); v.on(v.board().Pads[id].Side) && !o.Zero() {
			list = append(list, &label{name: band.Text, text: short(band.Text), of: v.ground.bounds(o).grow(bandRim)})
		}
	}
	return list
}

// coverNames are the names of the covers of the side, but of those that are asked for.
func (v *view) coverNames() (list []*label) {
	b := v.board()
	for c := range b.Covers {
		o, side := b.CoverOutline(board.CoverID(c))
		if name := b.Covers[c].Name; v.on(side) && !o.Zero() && !v.asked(board.CoverID(c)) {
			list = append(list, &label{name: qualified(v.of().Role, name), text: short(name), of: v.ground.bounds(o)})
		}
	}
	return list
}

// asked reports whether a cover, or the part that it is, is asked for.
func (v *view) asked(c board.CoverID) bool {
	part := v.board().Covers[c].Part
	return slices.ContainsFunc(v.things, func(t thing) bool {
		return t.member == v.member && (t.Kind == Cover && t.ID == int32(c) || t.Kind == Part && t.ID == int32(part))
	})
}

// extent is what the view shows: the board, and what is asked for if that lies beyond.
func (v *view) extent() board.Bounds {
	all := extent(v.board())
	for _, t := range v.shown() {
		all = joined(all, t.outline.Bounds())
	}
	return all
}

// shown are the things of the view, the heaviest first.
func (v *view) shown() []*thing {
	var list []*thing
	for i := range v.things {
		if t := &v.things[i]; t.member == v.member && (t.side == v.side || t.side == board.BothSides) {
			list = append(list, t)
		}
	}
	slices.SortStableFunc(list, func(a, b *thing) int { return cmp.Compare(b.Weight, a.Weight) })
	return list
}

// draw draws the view; y is its upper edge. It returns how high it is.
func (v *view) draw(w *writer, y float64) float64 {
	w.start("g", append([]any{"transform", "translate(" + number(v.inset) + " " + number(y+header) + ")"}, v.places()...)...)
	v.photos(w)
	v.title(w)
	v.background(w)
	v.covers(w)
	v.ways(w)
	v.zones(w)
	v.bands(w)
	for _, l := range v.labels {
		if l.thing != nil {
			v.thingOf(w, l)
		}
	}
	v.names(w)
	v.compass(w)
	w.end("g")
	return header + v.h + compassHigh
}

// places are attributes by which a program finds the place on the board of a point of
// the view: the board, and in micrometres where its left, upper, right and lower edges are.
func (v *view) places() []any {
	left, right := v.ground.from.Min.X, v.ground.from.Max.X
	if v.ground.mirror {
		left, right = right, left
	}
	return []any{"data-board", v.board().Ref.String(), "data-role", v.of().Role, "data-side", v.side.String(),
		"data-edges", fmt.Sprintf("%d %d %d %d", left, v.ground.from.Max.Y, right, v.ground.from.Min.Y),
		"data-size", number(v.w) + " " + number(v.h)}
}

// wide is how wide the view is, with what stands beside it and under it.
func (v *view) wide() float64 {
	return max(2*v.inset+v.w, v.inset+max(compassWide, width(v.head(), large))+edge)
}

func (v *view) head() string {
	text := short(v.of().Name) + ", " + v.side.String()
	if v.side == board.Bottom {
		text += ", seen from below"
	}
	return text
}

func (v *view) title(w *writer) {
	w.label(v.head(), 0, -10, large, ink, "font-weight", "bold")
}

// ways draws copper and ways.
func (v *view) ways(w *writer) {
	var p path
	for _, l := range v.of().Lines {
		if l.Side != v.side && l.Side != board.BothSides {
			continue
		}
		v.used[signWay] = true
		for i, pt := range l.Path {
			if x, y := v.ground.at(pt); i == 0 {
				p.move(x, y)
			} else {
				p.line(x, y)
			}
		}
	}
	if len(p) > 0 {
		w.empty("path", "d", p, "fill", "none", "stroke", accent, "stroke-width", "1.6", "stroke-linejoin", "round")
	}
}

// bandRim is by how much tape is wider than its pads.
const bandRim = 4.0

// bands draws tape as a broad strip over its pads.
func (v *view) bands(w *writer) {
	for _, band := range v.of().Bands {
		var p path
		wide := 12.0
		for _, id := range band.Pads {
			pad := &v.board().Pads[id]
			if !pad.Placed || pad.Side != v.side && pad.Side != board.BothSides {
				continue
			}
			wide = max(wide, float64(max(pad.Shape.W, pad.Shape.H))*v.ground.scale+2*bandRim)
			if x, y := v.ground.at(pad.At); len(p) == 0 {
				p.move(x, y)
				p.line(x+0.1, y)
			} else {
				p.line(x, y)
			}
		}
		if len(p) == 0 {
			continue
		}
		v.used[signBand] = true
		w.start("g", "fill", "none", "stroke-linecap", "round", "stroke-linejoin", "round")
		w.words("title", band.Text)
		w.empty("path", "d", p, "stroke", ink, "stroke-width", wide, "opacity", "0.35")
		w.empty("path", "d", p, "stroke", paper, "stroke-width", wide-4, "opacity", "0.6")
		w.end("g")
	}
}
