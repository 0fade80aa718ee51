package sheet

import (
	"netlore/store/board"
)

// nameOfIt is the attribute that every named form leads with. The reader and
// the writer deal with names themselves.
func nameOfIt(label string) attribute {
	return attribute{shape: nameShape, label: label, must: true, names: true}
}

var revAttribute = attribute{word: "rev", shape: nameShape, label: "a revision", noun: "revision",
	set: func(s *subject, v *value) { s.ref.Revision = s.keep(v.text) },
	get: func(s *subject, v *value) bool { v.text = s.ref.Revision; return v.text != "" }}

var boardAttributes = []attribute{
	revAttribute,
	{word: "layers", shape: wholeShape, label: "number of copper layers", least: 1, most: 255,
		set: func(s *subject, v *value) { s.b.Layers = v.number },
		get: func(s *subject, v *value) bool { v.number = s.b.Layers; return v.number > 0 }},
	{word: "size", shape: sizeShape, label: "width and height", noun: "size",
		set: func(s *subject, v *value) { s.b.Size = board.Size{W: v.number, H: v.second} },
		get: func(s *subject, v *value) bool { return v.size(s.b.Size) }},
	{shape: textShape, label: "title in quotation marks",
		set: func(s *subject, v *value) { s.b.Title = s.keep(v.text) },
		get: func(s *subject, v *value) bool { v.text = s.b.Title; return v.text != "" }},
}

var boardForm = form{word: "board", title: "a board", lead: 1, named: true,
	doc:        "the board that the file is about, one revision of it",
	example:    `board Heron-A rev 3 layers 10 size 62x38mm "logic half of the trail radio"`,
	attributes: append([]attribute{nameOfIt("the name of the board")}, boardAttributes...),
	members:    []formID{formBoardMore}}

// boardMoreForm is read only: canonical text has it all on the board's line.
var boardMoreForm = form{title: "a board", wordAt: -1, attributes: boardAttributes}

var outlineForm = form{word: "outline", title: "an outline",
	doc:     "the edge of the board",
	example: "outline box 0,0 62,38",
	attributes: []attribute{
		{word: "box", shape: boxShape, label: "two opposite corners", noun: "box", apart: 1,
			set: func(s *subject, v *value) { *s.outline = board.Box(v.points[0], v.points[1]) },
			get: func(s *subject, v *value) bool { return v.box(*s.outline) }},
		{word: "circle", shape: pointShape, label: "centre of a circle", noun: "circle", apart: 1,
			set: func(s *subject, v *value) { s.outline.Points = copyPoints(v.points) },
			get: func(s *subject, v *value) bool { return v.centre(*s.outline) }},
		{word: "round", shape: diameterShape, label: "diameter of a circle", noun: "diameter",
			set: func(s *subject, v *value) { s.outline.Radius = v.number / 2 },
			get: func(s *subject, v *value) bool { return v.length(2 * s.outline.Radius) }},
		{word: "polygon", shape: pathShape, label: "corners in order", noun: "polygon", apart: 1, least: 3, say: sayPolygon,
			set: func(s *subject, v *value) { s.outline.Points = copyPoints(v.points) },
			get: func(s *subject, v *value) bool { return v.polygon(*s.outline) }},
	},
	check: func(c *cursor) *problem {
		return firstProblem(c.oneOf("box", "circle", "polygon"), c.together("circle", "round"))
	}}

var stackForm = form{word: "stack", title: "a stack", lead: 1, named: true,
	doc:     "boards joined face to face; each indented line gives a role and a board",
	example: "stack Heron \"trail radio\"\n  lower Heron-B rev 2\n  upper Heron-A rev 3",
	attributes: []attribute{nameOfIt("the name of the stack"),
		{shape: textShape, label: "title in quotation marks",
			set: func(s *subject, v *value) { s.stack.Title = s.keep(v.text) },
			get: func(s *subject, v *value) bool { v.text = s.stack.Title; return v.text != "" }}},
	members: []formID{formRole}}

var roleForm = form{title: "a member of a stack", lead: 2, wordAt: -1, named: true,
	attributes: []attribute{nameOfIt("a role"),
		{shape: nameShape, label: "the name of a board", must: true,
			set: func(s *subject, v *value) { s.ref.Name = s.keep(v.text) },
			get: func(s *subject, v *value) bool { v.text = s.ref.Name; return true }},
		revAttribute}}

var joinForm = form{word: "join", title: "a join", lead: 2,
	doc:     "a pad of one board is soldered to a pad of another",
	example: "join lower:P11 upper:P11 in IP1",
	attributes: []attribute{
		{shape: endShape, label: "a pad of one board", must: true, names: true},
		{shape: endShape, label: "a pad of the other board", must: true, names: true},
		{word: "in", shape: nameShape, label: "the frame between the boards",
			set: func(s *subject, v *value) { s.join.Via = s.keep(v.text) },
			get: func(s *subject, v *value) bool { v.text = s.join.Via; return v.text != "" }}},
	check: checkEnds}

// The methods of value named after a thing fill in that thing, and report
// whether it is known.

func (v *value) size(s board.Size) bool {
	v.number, v.second = s.W, s.H
	return s.W > 0 && s.H > 0
}

func (v *value) length(um int32) bool { v.number = um; return um > 0 }

func (v *value) quantity(q board.Quantity) bool { v.q = q; return q.Known() }

func (v *value) place(at board.Point) bool { v.points = append(v.points[:0], at); return true }

func (v *value) box(o board.Outline) bool {
	if !isBox(o.Points) || o.Radius > 0 {
		return false
	}
	v.points = append(v.points[:0], o.Points[0], o.Points[2])
	return true
}

func (v *value) centre(o board.Outline) bool {
	return o.Radius > 0 && len(o.Points) == 1 && v.place(o.Points[0])
}

func (v *value) polygon(o board.Outline) bool {
	v.points = append(v.points[:0], o.Points...)
	return len(o.Points) >= 3 && o.Radius == 0 && !isBox(o.Points)
}

// isBox reports whether points are those of board.Box, in its order.
func isBox(p []board.Point) bool {
	return len(p) == 4 && p[0].X < p[2].X && p[0].Y < p[2].Y &&
		p[1] == board.Point{X: p[2].X, Y: p[0].Y} && p[3] == board.Point{X: p[0].X, Y: p[2].Y}
}

// sayPolygon prints a polygon that is a box as the box.
func sayPolygon(dst []byte, v *value) []byte {
	points := v.points
	if isBox(points) {
		dst, points = append(dst, "box"...), []board.Point{points[0], points[2]}
	} else {
		dst = append(dst, "polygon"...)
	}
	for _, p := range points {
		dst = appendPoint(append(dst, ' '), p)
	}
	return dst
}

func copyPoints(p []board.Point) []board.Point { return append([]board.Point(nil), p...) }

func firstProblem(all ...*problem) *problem {
	for _, p := range all {
		if p != nil {
			return p
		}
	}
	return nil
}
