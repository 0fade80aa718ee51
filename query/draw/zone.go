package draw

import (
	"math"

	"netlore/store/board"
)

// dots are how the copper of a zone is drawn, for nobody knows where it runs.
const dots = "0.1 5"

// zones draws the zones of copper of the side: each as the shortest dotted lines that
// join all parts beside it.
func (v *view) zones(w *writer) {
	for i := range v.of().Zones {
		z := &v.of().Zones[i]
		if !v.on(z.Side) {
			continue
		}
		v.used[signZone] = true
		v.use(signWeight, z.Weight > 0)
		var p path
		for _, line := range v.tree(z.At) {
			p.move(line.ax, line.ay)
			p.line(line.bx, line.by)
		}
		w.start("g", "fill", "none", "stroke", accent, "stroke-linecap", "round", "stroke-dasharray", dots)
		w.words("title", z.Text)
		w.empty("path", "d", p, "stroke-width", 1.6+2.4*min(max(z.Weight, 0), 1))
		w.end("g")
	}
}

// zoneNames are the names of zones, each at the first part beside it.
func (v *view) zoneNames() (list []*label) {
	for i := range v.of().Zones {
		z := &v.of().Zones[i]
		if !v.on(z.Side) {
			continue
		}
		x, y := v.ground.at(z.At[0])
		list = append(list, &label{name: z.Text, text: short(z.Text), of: box{x, y, x, y}.grow(leastSize / 2)})
	}
	return list
}

// tree is the shortest lines that join all points (Prim's algorithm; equally short
// ones in the order of the points). One point alone is a dot.
func (v *view) tree(points []board.Point) []segment {
	type reach struct {
		from, to box // of no size
		far      float64
	}
	left := make([]reach, len(points))
	for i, pt := range points {
		x, y := v.ground.at(pt)
		left[i] = reach{to: box{x, y, x, y}, far: math.Inf(1)}
	}
	now := left[0].to
	lines := []segment{{now.x0, now.y0, now.x0, now.y0}}
	for left = left[1:]; len(left) > 0; {
		best := 0
		for i := range left {
			r := &left[i]
			if far := math.Hypot(r.to.x0-now.x0, r.to.y0-now.y0); far < r.far {
				r.far, r.from = far, now
			}
			if r.far < left[best].far {
				best = i
			}
		}
		now = left[best].to
		lines = append(lines, segment{left[best].from.x0, left[best].from.y0, now.x0, now.y0})
		left[best] = left[0]
		left = left[1:]
	}
	return lines
}
