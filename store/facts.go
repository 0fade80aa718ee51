package store

import (
	"fmt"
	"strings"

	"netlore/store/board"
)

// boardFacts are about the board as a whole. Its revision is not one: revisions
// are what is compared.
func boardFacts(b *board.Board) facts {
	layers := ""
	if b.Layers > 0 {
		layers = fmt.Sprint(b.Layers)
	}
	return facts{b.Name: {{"title", b.Title}, {"layers", layers}, {"size", size(b.Size)}, {"outline", outline(b.Outline)}}}
}

func partFacts(b *board.Board) facts {
	all := facts{}
	for i := range b.Parts {
		p := &b.Parts[i]
		all[p.Name] = []fact{{"class", p.Class.String()}, {"value", quantity(p.Value)}, {"volts", quantity(p.Volts)},
			{"amps", quantity(p.Amps)}, {"tolerance", quantity(p.Percent)}, {"package", p.Package}, {"text", p.Text}, {"side", p.Side.String()},
			{"place", place(p.Placed, p.At)}, {"turned", turned(p.Turn)}, {"size", size(p.Size)}, {"functions", strings.Join(p.Functions, ", ")}, {"fitted", unfitted(p.Unfitted)}}
	}
	return all
}

func netFacts(b *board.Board) facts {
	all := facts{}
	for i := range b.Nets {
		n := &b.Nets[i]
		all[n.Name] = []fact{{"kind", n.Kind.String()}, {"volts", quantity(n.Volts)},
			{"other names", strings.Join(n.Aliases, ", ")}, {"functions", strings.Join(n.Functions, ", ")}}
	}
	return all
}

func pinFacts(b *board.Board) facts {
	all := facts{}
	for i := range b.Pins {
		p := &b.Pins[i]
		all[b.PinName(board.PinID(i))] = []fact{{"net", netName(b, p.Net)}, {"side", p.Side.String()}, {"place", place(p.Placed, p.At)}, {"shape", shape(p.Shape)}}
	}
	return all
}

func padFacts(b *board.Board) facts {
	all := facts{}
	for i := range b.Pads {
		p := &b.Pads[i]
		all[p.Name] = []fact{{"net", netName(b, p.Net)}, {"side", p.Side.String()}, {"place", place(p.Placed, p.At)}, {"shape", shape(p.Shape)}, {"group", p.Group}}
	}
	return all
}

func coverFacts(b *board.Board) facts {
	all := facts{}
	for i := range b.Covers {
		c := &b.Covers[i]
		all[c.Name] = []fact{{"kind", c.Kind.String()}, {"side", c.Side.String()}, {"outline", outline(c.Outline)},
			{"list", listed(b, c)}, {"lift", c.Lift}, {"minutes", quantity(c.Minutes)}, {"risk", c.Risk.String()}}
	}
	return all
}

func branchFacts(b *board.Board) facts {
	all := facts{}
	for i := range b.Branches {
		x := &b.Branches[i]
		var pads, pins []string
		for _, p := range x.Pads {
			pads = append(pads, b.Pads[p].Name)
		}
		for _, p := range x.Pins {
			pins = append(pins, b.PinName(p))
		}
		all[x.Name] = []fact{{"net", netName(b, x.Net)}, {"pads", strings.Join(pads, " ")},
			{"pins", strings.Join(pins, " ")}, {"functions", strings.Join(x.Functions, ", ")}}
	}
	return all
}

// viaFacts, like those of holes and tracks, go by all that is said of one: a
// thing without a name cannot change, only come and go.
func viaFacts(b *board.Board) facts {
	all := facts{}
	for _, v := range b.Vias {
		all[strings.Join([]string{"at", place(true, v.At), "drill", millimetres(v.Drill), shape(v.Shape), "on", netName(b, v.Net),
			fmt.Sprint("layers ", v.From, " to ", v.To, " mask ", v.Mask)}, " ")] = nil
	}
	return all
}

func holeFacts(b *board.Board) facts {
	all := facts{}
	for _, h := range b.Holes {
		all[strings.Join([]string{"at", place(true, h.At), "drill", millimetres(h.Drill), yes(h.Plated, "plated")}, " ")] = nil
	}
	return all
}

func trackFacts(b *board.Board) facts {
	all := facts{}
	for _, t := range b.Tracks {
		all[strings.Join([]string{"on", netName(b, t.Net), "layer", fmt.Sprint(t.Layer), "pen", shape(t.Pen), "path", path(t.Path)}, " ")] = nil
	}
	return all
}
