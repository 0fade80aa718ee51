package ipcd356

import (
	"fmt"

	"netlore/importers/record"
	"netlore/query/diag"
)

// pin is one record that names a pin of a part.
type pin struct {
	ref, name, net symbol
	x, y           int32
	w, h, turn     int32
	line           int32
	next           int32 // a further record of this pin at another place or on another net; 0 is none
	nextOfRef      int32 // the next pin record of this part; 0 is none
	access         int16
	code           int16
	through        bool
}

// via is one plated hole of no part.
type via struct {
	net      symbol
	x, y     int32
	w, h     int32
	turn     int32
	drill    int32
	from, to uint8
	mask     byte
	hole     bool // not called a via: on no net it is only a hole
}

// hole is one hole that conducts nothing.
type hole struct {
	x, y, drill int32
	plated      bool
	ref         symbol // the part it belongs to, or 0
}

// pad is a surface feature of no part.
type pad struct {
	net        symbol
	x, y       int32
	w, h, turn int32
	access     int16
	code       int16
	line       int32
}

// group is what a continuation record continues.
type group struct {
	what  groupKind
	index int32
	net   symbol
}

type groupKind uint8

const (
	noGroup groupKind = iota
	ofPin
	ofVia
	ofOther
)

// anonymous is the name of a pin that the file gives none.
const anonymous = "~"

var viaRef = []byte("VIA")

// point reads 317, 327 and 307.
func (r *reader) point(line []byte, count *record.Count) {
	r.group = group{}
	if !r.decode(line, count) {
		return
	}
	r.group.net = r.names.net(r.field.net)
	r.feature(count, true)
}

// feature keeps the record just decoded as what it is: via, pin, hole or pad.
// A record that heads a group becomes what continuations continue.
func (r *reader) feature(count *record.Count, head bool) {
	f := &r.field
	through := r.codeOf() != 327 && r.codeOf() != 27 || f.drilled
	switch {
	case string(f.ref) == string(viaRef) && !through, len(f.ref) == 0 && !through:
		r.addPad()
		r.become(group{what: ofOther}, head)
	case string(f.ref) == string(viaRef), len(f.ref) == 0 && (f.plated || !f.drilled):
		r.addVia(count)
		r.become(group{what: ofVia, index: int32(len(r.vias) - 1)}, head)
	case len(f.ref) > 0 && (len(f.pin) > 0 || !unconnected(r.names.names[r.group.net]) && !f.unplated()):
		r.become(group{what: ofPin, index: r.addPin(count, through)}, head)
	case f.drilled:
		r.addHole(count)
		r.become(group{what: ofOther}, head)
	default:
		count.Explain(r.number, "a pad of a part, without pin name and on no net")
		r.loosePart()
		r.become(group{what: ofOther}, head)
	}
}

func (f *fields) unplated() bool { return f.drilled && !f.plated }

// become makes the record the head of the group, keeping the net.
func (r *reader) become(g group, head bool) {
	if head {
		g.net = r.group.net
		r.group = g
	}
}

// codeOf is the operation code of the current line.
func (r *reader) codeOf() int16 {
	return int16(r.line[0]-'0')*100 + int16(r.line[1]-'0')*10 + int16(r.line[2]-'0')
}

// decode reads the fields of the record. One that cannot be read is explained.
func (r *reader) decode(line []byte, count *record.Count) bool {
	f := &r.field
	if !f.decode(line) {
		count.Explain(r.number, "no place could be read in it")
		from := min(colAccess, len(line))
		r.complain("D312", diag.Warning, from, min(len(line), colSize),
			"no access code and coordinates can be read in this record",
			"columns 39 to 57 hold them: A01X+012700Y-003050")
		return false
	}
	if max(len(f.net), len(f.ref), len(f.pin)) > maxName {
		count.Explain(r.number, "a name in it is too long")
		r.complain("D315", diag.Warning, colNet, len(line), fmt.Sprintf("a name in this record is longer than %d letters", maxName),
			"names have their own columns in this format, of up to 14 letters; is a blank missing?")
		return false
	}
	if f.shifted && !r.header.versionB {
		r.complain("D310", diag.Note, colNet, min(len(line), colX),
			"the fields are not in their columns; read by their pattern", "compare this record with what was read")
	}
	if f.trailer > 0 && !r.header.versionB {
		r.complain("D314", diag.Note, f.trailer, len(line), "this text belongs to no field and is not read")
	}
	r.layers.access(f.access)
	r.maxTurn = max(r.maxTurn, f.turn)
	return true
}

