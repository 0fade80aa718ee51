package lsp

import (
	"iter"

	"netlore/store/board"
	"netlore/store/sheet"
)

// A thing is what a name stands for: one part of one board, an author.
type thing struct {
	sort  sheet.Sort
	where string // the board, of things that boards have
	of    string // of a pin: the part
	name  string // of a net: its first name, whichever it was called by
}

// A sighting is a name where it stands.
type sighting struct {
	doc *document
	sheet.Mention
	thing thing
}

// thing tells what a mention stands for.
func (c *scope) thing(m sheet.Mention) thing {
	t := thing{sort: m.Sort, of: m.Of, name: m.Name}
	switch m.Sort {
	case sheet.BoardSort, sheet.StackSort:
		t.sort = sheet.DeviceSort
		return t
	case sheet.PartSort, sheet.NetSort, sheet.PadSort, sheet.CoverSort, sheet.BranchSort, sheet.PinSort, sheet.FrameSort, sheet.FunctionSort:
	default:
		return t
	}
	is := c.meant(m.Role)
	t.where = is.where
	if b := is.board(); b != nil {
		t.settle(b)
	}
	return t
}

// settle brings the names of one thing together: those of a net, and those of a
// part that is a cover too.
func (t *thing) settle(b *board.Board) {
	switch t.sort {
	case sheet.NetSort:
		if id := b.FindNet(t.name); id != board.None {
			t.name = b.Nets[id].Name
		}
	case sheet.CoverSort:
		if b.FindPart(t.name) != board.None {
			t.sort = sheet.PartSort
		}
	}
}

// sightings lists the names in a document, in their order.
func (w *world) sightings(d *document) iter.Seq[sighting] {
	return func(yield func(sighting) bool) {
		c, asks := w.scope(d), w.asks[d]()
		for m := range d.file().Mentions(c.tell) {
			for len(asks) > 0 && asks[0].At.Start < m.At.Start {
				if !yield(sighting{d, asks[0], c.thing(asks[0])}) {
					return
				}
				asks = asks[1:]
			}
			if m.Sort != sheet.RevisionSort && !yield(sighting{d, m, c.thing(m)}) {
				return
			}
		}
		for _, m := range asks {
			if !yield(sighting{d, m, c.thing(m)}) {
				return
			}
		}
	}
}

// of lists where the documents name a thing.
func (v *view) of(w *world, t thing) ([]sighting, error) {
	var found []sighting
	for _, d := range w.docs {
		if err := v.ctx.Err(); err != nil {
			return nil, err
		}
		for s := range w.sightings(d) {
			if s.thing == t {
				found = append(found, s)
			}
		}
	}
	return found, nil
}

// at returns what a document names at a position.
func (v *view) at(d *document, w *world, p position) (sighting, bool) {
	c, offset := w.scope(d), d.lines().offset(p, v.s.client.encoding)
	for _, m := range w.asks[d]() {
		if m.At.Start <= offset && offset <= m.At.End {
			return sighting{d, m, c.thing(m)}, true
		}
	}
	m, ok := d.file().MentionAt(offset, c.tell)
	if !ok || m.Sort == sheet.RevisionSort {
		return sighting{}, false
	}
	return sighting{d, m, c.thing(m)}, true
}

// location is where a sighting stands.
func (v *view) location(s sighting) location {
	return location{s.doc.uri, s.doc.lines().textRange(s.At, v.s.client.encoding)}
}

// definition finds where statements are about the thing at a place, else where
// it is made known.
func (v *view) definition(p *placeParams) (any, error) {
	found, err := v.around(p)
	if err != nil {
		return nil, err
	}
	for _, enough := range []func(s sighting) bool{
		func(s sighting) bool { return s.Declares },
		func(s sighting) bool { return s.Structure && !isLabel(s.Sort) },
	} {
		if places := v.locations(found, enough); len(places) > 0 {
			return places, nil
		}
	}
	return nil, nil
}

type referenceParams struct {
	placeParams
	Context struct {
		Declaration bool `json:"includeDeclaration"`
	} `json:"context"`
}

// references finds all places that name the thing at a place.
func (v *view) references(p *referenceParams) (any, error) {
	found, err := v.around(&p.placeParams)
	if err != nil {
		return nil, err
	}
	return v.locations(found, func(s sighting) bool { return p.Context.Declaration || !s.Declares }), nil
}

// highlight finds the places in the document itself.
func (v *view) highlight(p *placeParams) (any, error) {
	found, err := v.around(p)
	if err != nil {
		return nil, err
	}
	all := []object{}
	for _, l := range v.locations(found, func(s sighting) bool { return keyOf(s.doc.uri) == keyOf(p.Document.URI) }) {
		all = append(all, object{"range": l.Range})
	}
	return all, nil
}

// around lists the sightings of the thing at a place; none if nothing is named
// there.
func (v *view) around(p *placeParams) ([]sighting, error) {
	d, w, err := v.open(p.Document)
	if err != nil {
		return nil, err
	}
	here, ok := v.at(d, w, p.Position)
	if !ok {
		return nil, nil
	}
	return v.of(w, here.thing)
}

// locations are the places of sightings; of a range, once.
func (v *view) locations(found []sighting, wanted func(s sighting) bool) []location {
	all := []location{}
	for _, s := range found {
		if !wanted(s) {
			continue
		}
		if l := v.location(s); len(all) == 0 || all[len(all)-1] != l {
			all = append(all, l)
		}
	}
	return all
}
