package sheet

import (
	"netlore/query/diag"
	"netlore/store/board"
)

func (r *reader) readPart(group []*block) {
	id := r.bu.Part(group[0].name)
	r.s.part = r.bu.PartAt(id)
	r.take()
	r.members(group, func(rows []row) {
		r.s.pin = r.bu.PinAt(r.bu.Pin(id, rows[0].name))
		r.take()
	})
}

func (r *reader) readNet(group []*block) {
	id := r.bu.Net(group[0].name)
	r.s.net = r.bu.NetAt(id)
	r.take()
	r.pins(group, func(pin board.PinID, name string, row *row) {
		if other, ok := r.bu.Connect(pin, id); !ok {
			r.twoNets(group[0], row, name, r.bu.NetAt(other).Name)
		}
	})
}

// pins calls do with each pin that the members of a group list.
func (r *reader) pins(group []*block, do func(pin board.PinID, name string, row *row)) {
	rows := r.rows(group)
	var part board.PartID
	for i := range rows {
		row := &rows[i]
		if formOf(row.form).lead != 2 {
			continue
		}
		if i == 0 || row.name != rows[i-1].name || row.form != rows[i-1].form {
			part = r.bu.Part(row.name)
		}
		l := &row.f.lines[row.line]
		for _, name := range r.read(row.f, l, row.f.attrs[l.attr+1]).names {
			do(r.bu.Pin(part, name), name, row)
		}
	}
}

// twoNets complains of a pin that is on another net already.
func (r *reader) twoNets(b *block, row *row, pin, other string) {
	l := &row.f.lines[row.line]
	if r.full() {
		r.add(diag.Diagnostic{Code: "S302"})
		return
	}
	d := diag.Diagnostic{Code: "S302",
		Message: "pin " + row.name + "." + pin + " is on net " + b.name + " and on net " + other,
		Help:    []string{"a pin is on one net: take it out of the other, or give one net as another name of the other with also"}}
	if first, at, ok := r.findPin(other, row.name, pin); ok {
		d.Related = []diag.Related{first.f.related(&first.f.lines[first.line], at, "on net "+other+" here")}
	}
	r.add(row.f.about(l, row.f.pinSpan(l, pin), d))
}

// findPin finds the line that puts a pin on a net.
func (r *reader) findPin(net, part, pin string) (source, diag.Range, bool) {
	scout := newGatherer(1 << 16)
	for _, b := range r.sorted {
		if b.form != formNet || b.name != net {
			continue
		}
		for _, row := range scout.rows([]*block{b}) {
			l := &row.f.lines[row.line]
			if row.name != part {
				continue
			}
			for _, name := range scout.read(row.f, l, row.f.attrs[l.attr+1]).names {
				if name == pin {
					return row.source, row.f.pinSpan(l, pin), true
				}
			}
		}
	}
	return source{}, diag.Range{}, false
}

// pinSpan is where a line names a pin: the word itself, or all words if it is
// one of a range.
func (f *File) pinSpan(l *line, pin string) diag.Range {
	for _, t := range f.lineTokens(l)[1:] {
		if f.nameIn(t) == pin {
			return diag.Range{Start: int(t.start), End: int(t.start) + int(t.size)}
		}
	}
	return f.words(l)
}

func (r *reader) readPad(group []*block) {
	r.s.pad = r.bu.PadAt(r.bu.Pad(group[0].name))
	r.take()
}

func (r *reader) readBranch(group []*block) {
	x := r.bu.BranchAt(r.bu.Branch(group[0].name))
	r.s.branch = x
	r.take()
	r.pins(group, func(pin board.PinID, name string, row *row) {
		x.Pins = append(x.Pins, pin)
		if x.Net != board.None && r.bu.PinAt(pin).Net == board.None {
			r.bu.PinAt(pin).Net = x.Net
		}
	})
	for _, row := range r.rows(group) {
		if row.form != formBranchPad {
			continue
		}
		pad := r.bu.Pad(row.name)
		x.Pads = append(x.Pads, pad)
		if r.bu.PadAt(pad).Net == board.None {
			r.bu.PadAt(pad).Net = x.Net
		}
	}
}

func (r *reader) readCover(group []*block) {
	c := r.bu.CoverAt(r.bu.Cover(group[0].name))
	r.s.cover = c
	r.take()
	if c.Outline.Radius > 0 != (len(c.Outline.Points) == 1) {
		c.Outline = board.Outline{} // two files said half of a circle and of something else
	}
	rows := r.rows(group)
	c.Listed = c.Listed || len(rows) > 0
	for i := range rows {
		if rows[i].form == formCoverPad {
			c.Pads = append(c.Pads, r.bu.Pad(rows[i].name))
		} else {
			c.Parts = append(c.Parts, r.bu.Part(rows[i].name))
		}
	}
	r.overNothing(group[0], &r.claims, rows)
}

// overNothing complains of a cover that is said to have nothing under it, and
// something as well.
func (r *reader) overNothing(b *block, c *claims, rows []row) {
	for slot, x := range c.first {
		if x.f == nil || c.form.attributes[slot].shape != overShape || len(rows) == 0 || r.value(c, slot).word == 0 {
			continue
		}
		row := &rows[0]
		l := &row.f.lines[row.line]
		r.add(row.f.about(l, row.f.words(l), diag.Diagnostic{Code: "S301",
			Message: b.title() + " is said to have nothing under it, and " + row.name + " as well",
			Help:    []string{"take out over nothing, or the list"},
			Related: []diag.Related{x.f.related(x.l, x.span(), "nothing under it, by this line")}}))
	}
}

func (r *reader) readVia(group []*block) {
	v := board.Via{Net: board.None}
	r.s.via = &v
	r.take()
	b := r.bu.Board()
	b.Vias = append(b.Vias, v)
}

func (r *reader) readHole(group []*block) {
	var h board.Hole
	r.s.hole = &h
	r.take()
	b := r.bu.Board()
	b.Holes = append(b.Holes, h)
}

func (r *reader) readTrack(group []*block) {
	t := board.Track{Net: board.None}
	r.s.track = &t
	r.take()
	b := r.bu.Board()
	b.Tracks = append(b.Tracks, t)
}
