package sheet

import "netlore/store/board"

var drillAttribute = func(of func(s *subject) *int32) attribute {
	return attribute{word: "drill", shape: lengthShape, label: "diameter of the drill",
		set: func(s *subject, v *value) { *of(s) = v.number },
		get: func(s *subject, v *value) bool { return v.length(*of(s)) }}
}

func atPoint(of func(s *subject) *board.Point) attribute {
	return attribute{word: "at", shape: pointShape, label: "place", must: true,
		set: func(s *subject, v *value) { *of(s) = v.points[0] },
		get: func(s *subject, v *value) bool { return v.place(*of(s)) }}
}

var viaForm = form{word: "via", title: "a via",
	doc:     "a plated hole between layers that belongs to no part",
	example: "via on GND at 12.3,8 drill 0.2mm round 0.45mm layers 1..2",
	attributes: append(append([]attribute{
		onNet(func(s *subject) *board.NetID { return &s.via.Net }, false),
		atPoint(func(s *subject) *board.Point { return &s.via.At }),
		drillAttribute(func(s *subject) *int32 { return &s.via.Drill }),
	}, shapeAttributes(func(s *subject) *board.PadShape { return &s.via.Shape })...),
		attribute{word: "layers", shape: spanShape, label: "the layers it joins", noun: "span of layers", least: 1, most: 255,
			set: func(s *subject, v *value) { s.via.From, s.via.To = uint8(v.number), uint8(v.second) },
			get: func(s *subject, v *value) bool {
				v.number, v.second = int32(s.via.From), int32(s.via.To)
				return 0 < s.via.From && s.via.From < s.via.To
			}},
		attribute{word: "mask", words: []string{"0", "1", "2", "3"}, shape: wordShape,
			label: "sides with solder mask: 0 none, 1 the first, 2 the second, 3 both", noun: "solder mask",
			set: func(s *subject, v *value) { s.via.Mask = byte('0' + v.word - 1) },
			get: func(s *subject, v *value) bool {
				v.word = int(s.via.Mask) - '0' + 1
				return '0' <= s.via.Mask && s.via.Mask <= '3'
			}})}

var holeForm = form{word: "hole", title: "a hole",
	doc:     "a hole for a screw or a tool",
	example: "hole at 2,2 drill 2.2mm plated",
	attributes: []attribute{
		atPoint(func(s *subject) *board.Point { return &s.hole.At }),
		drillAttribute(func(s *subject) *int32 { return &s.hole.Drill }),
		{word: "plated", shape: flagShape, label: "copper on its wall",
			set: func(s *subject, v *value) { s.hole.Plated = true },
			get: func(s *subject, v *value) bool { return s.hole.Plated }}}}

var trackForm = form{word: "track", title: "a track",
	doc:     "conductor drawn on one layer with one pen",
	example: "track on VMAIN layer 1 pen round 0.2mm path 1,2 3,2",
	attributes: []attribute{
		onNet(func(s *subject) *board.NetID { return &s.track.Net }, false),
		{word: "layer", shape: wholeShape, label: "copper layer, 1 at the top", least: 1, most: 255, must: true,
			set: func(s *subject, v *value) { s.track.Layer = uint8(v.number) },
			get: func(s *subject, v *value) bool { v.number = int32(s.track.Layer); return v.number > 0 }},
		{word: "pen", shape: penShape, label: "width of the line", noun: "pen",
			set: func(s *subject, v *value) { s.track.Pen.W, s.track.Pen.H = v.number, v.second },
			get: func(s *subject, v *value) bool {
				v.number, v.second = s.track.Pen.W, s.track.Pen.H
				return v.number > 0
			}},
		{word: "turned", shape: angleShape, label: "angle of the pen in degrees",
			set: func(s *subject, v *value) { s.track.Pen.Turn = v.number },
			get: func(s *subject, v *value) bool { return v.turn(s.track.Pen.Turn) }},
		{word: "path", shape: pathShape, label: "its corners in order", noun: "path", least: 1, must: true,
			set: func(s *subject, v *value) { s.track.Path = copyPoints(v.points) },
			get: func(s *subject, v *value) bool {
				v.points = append(v.points[:0], s.track.Path...)
				return len(v.points) > 0
			}}}}

var penShape = &shape{read: readPen, print: printPen, want: "round 0.2mm, or a size such as 0.2x0.4mm"}

func readPen(c *cursor, a *attribute, v *value) *problem {
	if t, ok := c.peek(); ok && t.marks == 0 && c.f.tokenText(t) == "round" {
		c.i++
		v.second = 0
		return readLength(c, a, v)
	}
	t, _ := c.peek()
	p := readSize(c, a, v)
	if s := c.f.tokenText(t); p != nil && len(p.Edits) == 0 {
		if _, err := board.ParseQuantity(s, board.Metre); err == nil {
			p.Help = []string{"did you mean round " + s + "?"}
			p.Edits = editOf(*p)
		}
	}
	return p
}

func printPen(dst []byte, a *attribute, v *value, m *memo) []byte {
	if v.second == 0 {
		return printLength(append(dst, "round "...), a, v, m)
	}
	return printSize(dst, a, v, m)
}
