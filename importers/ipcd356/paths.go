package ipcd356

import (
	"bytes"
	"errors"

	"netlore/importers/record"
	"netlore/query/diag"
	"netlore/store/board"
)

// strokes is what is drawn: conductors and outlines, in the file's counts.
type strokes struct {
	tracks []track
	edges  []edge

	now  drawing       // the path being drawn
	ends func(*reader) // what to do with it when it ends; nil when none is drawn
	net  symbol
	at   uint8 // layer
	kind string
	line int // of the record that began it
}

type track struct {
	net   symbol
	layer uint8
	pen   pen
	path  []board.Point
}

type pen struct{ w, h int32 }

// edge is one closed shape of an outline record.
type edge struct {
	kind string
	path []board.Point
	line int
}

// drawing is a path being drawn: the pen, where it is, and the points since it
// was last put down.
type drawing struct {
	pen        pen
	x, y       int32
	placed     bool // x and y hold
	points     []board.Point
	finished   [][]board.Point
	hasStarted bool // the pen has been read
}

// conductor reads 378: net, layer, pen and the start of the path.
func (r *reader) conductor(line []byte, count *record.Count) {
	s := &r.strokes
	s.net = r.names.net(bytes.TrimSpace(slice(line, colNet, colNetEnd)))
	layer := bytes.TrimSpace(slice(line, colNetEnd, 22))
	n, _, ok := number(bytes.TrimPrefix(layer, []byte("L")), 0)
	if !ok || n < 1 || n > 99 {
		count.Explain(r.number, "a conductor without a layer")
		r.complain("D350", diag.Warning, colNetEnd, 22, "the layer of this conductor cannot be read",
			"columns 19 to 21 hold it: L01")
		return
	}
	s.at = uint8(n)
	r.layers.saw(s.at)
	s.begin(r.number, (*reader).endTrack)
	r.draw(line, 22, count)
}

// outline reads 389: the kind of edge and the start of the path.
func (r *reader) outline(line []byte, count *record.Count) {
	s := &r.strokes
	s.kind = string(bytes.TrimSpace(slice(line, colNet, 22)))
	s.begin(r.number, (*reader).endOutline)
	r.draw(line, 22, count)
}

func (s *strokes) begin(line int, ends func(*reader)) {
	s.now, s.ends, s.line = drawing{}, ends, line
}

// morePath reads 078 and 089, which go on where the line before stopped.
func (r *reader) morePath(line []byte, count *record.Count) {
	if r.strokes.ends == nil {
		count.Explain(r.number, "continues nothing")
		return
	}
	r.draw(line, colNet, count)
}

// draw reads the path in a line, from column at on.
func (r *reader) draw(line []byte, at int, count *record.Count) {
	p := &r.strokes.now
	before := len(p.points)
	bad, err := p.read(line, at)
	r.points += max(len(p.points)-before, 0) + len(p.finished)
	if err != nil {
		count.Explain(r.number, "a path that cannot be read")
		r.complain("D350", diag.Warning, bad, bad+1, err.Error(),
			"a path looks like X0250 X+012700Y-003050 X+013100 Y-002000")
		r.strokes.ends = nil
		return
	}
	count.Use()
}

// endPath keeps the path being drawn, if any.
func (r *reader) endPath() {
	ends := r.strokes.ends
	if ends == nil {
		return
	}
	r.strokes.ends = nil
	r.strokes.now.lift()
	ends(r)
}

func (r *reader) endTrack() {
	s := &r.strokes
	for _, points := range s.now.finished {
		if len(points) > 1 {
			s.tracks = append(s.tracks, track{net: s.net, layer: s.at, pen: s.now.pen, path: points})
		}
	}
}

func (r *reader) endOutline() {
	s := &r.strokes
	for _, points := range s.now.finished {
		s.edges = append(s.edges, edge{kind: s.kind, path: points, line: s.line})
	}
}

// read goes on drawing. It returns the column of what it cannot read.
func (p *drawing) read(line []byte, at int) (int, error) {
	for i := at; i < len(line); {
		switch c := line[i]; {
		case c == ' ':
			i++
		case c == '*':
			p.lift()
			i++
		case !p.hasStarted:
			p.hasStarted = true
			next, err := p.readPen(line, i)
			if err != nil {
				return i, err
			}
			i = next
		default:
			next, err := p.readPoint(line, i)
			if err != nil {
				return i, err
			}
			i = next
		}
	}
	return 0, nil
}

// readPen reads the aperture: "X0250", round, or "X150Y200". A first token of
// X0Y0, or with a sign, is the first point of a path drawn without a pen.
func (p *drawing) readPen(line []byte, i int) (int, error) {
	xy, next, err := axes(line, i)
	signed := bytes.ContainsAny(line[i:next], "+-")
	switch {
	case err != nil:
		return i, err
	case xy[1].given && (signed || xy[0].value == 0 && xy[1].value == 0):
		return p.readPoint(line, i)
	case !xy[0].given || signed:
		return i, errors.New("the pen of this path cannot be read")
	}
	p.pen = pen{xy[0].value, xy[1].value}
	return next, nil
}

// readPoint reads "X+012700Y-003050". An axis that is not given stays.
func (p *drawing) readPoint(line []byte, i int) (int, error) {
	xy, next, err := axes(line, i)
	if err != nil {
		return i, err
	}
	if !p.placed && !(xy[0].given && xy[1].given) {
		return i, errors.New("the first point of a path has both X and Y")
	}
	p.placed = true
	if xy[0].given {
		p.x = xy[0].value
	}
	if xy[1].given {
		p.y = xy[1].value
	}
	p.points = append(p.points, board.Point{X: p.x, Y: p.y})
	return next, nil
}

// lift ends the piece that is being drawn. The place holds for what follows.
func (p *drawing) lift() {
	if len(p.points) > 0 {
		p.finished = append(p.finished, p.points)
		p.points = nil
	}
}

type axis struct {
	value int32
	given bool
}

// axes reads X, Y or both, without blanks between.
func axes(line []byte, i int) (xy [2]axis, next int, err error) {
	start := i
	for n, letter := range []byte("XY") {
		if i >= len(line) || line[i] != letter {
			continue
		}
		if i+1 < len(line) && line[i+1] == ' ' {
			return xy, i, errors.New("a number follows X and Y without a blank")
		}
		v, after, ok := number(line, i+1)
		if !ok {
			return xy, i, errors.New("the number behind this letter cannot be read")
		}
		xy[n] = axis{v, true}
		i = after
	}
	if i == start {
		return xy, i, errors.New("this is no point of a path; expected X, Y or an asterisk")
	}
	return xy, i, nil
}

// slice is line[from:to] as far as the line goes.
func slice(line []byte, from, to int) []byte {
	return line[min(from, len(line)):min(to, len(line))]
}
