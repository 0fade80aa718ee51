package sheet

import "netlore/store/board"

var netForm = form{word: "net", title: "a net", lead: 1, named: true,
	doc:     "what one name connects; indented lines give its parts, each with its pins",
	example: "net VMAIN power 3.8V also VSYS\n  C1201 1\n  U300 A4 A5",
	attributes: []attribute{nameOfIt("the name of the net"),
		{words: []string{"ground", "power", "signal"}, shape: wordShape, label: "kind",
			set: func(s *subject, v *value) { s.net.Kind = board.NetKind(v.word) },
			get: func(s *subject, v *value) bool { v.word = int(s.net.Kind); return v.word > 0 }},
		{shape: quantityShape, label: "nominal voltage", units: []board.Unit{board.Volt},
			set: func(s *subject, v *value) { s.net.Volts = v.q },
			get: func(s *subject, v *value) bool { return v.quantity(s.net.Volts) }},
		{word: "also", shape: namesShape, label: "other names", many: true,
			set: func(s *subject, v *value) { s.net.Aliases = s.keepAll(v.names) },
			get: func(s *subject, v *value) bool { return v.list(s.net.Aliases) }},
		{word: "for", shape: namesShape, label: "functions", many: true,
			set: func(s *subject, v *value) { s.net.Functions = s.keepAll(v.names) },
			get: func(s *subject, v *value) bool { return v.list(s.net.Functions) }},
	},
	members: []formID{formNetPart}}

// netPartForm is a part with its pins on a net.
var netPartForm = form{title: "a part on a net", lead: 2, wordAt: -1, named: true,
	attributes: []attribute{nameOfIt("the name of a part"),
		{shape: pinsShape, label: "its pins on the net", must: true, many: true}},
	check: func(c *cursor) *problem {
		if t := c.toks[0]; t.marks&quoted == 0 && c.f.tokenText(t) == "pad" {
			return c.fault(t, "S201", "pads are not listed under a net; the pad says which net it is on",
				"write pad "+c.f.tokenText(c.toks[1])+" on NET as a line of its own", `a part called pad is written "pad"`)
		}
		return nil
	}}

func onNet(of func(s *subject) *board.NetID, must bool) attribute {
	return attribute{word: "on", shape: nameShape, label: "the name of the net", noun: "net", must: must,
		set: func(s *subject, v *value) { *of(s) = s.bu.Net(s.keep(v.text)) },
		get: func(s *subject, v *value) bool {
			if *of(s) == board.None {
				return false
			}
			v.text = s.b.Nets[*of(s)].Name
			return true
		}}
}

var padForm = form{word: "pad", title: "a pad", lead: 1, named: true,
	doc:     "a bare place to touch: an interposer pad, a test point, an edge pad",
	example: "pad P11 on VMAIN top at 3.2,1.1 round 0.7mm in IP1",
	attributes: append(append([]attribute{
		{shape: rangeShape, label: "the name of the pad", must: true, names: true},
		onNet(func(s *subject) *board.NetID { return &s.pad.Net }, false),
		{words: sideWords, shape: wordShape, label: "side",
			set: func(s *subject, v *value) { s.pad.Side = board.Side(v.word) },
			get: func(s *subject, v *value) bool { v.word = int(s.pad.Side); return v.word > 0 }},
		{word: "at", shape: pointShape, label: "place",
			set: func(s *subject, v *value) { s.pad.At, s.pad.Placed = v.points[0], true },
			get: func(s *subject, v *value) bool { return s.pad.Placed && v.place(s.pad.At) }},
	}, shapeAttributes(func(s *subject) *board.PadShape { return &s.pad.Shape })...),
		attribute{word: "in", shape: nameShape, label: "the frame or connector it belongs to", noun: "frame",
			set: func(s *subject, v *value) { s.pad.Group = s.keep(v.text) },
			get: func(s *subject, v *value) bool { v.text = s.pad.Group; return v.text != "" }})}

var branchForm = form{word: "branch", title: "a branch", lead: 1, named: true,
	doc:     "one piece of copper of a net on one board; indented lines give its pads, and its parts with their pins",
	example: "branch VMAIN.pa on VMAIN for transmit\n  pad P11\n  C4101 1",
	attributes: []attribute{nameOfIt("the name of the branch"),
		onNet(func(s *subject) *board.NetID { return &s.branch.Net }, true),
		{word: "for", shape: namesShape, label: "functions", many: true,
			set: func(s *subject, v *value) { s.branch.Functions = s.keepAll(v.names) },
			get: func(s *subject, v *value) bool { return v.list(s.branch.Functions) }}},
	members: []formID{formBranchPad, formBranchPart}}

var branchPadForm = form{word: "pad", title: "a pad of a branch", lead: 1,
	attributes: []attribute{{shape: rangeShape, label: "the name of a pad", must: true}}}

