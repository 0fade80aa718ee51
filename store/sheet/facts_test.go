package sheet_test

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"netlore/store/board"
	"netlore/store/sheet"
)

// facts are what a sheet says, one thing a line: its kind, its name, and what
// is known of it in the order of the alphabet. Places and lengths are in
// micrometres, angles in millidegrees, times in UTC.
type facts map[string]map[string][]string

// add says of a thing that it has a value. Nothing and zero say only that the
// thing is there.
func (f facts) add(thing, attr string, values ...string) {
	if f[thing] == nil {
		f[thing] = map[string][]string{}
	}
	for _, v := range values {
		if v != "" && !slices.Contains(f[thing][attr], v) {
			f[thing][attr] = append(f[thing][attr], v)
		}
	}
}

func (f facts) String() string {
	var lines []string
	for thing, attrs := range f {
		var words []string
		for attr, values := range attrs {
			slices.SortFunc(values, board.CompareNatural)
			if len(values) > 0 {
				words = append(words, attr+"="+plainOrQuoted(strings.Join(values, "|")))
			}
		}
		slices.Sort(words)
		kind, _, _ := strings.Cut(thing, "\x00") // what follows tells like things apart
		lines = append(lines, strings.Join(append([]string{kind}, words...), " ")+"\n")
	}
	slices.SortFunc(lines, board.CompareNatural)
	return strings.Join(lines, "")
}

func plainOrQuoted(s string) string {
	if strings.ContainsAny(s, " \t\"") {
		return strconv.Quote(s)
	}
	return s
}

// nameless adds a thing that has no name: it is known by all it says, so that
// two of the same are one.
func (f facts) nameless(kind string, attrs map[string][]string) {
	one := facts{kind: attrs}
	f[kind+"\x00"+one.String()] = attrs
}

// factsOf lists what the package has read.
func factsOf(c *sheet.Content) facts {
	f := facts{}
	if c.Board != nil {
		f.board(c.Board)
	}
	if c.Stack != nil {
		f.stack(c.Stack)
	}
	f.knowledge(c.Knowledge)
	return f
}

func (f facts) board(b *board.Board) {
	if b.Name != "" {
		f.add("board "+b.Name, "rev", b.Revision)
		f.add("board "+b.Name, "text", b.Title)
		f.add("board "+b.Name, "layers", number(b.Layers))
		f.add("board "+b.Name, "size", size(b.Size.W, b.Size.H))
	}
	if !b.Outline.Zero() {
		f.outline("outline", b.Outline)
	}
	for i := range b.Parts {
		f.part(&b.Parts[i])
	}
	for i := range b.Pins {
		f.pin(b, board.PinID(i))
	}
	for i := range b.Nets {
		f.net(&b.Nets[i])
	}
	for i := range b.Pads {
		f.pad(b, &b.Pads[i])
	}
	for i := range b.Covers {
		f.cover(b, &b.Covers[i])
	}
	for i := range b.Branches {
		f.branch(b, &b.Branches[i])
	}
	f.copper(b)
}

func (f facts) outline(thing string, o board.Outline) {
	f.add(thing, "round", number(2*o.Radius))
	f.add(thing, "corners", points(o.Points))
}

func (f facts) part(p *board.Part) {
	t := "part " + p.Name
	f.add(t, "class", p.Class.String())
	f.add(t, "value", p.Value.String())
	f.add(t, "volts", p.Volts.String())
	f.add(t, "amps", p.Amps.String())
	f.add(t, "tolerance", board.Tolerance{Below: p.Percent, Above: p.Percent}.String())
	f.add(t, "text", p.Text)
	f.add(t, "package", p.Package)
	f.add(t, "side", p.Side.String())
	f.add(t, "at", place(p.Placed, p.At))
	f.add(t, "turned", number(p.Turn))
	f.add(t, "size", size(p.Size.W, p.Size.H))
	f.add(t, "unfitted", yes(p.Unfitted))
	f.add(t, "for", p.Functions...)
}

func (f facts) shape(thing string, s board.PadShape) {
	if s.H == 0 {
		f.add(thing, "round", number(s.W))
	} else {
		f.add(thing, "size", size(s.W, s.H))
	}
	f.add(thing, "turned", number(s.Turn))
}

func (f facts) pin(b *board.Board, id board.PinID) {
	p, t := &b.Pins[id], "pin "+b.PinName(id)
	f.add(t, "net", netName(b, p.Net))
	f.add(t, "side", p.Side.String())
	f.add(t, "at", place(p.Placed, p.At))
	f.shape(t, p.Shape)
}

func (f facts) net(n *board.Net) {
	f.add("net "+n.Name, "kind", n.Kind.String())
	f.add("net "+n.Name, "volts", n.Volts.String())
	f.add("net "+n.Name, "also", n.Aliases...)
	f.add("net "+n.Name, "for", n.Functions...)
}

func (f facts) pad(b *board.Board, p *board.Pad) {
	t := "pad " + p.Name
	f.add(t, "net", netName(b, p.Net))
	f.add(t, "in", p.Group)
	f.add(t, "side", p.Side.String())
	f.add(t, "at", place(p.Placed, p.At))
	f.shape(t, p.Shape)
}

func (f facts) cover(b *board.Board, c *board.Cover) {
	t := "cover " + c.Name
	f.add(t, "kind", c.Kind.String())
	f.add(t, "side", c.Side.String())
	f.outline(t, c.Outline)
	f.add(t, "listed", yes(c.Listed))
	for _, p := range c.Parts {
		f.add(t, "over", b.Parts[p].Name)
	}
	for _, p := range c.Pads {
		f.add(t, "over", "pad "+b.Pads[p].Name)
	}
	f.add(t, "lift", c.Lift)
	f.add(t, "minutes", c.Minutes.String())
	f.add(t, "risk", c.Risk.String())
}

func (f facts) branch(b *board.Board, x *board.Branch) {
	t := "branch " + x.Name
	f.add(t, "net", netName(b, x.Net))
	f.add(t, "for", x.Functions...)
	for _, p := range x.Pads {
		f.add(t, "pads", b.Pads[p].Name)
	}
	for _, p := range x.Pins {
		f.add(t, "pins", b.PinName(p))
	}
}

func (f facts) copper(b *board.Board) {
	for _, v := range b.Vias {
		one := facts{}
		one.add("via", "net", netName(b, v.Net))
		one.add("via", "at", place(true, v.At))
		one.add("via", "drill", number(v.Drill))
		one.shape("via", v.Shape)
		if v.To > 0 {
			one.add("via", "layers", fmt.Sprintf("%d..%d", v.From, v.To))
		}
		if v.Mask != 0 {
			one.add("via", "mask", string(v.Mask))
		}
		f.nameless("via", one["via"])
	}
	for _, h := range b.Holes {
		f.nameless("hole", said{"at": {place(true, h.At)}, "drill": {number(h.Drill)}, "plated": {yes(h.Plated)}}.said())
	}
	for _, x := range b.Tracks {
		one := facts{}
		one.add("track", "net", netName(b, x.Net))
		one.add("track", "layer", number(int32(x.Layer)))
		one.shape("track", x.Pen)
		one.add("track", "path", points(x.Path))
		f.nameless("track", one["track"])
	}
}
