package table

import (
	"fmt"
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

func contains(list []string, s string) bool { return slices.Contains(list, s) }

// noNets are the ways of saying that something is on no net, folded. Taken as
// a net they would tie together what has nothing in common.
var noNets = map[string]bool{
	"": true, "nc": true, "nonet": true, "none": true, "unconnected": true, "notconnected": true, "noconnect": true,
	"unusedpins": true, "open": true, "dnc": true,
}

// isNoNet reports whether a net cell says that there is none.
func isNoNet(text string) bool {
	return noNets[fold(text)] || strings.HasPrefix(strings.ToLower(text), "unconnected-(")
}

// netCell reads the net of the current row. It is None if the cell is empty or
// says that there is no net.
func (r *reader) netCell() (board.NetID, bool) {
	c := r.cell(colNet)
	if c == nil || isNoNet(c.text) {
		return board.None, true
	}
	if !r.named(c, c.text, "net") {
		return board.None, false
	}
	return r.board.Net(r.keep(c.text)), true
}

// named reports whether a text can be the name of such a thing, and complains
// if not.
func (r *reader) named(c *cell, name, thing string) bool {
	if goodName(name) {
		return true
	}
	r.complain("T137", diag.Error, c, fmt.Sprintf("this cannot be the name of a %s; expected at most %d letters, all of which print", thing, maxName))
	return false
}

// pinRow reads a row of pins: one or several pins of a part, and their net.
func (r *reader) pinRow() string {
	ref, pin := r.cell(colRef), r.cell(colPin)
	switch {
	case ref == nil:
		return "no designator"
	case pin == nil:
		return "no pin"
	case !r.named(ref, ref.text, "part"):
		return noName
	}
	names := strings.FieldsFunc(pin.text, func(r rune) bool { return r == ',' || r == ';' || r == ' ' })
	s, net, why := r.placeAndNet(pin, len(names))
	if why != "" {
		return why
	}
	why = noName
	for _, name := range names {
		if !r.named(pin, name, "pin") {
			continue
		}
		if why = r.sayPin(r.board.Pin(r.part(ref.text), r.keep(name)), net, s); why != "" {
			return why
		}
	}
	return why
}

// placeAndNet reads what a row says about the pins or pads that it names, or
// why that cannot be used.
func (r *reader) placeAndNet(c *cell, things int) (s spot, net board.NetID, why string) {
	s, ok := r.spot()
	if !ok {
		return s, board.None, unreadableNumber
	}
	if r.crowded(c, things, &s) {
		return s, board.None, "several things at one place"
	}
	if net, ok = r.netCell(); !ok {
		return s, board.None, noName
	}
	return s, net, ""
}

// sayPin tells the board what the row says about one pin.
func (r *reader) sayPin(id board.PinID, net board.NetID, s spot) string {
	p := r.board.PinAt(id)
	name := r.board.PartAt(p.Part).Name + "." + p.Name
	s.key = spotKey{aPin, int32(id)}
	if s.placed || s.w.Known() {
		if was := r.places.put(s); was != nil {
			return r.apart(name, was)
		}
	}
	if net != board.None {
		if is, ok := r.board.Connect(id, net); !ok {
			return r.twoNets(name, is, r.pinLine[id])
		}
	}
	if s.side != board.SideUnknown {
		p.Side = s.side
	}
	if _, known := r.pinLine[id]; !known {
		r.pinLine[id] = int32(r.row.line)
		r.tallied()
	}
	return ""
}

// twoNets complains that a pin or pad is on two nets.
func (r *reader) twoNets(name string, is board.NetID, line int32) string {
	before := "by an earlier file"
	if line > 0 {
		before = fmt.Sprintf("by line %d", line)
	}
	r.disagree("T140", diag.Error, r.cell(colNet), line, fmt.Sprintf("%s is on %s here, but on %s %s", name, r.text(colNet), r.board.NetAt(is).Name, before), "said here")
	return "on another net before"
}

// padRow reads a row of pads: one pad, or a range of them, and their net.
func (r *reader) padRow() string {
	c := r.cell(colPad)
	if c == nil {
		return "no pad"
	}
	names := r.refCell(c)
	if len(names) == 0 {
		return noName
	}
	s, net, why := r.placeAndNet(c, len(names))
	if why != "" {
		return why
	}
	for _, name := range names {
		if why := r.sayPad(r.board.Pad(r.keep(name)), net, s); why != "" {
			return why
		}
	}
	return ""
}

// sayPad tells the board what the row says about one pad.
func (r *reader) sayPad(id board.PadID, net board.NetID, s spot) string {
	p := r.board.PadAt(id)
	s.key = spotKey{aPad, int32(id)}
	if s.placed || s.w.Known() {
		if was := r.places.put(s); was != nil {
			return r.apart(p.Name, was)
		}
	}
	if net != board.None {
		if p.Net != board.None && p.Net != net {
			return r.twoNets(p.Name, p.Net, r.padLine[id])
		}
		p.Net = net
	}
	if s.side != board.SideUnknown {
		p.Side = s.side
	}
	if g := r.cell(colGroup); g != nil && p.Group == "" && r.named(g, g.text, "group") {
		p.Group = r.keep(g.text)
	}
	if _, known := r.padLine[id]; !known {
		r.padLine[id] = int32(r.row.line)
		r.tallied()
	}
	return ""
}

// netRow reads a row about a net.
func (r *reader) netRow() string {
	switch {
	case r.cell(colNet) == nil:
		return "no net"
	case isNoNet(r.text(colNet)):
		return "a word for no net"
	case !r.saysMore(colNet):
		return "nothing but a name"
	}
	id, ok := r.netCell()
	if !ok {
		return noName
	}
	if _, known := r.netLine[id]; !known {
		r.netLine[id] = int32(r.row.line)
		r.tallied()
	}
	r.sayNet(id)
	return ""
}

// netKinds are further words for the kinds of nets.
var netKinds = map[string]board.NetKind{"gnd": board.Ground, "pwr": board.Power, "supply": board.Power, "rail": board.Power, "sig": board.Signal}

// sayNet tells the board what the row says about a net.
func (r *reader) sayNet(id board.NetID) {
	n := r.board.NetAt(id)
	n.Aliases = r.union(n.Aliases, words(r.text(colAlias)))
	n.Functions = r.union(n.Functions, words(r.text(colFunction)))
	if c := r.cell(colKind); c != nil {
		r.sayKind(n, c)
	}
	volts := r.rated(colVolts, board.Volt)
	switch {
	case volts.Known() && !n.Volts.Known():
		n.Volts = volts
	case volts.Known() && n.Volts != volts:
		r.complain("T135", diag.Warning, r.cell(colVolts), fmt.Sprintf("%s has %s here, but %s before", n.Name, volts, n.Volts))
	}
}

func (r *reader) sayKind(n *board.Net, c *cell) {
	kind, ok := board.NetKindByWord(strings.ToLower(c.text))
	if !ok {
		kind, ok = netKinds[fold(c.text)]
	}
	switch {
	case !ok:
		r.complain("T142", diag.Warning, c, fmt.Sprintf("%s is no kind of net; expected ground, power or signal", diag.Quote(c.text)))
	case n.Kind == board.NetUnknown:
		n.Kind = kind
	case n.Kind != kind:
		r.complain("T135", diag.Warning, c, fmt.Sprintf("%s is a %s net here, but a %s net before", n.Name, kind, n.Kind))
	}
}
