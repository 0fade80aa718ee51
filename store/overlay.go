package store

import (
	"slices"

	"netlore/store/board"
	"netlore/store/sheet"
)

// correctContent lays what newer says over what older says: where both say
// something, newer holds; lists add up.
func correctContent(older, newer *sheet.Content, own []string) *sheet.Content {
	c := &sheet.Content{Stack: correctStack(older.Stack, newer.Stack), Knowledge: correctKnowledge(older.Knowledge, newer.Knowledge, own)}
	if older.Board != nil || newer.Board != nil {
		o := overlay{board.NewBuilder(board.Ref{})}
		o.lay(older.Board)
		o.lay(newer.Board)
		c.Board = o.Build()
	}
	return c
}

// over sets a field to what is said of it, if anything is.
func over[T comparable](at *T, said T) {
	var nothing T
	if said != nothing {
		*at = said
	}
}

// addUp joins two lists; each thing is in it once.
func addUp[T comparable](at *[]T, said []T) {
	for _, s := range said {
		if !slices.Contains(*at, s) {
			*at = append(*at, s)
		}
	}
}

// overlay is a board that others are laid over.
type overlay struct{ *board.Builder }

func (o overlay) lay(b *board.Board) {
	if b == nil {
		return
	}
	o.head(b)
	for i := range b.Nets {
		o.net(&b.Nets[i])
	}
	for i := range b.Parts {
		o.part(&b.Parts[i])
	}
	for i := range b.Pins {
		o.pin(b, &b.Pins[i])
	}
	for i := range b.Pads {
		o.pad(b, &b.Pads[i])
	}
	for i := range b.Covers {
		o.cover(b, &b.Covers[i])
	}
	for i := range b.Branches {
		o.branch(b, &b.Branches[i])
	}
	o.copper(b)
}

func (o overlay) head(b *board.Board) {
	at := o.Board()
	over(&at.Name, b.Name)
	over(&at.Revision, b.Revision)
	over(&at.Title, b.Title)
	over(&at.Layers, b.Layers)
	over(&at.Size, b.Size)
	if !b.Outline.Zero() {
		at.Outline = b.Outline
	}
}

func (o overlay) net(n *board.Net) {
	at := o.NetAt(o.Net(n.Name))
	addUp(&at.Aliases, n.Aliases)
	over(&at.Kind, n.Kind)
	over(&at.Volts, n.Volts)
	addUp(&at.Functions, n.Functions)
}

// part lays a part over one of its name. That a part is fitted, and that its
// class is what its letters tell, are not said in words, so they correct
// nothing.
func (o overlay) part(p *board.Part) {
	at := o.PartAt(o.Part(p.Name))
	if p.Class != board.ClassOf(p.Name) {
		at.Class = p.Class
	}
	over(&at.Value, p.Value)
	over(&at.Volts, p.Volts)
	over(&at.Amps, p.Amps)
	over(&at.Percent, p.Percent)
	over(&at.Text, p.Text)
	over(&at.Package, p.Package)
	over(&at.Side, p.Side)
	over(&at.Turn, p.Turn)
	if p.Placed {
		at.Placed, at.At, at.Turn = true, p.At, p.Turn
	}
	over(&at.Size, p.Size)
	over(&at.Unfitted, p.Unfitted)
	addUp(&at.Functions, p.Functions)
}

func (o overlay) pin(b *board.Board, p *board.Pin) {
	at := o.PinAt(o.samePin(b, p))
	if p.Placed {
		at.Placed, at.At = true, p.At
	}
	over(&at.Side, p.Side)
	over(&at.Shape, p.Shape)
	if p.Net != board.None {
		at.Net = o.sameNet(b, p.Net)
	}
}

func (o overlay) samePin(b *board.Board, p *board.Pin) board.PinID {
	return o.Pin(o.Part(b.Parts[p.Part].Name), p.Name)
}

func (o overlay) sameNet(b *board.Board, n board.NetID) board.NetID {
	if n == board.None {
		return board.None
	}
	return o.Net(b.Nets[n].Name)
}

func (o overlay) pad(b *board.Board, p *board.Pad) {
	at := o.PadAt(o.Pad(p.Name))
	if p.Net != board.None {
		at.Net = o.sameNet(b, p.Net)
	}
	over(&at.Group, p.Group)
	over(&at.Side, p.Side)
	over(&at.Shape, p.Shape)
	if p.Placed {
		at.Placed, at.At = true, p.At
	}
}

// cover lays a cover over one of its name. That nothing is under it takes away
// a list.
func (o overlay) cover(b *board.Board, c *board.Cover) {
	at := o.CoverAt(o.Cover(c.Name))
	over(&at.Kind, c.Kind)
	over(&at.Side, c.Side)
	if !c.Outline.Zero() {
		at.Outline = c.Outline
	}
	if c.Listed && len(c.Parts)+len(c.Pads) == 0 {
		at.Parts, at.Pads = nil, nil
	}
	at.Listed = at.Listed || c.Listed
	for _, p := range c.Parts {
		at.Parts = append(at.Parts, o.Part(b.Parts[p].Name))
	}
	for _, p := range c.Pads {
		at.Pads = append(at.Pads, o.Pad(b.Pads[p].Name))
	}
	over(&at.Lift, c.Lift)
	over(&at.Minutes, c.Minutes)
	over(&at.Risk, c.Risk)
}

func (o overlay) branch(b *board.Board, x *board.Branch) {
	at := o.BranchAt(o.Branch(x.Name))
	if x.Net != board.None {
		at.Net = o.sameNet(b, x.Net)
	}
	for _, p := range x.Pads {
		at.Pads = append(at.Pads, o.Pad(b.Pads[p].Name))
	}
	for _, p := range x.Pins {
		at.Pins = append(at.Pins, o.samePin(b, &b.Pins[p]))
	}
	addUp(&at.Functions, x.Functions)
}

// copper adds what has no name. What is there already is printed once.
func (o overlay) copper(b *board.Board) {
	at := o.Board()
	for _, v := range b.Vias {
		v.Net = o.sameNet(b, v.Net)
		at.Vias = append(at.Vias, v)
	}
	at.Holes = append(at.Holes, b.Holes...)
	for _, t := range b.Tracks {
		t.Net = o.sameNet(b, t.Net)
		at.Tracks = append(at.Tracks, t)
	}
}
