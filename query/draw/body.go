package draw

import "netlore/store/board"

// background draws the board and all that was not asked for: one path for each
// look, so that thousands of bodies stay light.
func (v *view) background(w *writer) {
	v.rim(w)
	bodies, hidden := v.others()
	var pads path
	b := v.board()
	for i := range b.Pads {
		if v.on(b.Pads[i].Side) {
			o, _ := b.PadOutline(board.PadID(i))
			v.ground.outline(&pads, o)
		}
	}
	v.use(signBody, len(bodies)+len(hidden) > 0)
	v.use(signPad, len(pads) > 0)
	stroke := pale
	if v.photographed() {
		stroke = ink // pale lines are lost on a photo
	}
	w.start("g", "class", "rest", "fill", "none", "stroke", stroke, "stroke-width", "0.8")
	for _, p := range []path{bodies, pads} {
		if len(p) > 0 {
			w.empty("path", "d", p)
		}
	}
	if len(hidden) > 0 {
		w.empty("path", "d", hidden, "stroke-dasharray", "2.4 1.8")
	}
	w.end("g")
}

// rim draws the edge of the board.
func (v *view) rim(w *writer) {
	b := v.board()
	var rim path
	if edge, known := b.Extent(); b.Outline.Zero() && known {
		v.ground.outline(&rim, board.Box(edge.Min, edge.Max))
	} else if b.Outline.Zero() {
		rim.box(box{0, 0, v.w, v.h})
	} else {
		v.ground.outline(&rim, b.Outline)
	}
	w.empty("path", "d", rim, "fill", "none", "stroke", ink, "stroke-width", "1.6")
}

// others are the outlines of the parts that were not asked for; those of hidden lie under
// a cover.
func (v *view) others() (bodies, hidden path) {
	b := v.board()
	asked := v.askedParts()
	sheet := box{0, 0, v.w, v.h}
	for i := range b.Parts {
		id := board.PartID(i)
		if asked[id] || !v.on(b.PartSide(id)) {
			continue
		}
		o, _ := b.PartOutline(id)
		if o.Zero() || !sheet.meets(v.ground.bounds(o)) {
			continue // off the board, or nowhere
		}
		if under(b, id) {
			v.ground.outline(&hidden, o)
		} else {
			v.ground.outline(&bodies, o)
		}
	}
	return bodies, hidden
}

// on reports whether what is on a side shows in the view.
func (v *view) on(side board.Side) bool { return side == v.side || side == board.BothSides }

func (v *view) askedParts() map[board.PartID]bool {
	asked := map[board.PartID]bool{}
	for _, l := range v.labels {
		if l.thing != nil && l.thing.Kind == Part {
			asked[board.PartID(l.thing.ID)] = true
		}
	}
	return asked
}

func under(b *board.Board, id board.PartID) bool {
	for _, h := range b.Hiders(id) {
		if h.Truth == board.True {
			return true
		}
	}
	return false
}

// covers hatches the covers of the side.
func (v *view) covers(w *writer) {
	b := v.board()
	var p path
	for c := range b.Covers {
		if o, side := b.CoverOutline(board.CoverID(c)); v.on(side) {
			v.ground.outline(&p, o)
		}
	}
	if len(p) > 0 {
		v.used[signCover] = true
		w.empty("path", "d", p, "fill", "url(#nl-cover)", "stroke", ink, "stroke-width", "1")
	}
}

// thingOf draws a thing that is asked for.
func (v *view) thingOf(w *writer, l *label) {
	t := l.thing
	p := make(path, 0, 96) // that is enough for a box
	v.ground.outline(&p, t.outline)
	v.sign(t)
	w.start("g", "stroke", accent, "data-thing", t.name)
	w.words("title", t.told(v.picture.Groups))
	w.tag("path", nil)
	w.attrs("d", p, "fill", t.fill(), "stroke-width", 1.8+4*min(max(t.Weight, 0), 1))
	if len(t.under) > 0 {
		w.attrs("stroke-dasharray", dashes)
	}
	w.WriteString("/>\n")
	if t.joined.to != "" {
		x, y := l.of.middle()
		var around path
		around.move(l.of.x0, y)
		around.line(x, l.of.y0)
		around.line(l.of.x1, y)
		around.line(x, l.of.y1)
		around.close()
		w.empty("path", "d", around, "fill", "none", "stroke-width", "1.2")
	}
	v.pinOne(w, t)
	w.end("g")
}

// fill is how the body of a thing is filled.
func (t *thing) fill() string {
	switch {
	case len(t.Groups) > 0:
		return "url(#" + filling(t.Groups[0]) + ")"
	case t.partner, t.Maybe:
		return paper
	case t.Kind == Cover:
		return "url(#nl-cover)"
	}
	return tint
}

// sign notes what the legend has to explain of a thing.
func (d *drawing) sign(t *thing) {
	d.use(signHidden, len(t.under) > 0)
	d.use(signAsked, len(t.under) == 0 && !t.partner && !t.Maybe && len(t.Groups) == 0)
	d.use(signJoined, t.joined.to != "")
	d.use(signWeight, t.Weight > 0)
	d.use(signMaybe, t.Maybe)
}

// pinOne marks pin 1 of a part that has more than two pins, if its place is known.
func (v *view) pinOne(w *writer, t *thing) {
	b := v.board()
	if t.Kind != Part {
		return
	}
	first, last := b.PinsOf(board.PartID(t.ID))
	for id := first; id < last && last-first > 2; id++ {
		if pin := &b.Pins[id]; pin.Placed && (pin.Name == "1" || pin.Name == "A1") {
			x, y := v.ground.at(pin.At)
			w.empty("circle", "cx", x, "cy", y, "r", "1.6", "fill", ink, "stroke", "none")
			v.used[signPinOne] = true
		}
	}
}

// names writes the labels, with lines to what they name.
func (v *view) names(w *writer) {
	var lines, dots path
	for _, l := range v.labels {
		if l.line && l.text != "" {
			lines.move(l.to.ax, l.to.ay)
			lines.line(l.to.bx, l.to.by)
			dots.circle(l.to.ax, l.to.ay, 1.4)
		}
	}
	if len(lines) > 0 {
		w.empty("path", "d", lines, "fill", "none", "stroke", ink, "stroke-width", "0.7")
		w.empty("path", "d", dots, "fill", ink)
	}
	w.start("g", "paint-order", "stroke", "stroke", paper, "stroke-width", "3", "stroke-linejoin", "round")
	for _, l := range v.labels {
		switch {
		case l.text == "":
		case l.thing == nil:
			w.label(l.text, l.at.x0+2, l.at.y1-4, small, ink, "font-weight", "bold")
		default:
			w.label(l.text, l.at.x0+2, l.at.y1-4, small, ink)
		}
	}
	w.end("g")
}

func (d *drawing) use(s sign, is bool) { d.used[s] = d.used[s] || is }