// tooling reads 367 and its like: holes that conduct nothing.
func (r *reader) tooling(line []byte, count *record.Count) {
	r.group = group{}
	if !r.decode(line, count) {
		return
	}
	r.group = group{what: ofOther, net: r.names.net(r.field.net)}
	if !r.field.drilled {
		count.Explain(r.number, "a tooling feature without a hole")
		return
	}
	r.addHole(count)
}

// continued reads 017 and 027: more of what the record before began. Without a
// net of their own they are on its net.
func (r *reader) continued(line []byte, count *record.Count) {
	if !r.decode(line, count) {
		return
	}
	if net := r.names.net(r.field.net); net != 0 {
		r.group.net = net
	}
	f := &r.field
	switch {
	case len(f.ref) > 0 && string(f.ref) != string(viaRef):
		r.feature(count, r.group.what == noGroup)
	case r.group.what == ofVia:
		r.moreVia(count)
	case r.group.what == ofPin && f.drilled:
		r.holeOfPin(count)
	case f.drilled && f.plated:
		r.addVia(count)
	case f.drilled:
		r.addHole(count)
	case r.group.what == noGroup:
		count.Explain(r.number, "continues nothing")
	default:
		count.Explain(r.number, "a further pad of the record before")
	}
}

// moreVia adds a pad or the hole of the via that the group began with. A hole
// somewhere else is a via of its own. Of pads of different sizes the smallest
// is kept: what touches that touches the via, whichever the layer.
func (r *reader) moreVia(count *record.Count) {
	f, v := &r.field, &r.vias[r.group.index]
	if f.drilled && (f.x != v.x || f.y != v.y) {
		r.addVia(count)
		return
	}
	count.Use()
	if f.drilled && v.drill == 0 {
		v.drill = f.drill
	}
	if v.w == 0 || f.w > 0 && max(f.w, f.h) < max(v.w, v.h) {
		v.w, v.h, v.turn = f.w, f.h, f.turn
	}
}

// holeOfPin takes the hole of a group that began with a pin: through the pin
// itself, or a via beside it.
func (r *reader) holeOfPin(count *record.Count) {
	f, p := &r.field, &r.pins.all[r.group.index]
	switch {
	case f.x == p.x && f.y == p.y:
		p.through = true
		count.Use()
	case f.plated:
		r.addVia(count)
	default:
		r.addHole(count)
	}
}

func (r *reader) addVia(count *record.Count) {
	f := &r.field
	r.points++
	r.layers.saw(f.to)
	r.vias = append(r.vias, via{net: r.group.net, x: f.x, y: f.y, w: f.w, h: f.h, turn: f.turn,
		drill: f.drill, from: f.from, to: f.to, mask: f.mask, hole: len(f.ref) == 0 && r.codeOf() != 307})
	count.Use()
}

func (r *reader) addHole(count *record.Count) {
	f := &r.field
	r.points++
	r.holes = append(r.holes, hole{x: f.x, y: f.y, drill: f.drill, plated: f.plated, ref: r.names.of(f.ref)})
	count.Use()
}

// loosePart keeps the name of a part of which the file gives no pin here.
func (r *reader) loosePart() {
	r.points++
	r.pins.loose = append(r.pins.loose, r.names.of(r.field.ref))
}

// addPad keeps a surface feature of no part. Whether it is used is known when
// its net is.
func (r *reader) addPad() {
	f := &r.field
	r.points++
	r.pads = append(r.pads, pad{net: r.group.net, x: f.x, y: f.y, w: f.w, h: f.h, turn: f.turn,
		access: f.access, code: r.codeOf(), line: int32(r.number)})
}
