package lsp

import (
	"fmt"
	"slices"
	"strings"

	"netlore/store/board"
	"netlore/store/sheet"
)

// most is how many names, readings or notes are listed before "and more".
const most = 8

// describe says in plain lines what is known of a thing: first what it is. It
// returns nothing if the board has no such thing.
func (t thing) describe(b *board.Board) []string {
	if b == nil {
		return nil
	}
	switch t.sort {
	case sheet.PartSort:
		if id := b.FindPart(t.name); id != board.None {
			lines := partLines(b, id)
			if c := b.FindCover(t.name); c != board.None {
				lines = append(lines, coverLines(b, c)...)
			}
			return lines
		}
	case sheet.PinSort:
		return t.pinLines(b)
	case sheet.NetSort:
		if id := b.FindNet(t.name); id != board.None {
			return netLines(b, id)
		}
	case sheet.PadSort:
		if id := b.FindPad(t.name); id != board.None {
			return padLines(b, id)
		}
	case sheet.CoverSort:
		if id := b.FindCover(t.name); id != board.None {
			return coverLines(b, id)
		}
	case sheet.BranchSort:
		return t.branchLines(b)
	}
	return nil
}

// words joins what is known, with blanks between.
func words(all ...string) string {
	return strings.Join(slices.DeleteFunc(all, func(s string) bool { return s == "" }), " ")
}

// said keeps those lines that say something.
func said(all ...string) []string {
	return slices.DeleteFunc(all, func(s string) bool { return s == "" })
}

// label puts a word before what is known.
func label(word, what string) string {
	if what == "" {
		return ""
	}
	return word + " " + what
}

// list joins names, the first of them if they are many.
func list(names []string) string {
	if len(names) > most {
		return strings.Join(names[:most], ", ") + fmt.Sprintf(" and %d more", len(names)-most)
	}
	return strings.Join(names, ", ")
}

func place(placed bool, side board.Side, at board.Point) string {
	if !placed {
		return words(side.String(), "(no place known)")
	}
	return words(side.String(), fmt.Sprintf("at %s, %s", board.Millimetres(at.X), board.Millimetres(at.Y)))
}

func partLines(b *board.Board, id board.PartID) []string {
	p := &b.Parts[id]
	fitted := ""
	if p.Unfitted {
		fitted = "not on the real board"
	}
	var hiding []board.Hiding
	for c := range b.Covers {
		hiding = append(hiding, b.CoversPart(board.CoverID(c), id))
	}
	return said(words("part", board.QuoteName(p.Name), p.Class.String()),
		words(p.Value.String(), p.Volts.String(), p.Amps.String(), percent(p.Percent), p.Package), p.Text, fitted,
		place(p.Placed, b.PartSide(id), p.At), label("on", list(netsOf(b, id))), under(b, hiding), label("for", list(p.Functions)))
}

func percent(q board.Quantity) string {
	if !q.Known() {
		return ""
	}
	return "±" + q.String()
}

// netsOf lists the nets of a part, each with its pins.
func netsOf(b *board.Board, id board.PartID) []string {
	first, last := b.PinsOf(id)
	pins := map[board.NetID][]string{}
	var order []board.NetID
	for p := first; p < last; p++ {
		n := b.Pins[p].Net
		if n == board.None {
			continue
		}
		if pins[n] == nil {
			order = append(order, n)
		}
		pins[n] = append(pins[n], b.Pins[p].Name)
	}
	var all []string
	for _, n := range order {
		all = append(all, fmt.Sprintf("%s (%s)", board.QuoteName(b.Nets[n].Name), list(pins[n])))
	}
	return all
}

// under says which covers lie over a thing, by how each is judged.
func under(b *board.Board, hiding []board.Hiding) string {
	var over, perhaps []string
	for c, h := range hiding {
		switch h.Truth {
		case board.True:
			over = append(over, board.QuoteName(b.Covers[c].Name))
		case board.Unknown:
			perhaps = append(perhaps, board.QuoteName(b.Covers[c].Name))
		}
	}
	switch {
	case len(hiding) == 0:
		return ""
	case len(over) > 0:
		return "under " + list(over)
	case len(perhaps) > 0:
		return "perhaps under " + list(perhaps)
	}
	return "under no cover"
}

func (t thing) pinLines(b *board.Board) []string {
	part := b.FindPart(t.of)
	if part == board.None {
		return nil
	}
	id := b.FindPin(part, t.name)
	if id == board.None {
		return nil
	}
	net := "on no net, as far as known"
	if n := b.Pins[id].Net; n != board.None {
		net = "on " + board.QuoteName(b.Nets[n].Name)
	}
	return append([]string{"pin " + b.PinName(id), net}, partLines(b, part)...)
}

func netLines(b *board.Board, id board.NetID) []string {
	n := &b.Nets[id]
	parts := map[board.PartID]bool{}
	for _, p := range b.PinsOn(id) {
		parts[b.Pins[p].Part] = true
	}
	var branches []string
	for i := range b.Branches {
		if b.Branches[i].Net == id {
			branches = append(branches, board.QuoteName(b.Branches[i].Name))
		}
	}
	kind := n.Kind.String()
	if kind == "" {
		kind = "kind not known"
	}
	return said(words("net", board.QuoteName(n.Name)), words(kind, n.Volts.String()), label("also", list(n.Aliases)),
		fmt.Sprintf("%s, %s, %s", count(len(parts), "part"), count(len(b.PinsOn(id)), "pin"), count(len(b.PadsOn(id)), "pad")),
		label("branches", list(branches)), label("for", list(n.Functions)))
}

func padLines(b *board.Board, id board.PadID) []string {
	p := &b.Pads[id]
	net := "on no net, as far as known"
	if p.Net != board.None {
		net = "on " + board.QuoteName(b.Nets[p.Net].Name)
	}
	var hiding []board.Hiding
	for c := range b.Covers {
		hiding = append(hiding, b.CoversPad(board.CoverID(c), id))
	}
	return said("pad "+board.QuoteName(p.Name), net, place(p.Placed, p.Side, p.At), label("in", p.Group), under(b, hiding))
}

func coverLines(b *board.Board, id board.CoverID) []string {
	c := &b.Covers[id]
	lid := b.Lid(id)
	certain, possible := 0, 0
	for p := range b.Parts {
		switch lid.OverPart(board.PartID(p)).Truth {
		case board.True:
			certain++
		case board.Unknown:
			possible++
		}
	}
	hides := "hides " + count(certain, "part")
	if possible > 0 {
		hides = fmt.Sprintf("hides %d to %d parts", certain, certain+possible)
	}
	_, side := b.CoverOutline(id)
	return said(words("cover", board.QuoteName(c.Name), c.Kind.String()), side.String(),
		words(label("lift", c.Lift), c.Minutes.String(), label("risk", c.Risk.String())), hides)
}

func (t thing) branchLines(b *board.Board) []string {
	for i := range b.Branches {
		x := &b.Branches[i]
		if x.Name != t.name {
			continue
		}
		var pads []string
		for _, p := range x.Pads {
			pads = append(pads, board.QuoteName(b.Pads[p].Name))
		}
		parts := map[board.PartID]bool{}
		for _, p := range x.Pins {
			parts[b.Pins[p].Part] = true
		}
		return said("branch "+board.QuoteName(x.Name), "on "+board.QuoteName(b.Nets[x.Net].Name), label("pads", list(pads)),
			count(len(parts), "part"), label("for", list(x.Functions)))
	}
	return nil
}
