package table

import (
	"fmt"
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

// saying is what one row says about its parts.
type saying struct {
	value, number, text, pkg string
	volts, amps, percent     board.Quantity
	class                    board.Class
	functions                []string
	unfitted                 bool
	spot                     spot
}

// partRow reads a row of a placement or of a parts list. It returns why the row
// was not used, or "".
func (r *reader) partRow() string {
	ref, why := r.refOfRow()
	if why != "" {
		return why
	}
	names := r.refCell(ref)
	if len(names) == 0 {
		return "nothing that can be a designator"
	}
	said, ok := r.saying()
	switch {
	case !ok:
		return unreadableNumber
	case r.crowded(ref, len(names), &said.spot):
		return "several parts at one place"
	}
	r.checkQuantity(ref, len(names))
	for _, name := range names {
		if why := r.say(r.part(name), &said); why != "" {
			return why
		}
	}
	return ""
}

// Reasons that rows of several kinds have in common.
const (
	unreadableNumber = "a number that cannot be read"
	noName           = "a name that cannot be one"
)

// refOfRow is the cell that names the parts of the row, or why there is none
// worth reading.
func (r *reader) refOfRow() (ref *cell, why string) {
	ref = r.cell(colRef)
	at, cells := r.head.col[colRef], len(r.row.cells)
	switch {
	case ref == nil && cells <= at:
		r.complain("T115", diag.Error, nil, fmt.Sprintf("this row has only %s; the designator is in cell %d", counted(cells, "cell"), at+1))
		return nil, "ends before the designator"
	case ref == nil:
		return nil, "no designator"
	case !r.saysMore(colRef):
		return nil, "nothing but a name"
	}
	return ref, ""
}

// crowded complains if the row places several things at one place.
func (r *reader) crowded(c *cell, things int, s *spot) bool {
	if things < 2 || !s.placed {
		return false
	}
	r.complain("T134", diag.Error, c, fmt.Sprintf("%s are placed at one place", counted(things, r.head.kind.thing)), "what has a place has a row of its own")
	return true
}

// saysMore reports whether a column other than this one says something.
func (r *reader) saysMore(than column) bool {
	for _, c := range r.head.kind.reads {
		if c != than && r.cell(c) != nil {
			return true
		}
	}
	return false
}

// refCell lists the parts or pads that a cell names.
func (r *reader) refCell(c *cell) []string {
	names, odd := refs(r.names[:0], c.text)
	r.names = names
	if odd != "" {
		at := *c
		if i := strings.Index(c.text, odd); i >= 0 {
			at.at, at.end = c.at+i, c.at+i+len(odd)
		}
		r.complain("T131", diag.Warning, &at, fmt.Sprintf("%s cannot be the name of a %s; expected a name such as C12, or a range such as C1-C4", diag.Quote(odd), r.head.kind.thing))
	}
	return names
}

// checkQuantity compares the quantity with the number of parts.
func (r *reader) checkQuantity(ref *cell, parts int) {
	c := r.cell(colQuantity)
	if c == nil || digitsOf(c.text) != len(c.text) || len(c.text) > 6 || c.text == fmt.Sprint(parts) {
		return
	}
	r.complain("T133", diag.Warning, c, fmt.Sprintf("the quantity is %s, but the row names %s: %s", c.text, counted(parts, "part"), diag.Quote(ref.text)))
}

// saying reads the current row. It reports false if a number of the place
// cannot be read.
func (r *reader) saying() (s saying, ok bool) {
	if s.spot, ok = r.spot(); !ok {
		return s, false
	}
	s.value, s.number, s.pkg, s.text = r.described(colValue), r.described(colNumber), r.described(colPackage), r.described(colText)
	s.volts = r.rated(colVolts, board.Volt)
	s.amps = r.rated(colAmps, board.Ampere)
	s.percent = r.percent()
	s.class = r.class()
	s.functions = words(r.text(colFunction))
	s.unfitted = r.unfitted() || notFittedWords[fold(s.text)]
	return s, true
}

// class reads what kind of part it is.
func (r *reader) class() board.Class {
	c := r.cell(colKind)
	if c == nil {
		return board.ClassUnknown
	}
	class, ok := board.ClassByWord(strings.ReplaceAll(strings.ToLower(c.text), " ", "-"))
	if !ok {
		r.complain("T132", diag.Warning, c, diag.Quote(c.text)+" is no kind of part that is known; the letters of the designator tell it")
	}
	return class
}

// percent reads the tolerance of a part: 5%, ±5 % or 5.
func (r *reader) percent() board.Quantity {
	c := r.cell(colTolerance)
	if c == nil {
		return board.Quantity{}
	}
	text := strings.TrimLeft(c.text, "±+-/ ")
	if strings.Trim(text, "0123456789.,") == "" {
		text += "%"
	}
	q, err := r.quantity(text, "", board.Ratio)
	if err != nil {
		r.complain("T153", diag.Warning, c, fmt.Sprintf("the tolerance %s is no ratio and was left out", diag.Quote(c.text)), "expected a tolerance such as 5%")
	}
	return q
}

// part returns the id of a part, which is new to the board or known from
// another file.
func (r *reader) part(name string) board.PartID {
	if id, ok := r.parts[name]; ok {
		return id
	}
	name = r.keep(name)
	id := r.board.Part(name)
	r.parts[name] = id
	return id
}

// firstSaid notes that this file says something about a part, and gives the
// line where it first did, 0 if it is here.
func (r *reader) firstSaid(id board.PartID) int32 {
	for int(id) >= len(r.partLine) {
		r.partLine = append(r.partLine, 0)
	}
	line := r.partLine[id]
	if line == 0 {
		r.partLine[id] = int32(r.row.line)
		r.tallied()
	}
	return line
}

// say tells the board what the row says about one part.
func (r *reader) say(id board.PartID, s *saying) string {
	spot := s.spot
	spot.key = spotKey{aPart, int32(id)}
	if spot.placed || spot.w.Known() {
		if was := r.places.put(spot); was != nil {
			return r.apart(r.board.PartAt(id).Name, was)
		}
	}
	line := r.firstSaid(id)
	p := r.board.PartAt(id)
	if s.class != board.ClassUnknown {
		p.Class = s.class
	}
	if p.Side == board.SideUnknown {
		p.Side = spot.side
	}
	if spot.turned && !p.Placed {
		p.Turn = spot.turn
	}
	if p.Package == "" && s.pkg != "" {
		p.Package = r.keep(s.pkg)
	}
	p.Unfitted = p.Unfitted || s.unfitted
	p.Functions = r.union(p.Functions, s.functions)
	r.worth(p, s, line)
	return ""
}

// worth sets the value, the ratings and the text of a part.
func (r *reader) worth(p *board.Part, s *saying, line int32) {
	v := r.valueOf(s, p.Class)
	if v.odd != board.NoUnit && !v.value.Known() && s.value != "" {
		r.complain("T144", diag.Warning, r.cell(colValue), fmt.Sprintf("the value of %s is %s; expected %s", p.Name, v.odd.Measures(), p.Class.ValueUnit().Measures()))
	}
	if v.bead {
		p.Class = board.Bead
	}
	p.Unfitted = p.Unfitted || v.unfitted
	r.set(&p.Value, v.value, p, "value", line)
	r.set(&p.Volts, known(s.volts, v.volts), p, "rated voltage", line)
	r.set(&p.Amps, known(s.amps, v.amps), p, "rated current", line)
	r.set(&p.Percent, known(s.percent, v.percent), p, "tolerance", line)
	if p.Text == "" {
		p.Text = r.partText(s, v)
	}
}

// set keeps a quantity of a part, unless there is another one already.
func (r *reader) set(have *board.Quantity, q board.Quantity, p *board.Part, what string, line int32) {
	switch {
	case !q.Known() || *have == q:
	case !have.Known():
		*have = q
	default:
		before := "in an earlier file"
		if line > 0 {
			before = fmt.Sprintf("in line %d", line)
		}
		r.disagree("T135", diag.Warning, r.cell(colRef), line, fmt.Sprintf("the %s of %s is %s here, but %s %s", what, p.Name, q, *have, before), "said here")
	}
}

// partText is what no quantity says: the value cell if it was not understood
// as a whole, the part number, the description.
func (r *reader) partText(s *saying, v partValue) string {
	var all []string
	if s.value != "" && !v.whole {
		all = append(all, s.value)
	}
	for _, t := range []string{s.number, s.text} {
		if t != "" && !notFittedWords[fold(t)] && (len(all) == 0 || t != all[0]) {
			all = append(all, t)
		}
	}
	if len(all) == 0 {
		return ""
	}
	text, _ := plainText(strings.Join(all, ", "))
	return r.keep(text)
}

// union adds words to a list that has each once.
func (r *reader) union(have, more []string) []string {
	for _, w := range more {
		if !contains(have, w) {
			have = append(have, r.keep(w))
		}
	}
	return have
}
