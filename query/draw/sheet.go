package draw

import (
	"fmt"
	"strings"

	"netlore/store/board"
)

// svg lays the views, or the diagrams, out on one sheet.
func (d *drawing) svg() []byte {
	var body writer
	body.Grow(256 * (len(d.things) + len(d.nowhere))) // about what each takes
	y, wide := edge+header, 640.0
	views := d.views()
	for _, v := range views {
		wide = max(wide, v.wide())
	}
	diagrams := []*diagram(nil)
	if len(views) == 0 {
		diagrams = d.diagrams()
		wide = max(wide, diagramWide+2*edge)
	}
	for _, v := range views {
		y += v.draw(&body, y)
	}
	for _, g := range diagrams {
		y += g.draw(&body, y)
	}
	y += d.legend(&body, y+8, wide)
	y += 24
	for _, text := range d.remarks(len(views) > 0) {
		y += body.paragraph(text, y, wide)
	}
	var out writer
	out.Grow(body.Len() + body.Len()/4)
	d.head(&out, wide, y+edge-10)
	y = edge + large
	title := d.title(wide)
	out.label(title, edge, y, large+2, ink, "font-weight", "bold")
	out.Write(body.Bytes())
	out.end("g")
	out.end("svg")
	return out.Bytes()
}

// title is as much of the title as fits.
func (d *drawing) title(wide float64) string {
	text := []rune(strings.Join(strings.Fields(d.picture.Title), " "))
	for len(text) > 1 && width(string(text), large+2) > wide-2*edge {
		text = append(text[:len(text)-2], '…')
	}
	return string(text)
}

// head opens the picture, with what a screen reader reads.
func (d *drawing) head(w *writer, wide, high float64) {
	w.start("svg", "xmlns", "http://www.w3.org/2000/svg", "width", wide, "height", high, "viewBox", "0 0 "+number(wide)+" "+number(high),
		"role", "img", "aria-labelledby", "nl-title nl-desc", "font-family", faces)
	w.WriteByte('\n')
	w.words("title", "Plan: "+d.picture.Title, "id", "nl-title")
	w.words("desc", d.described(), "id", "nl-desc")
	w.patterns(len(d.picture.Groups))
	w.empty("rect", "width", wide, "height", high, "fill", paper)
	w.start("g", "stroke-linecap", "butt")
	w.WriteByte('\n')
}

// described tells in words what the picture shows.
func (d *drawing) described() string {
	var said []string
	for m := range d.picture.Members {
		for _, side := range []board.Side{board.Top, board.Bottom, board.BothSides} {
			if names := d.namesOn(m, side); len(names) > 0 {
				said = append(said, fmt.Sprintf("%s, %s: %s.", d.picture.Members[m].Name, side, strings.Join(board.CompressRange(names), ", ")))
			}
		}
	}
	return strings.Join(append(said, d.remarks(len(d.things) > 0)...), " ")
}

func (d *drawing) namesOn(member int, side board.Side) (names []string) {
	for i := range d.things {
		if t := &d.things[i]; t.member == member && t.side == side && !t.partner {
			names = append(names, t.plain)
		}
	}
	for i := range d.picture.Members[member].Zones {
		if z := &d.picture.Members[member].Zones[i]; z.Side == side {
			names = append(names, z.Text)
		}
	}
	return names
}

// remarks is what is written under the views.
func (d *drawing) remarks(placed bool) []string {
	var said []string
	add := func(text string, names []string) {
		if len(names) > 0 {
			said = append(said, fmt.Sprintf("%s: %s.", text, strings.Join(board.CompressRange(names), ", ")))
		}
	}
	if placed {
		add("Not drawn, for no place is known", namesOf(d.nowhere))
	} else {
		said = append(said, "No place of any of these is known, so this is a diagram and no plan.")
	}
	add("Drawn without a name, for want of room", d.unnamed)
	add("Drawn on the top, for no side is known", namesOf(d.sideless))
	return append(said, d.picture.Notes...)
}

func namesOf(list []thing) []string {
	names := make([]string, len(list))
	for i := range list {
		names[i] = list[i].name
	}
	return names
}