var branchPartForm = form{title: "a part on a branch", lead: 2, wordAt: -1, named: true,
	attributes: []attribute{nameOfIt("the name of a part"),
		{shape: pinsShape, label: "its pins on the branch", must: true, many: true}}}

var coverForm = form{word: "cover", title: "a cover", lead: 1, named: true,
	doc:     "what hides parts; it has an outline, or indented lines that list what is under it",
	example: "cover SH1 shield top box 4,3.5 22,19 lift hot-air 12min risk medium",
	attributes: []attribute{nameOfIt("the name of the cover"),
		{words: []string{"shield", "connector", "reader", "sticker", "underfill", "foil", "holder", "module"}, shape: wordShape, label: "kind",
			set: func(s *subject, v *value) { s.cover.Kind = board.CoverKind(v.word) },
			get: func(s *subject, v *value) bool { v.word = int(s.cover.Kind); return v.word > 0 }},
		{words: []string{"top", "bottom"}, shape: wordShape, label: "side",
			set: func(s *subject, v *value) { s.cover.Side = board.Side(v.word) },
			get: func(s *subject, v *value) bool { v.word = int(s.cover.Side); return v.word > 0 && v.word <= 2 }},
		{word: "box", shape: boxShape, label: "two opposite corners", noun: "box", apart: 1,
			set: func(s *subject, v *value) { s.cover.Outline = board.Box(v.points[0], v.points[1]) },
			get: func(s *subject, v *value) bool { return v.box(s.cover.Outline) }},
		{word: "round", shape: diameterShape, label: "diameter", apart: 1,
			set: func(s *subject, v *value) { s.cover.Outline.Radius = v.number / 2 },
			get: func(s *subject, v *value) bool { return v.length(2 * s.cover.Outline.Radius) }},
		{word: "at", shape: pointShape, label: "centre of a round cover", noun: "centre",
			set: func(s *subject, v *value) { s.cover.Outline.Points = copyPoints(v.points) },
			get: func(s *subject, v *value) bool { return v.centre(s.cover.Outline) }},
		{word: "polygon", shape: pathShape, label: "corners in order", noun: "polygon", apart: 1, least: 3, say: sayPolygon,
			set: func(s *subject, v *value) { s.cover.Outline.Points = copyPoints(v.points) },
			get: func(s *subject, v *value) bool { return v.polygon(s.cover.Outline) }},
		{word: "over", shape: overShape, label: "nothing, or the parts under it", noun: "list", many: true, say: sayOver,
			set: func(s *subject, v *value) { s.cover.Listed = true },
			get: func(s *subject, v *value) bool {
				v.word = 1
				return s.cover.Listed && len(s.cover.Parts) == 0 && len(s.cover.Pads) == 0
			}},
		{word: "lift", shape: nameShape, label: "how it comes off", noun: "way to lift it",
			set: func(s *subject, v *value) { s.cover.Lift = s.keep(v.text) },
			get: func(s *subject, v *value) bool { v.text = s.cover.Lift; return v.text != "" }},
		{shape: quantityShape, label: "minutes to lift it", noun: "time to lift it", units: []board.Unit{board.Second}, positive: true,
			set: func(s *subject, v *value) { s.cover.Minutes = v.q },
			get: func(s *subject, v *value) bool { return v.quantity(s.cover.Minutes) }},
		{word: "risk", words: []string{"low", "medium", "high"}, shape: wordShape, label: "risk of harm",
			set: func(s *subject, v *value) { s.cover.Risk = board.Risk(v.word) },
			get: func(s *subject, v *value) bool { v.word = int(s.cover.Risk); return v.word > 0 }},
	},
	members: []formID{formCoverPart, formCoverPad},
	check:   func(c *cursor) *problem { return c.together("round", "at") }}

var overShape = &shape{read: readOver, want: "nothing, or names of parts with commas between them", list: true}

// readOver reads a list of parts, or the word nothing.
func readOver(c *cursor, a *attribute, v *value) *problem {
	if t, ok := c.peek(); ok && t.marks == 0 && c.f.tokenText(t) == "nothing" {
		c.i++
		v.word = 1
		return nil
	}
	return readNames(c, a, v)
}

// sayOver prints that the list is empty. Parts listed after over are printed
// as members.
func sayOver(dst []byte, v *value) []byte {
	if v.word == 0 {
		return dst
	}
	return append(dst, "over nothing"...)
}

var coverPartForm = form{title: "a part under a cover", lead: 1, wordAt: -1, named: true,
	attributes: []attribute{nameOfIt("the name of a part")}}

var coverPadForm = form{word: "pad", title: "a pad under a cover", lead: 1,
	attributes: []attribute{{shape: rangeShape, label: "the name of a pad", must: true}}}
