package query

import (
	"context"
	"slices"
	"strings"

	"netlore/query/check"
	"netlore/query/diag"
	"netlore/query/draw"
	"netlore/query/run"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// Draw answers a question of which the answer has places, and makes a picture of
// what was asked for. Complaints are a diag.List.
func Draw(ctx context.Context, src run.Source, opt Options, text string) (*draw.Picture, *run.Answer, error) {
	opt.Each = nil
	q, err := Compile(ctx, src, opt, text)
	if err != nil {
		return nil, nil, err
	}
	if list := q.undrawable(); list != nil {
		return nil, nil, list
	}
	a, err := q.Run(ctx, src, opt)
	if err != nil {
		return nil, nil, err
	}
	p := newPlotter(q.typed.Scope, a, q.Reading)
	switch a.Noun {
	case words.Suspects:
		p.suspects(a)
	case words.Tests:
		p.tests(a)
	default:
		for i := range a.Rows {
			p.row(q.typed, &a.Rows[i])
		}
	}
	p.finish()
	return p.picture, a, nil
}

// Drawable reports whether Draw makes a picture of what the question asks for.
func (q *Question) Drawable() bool { return q.undrawable() == nil }

// undrawable complains of a question whose answer is no set of things on boards.
func (q *Question) undrawable() diag.List {
	t := q.typed
	switch {
	case q.target.every:
		return complain("Q97", "a question of every board cannot be drawn: there would be a picture for each", "name the board with --on")
	case t.PlanOf || t.Why != nil || t.Aggregate != nil:
		return complain("Q97", "what this asks for has no place on a board", "ask for the things themselves: parts, pads, pins, nets, covers, branches or a route")
	case t.Route != nil:
		return nil
	}
	switch n := t.Set.Noun(); n {
	case words.Parts, words.Pins, words.Pads, words.Covers, words.Nets, words.Branches, words.Readings, words.Expected, words.Notes, words.Suspects, words.Tests:
		return nil
	default:
		return complain("Q97", n.String()+" have no place on a board, so they cannot be drawn", "ask for the parts, pads, pins, nets, covers or branches that you mean")
	}
}

// plotter makes marks of the rows of an answer.
type plotter struct {
	picture *draw.Picture
	scope   *check.Scope
	answer  *run.Answer
	reading int             // the column of readings, or -1
	lost    int             // names of things that are on no board here
	steps   int             // places of a route so far
	way     map[string]bool // their names
}

func newPlotter(scope *check.Scope, a *run.Answer, title string) *plotter {
	p := &plotter{picture: &draw.Picture{Title: title, Notes: append([]string{a.Footer(false) + "."}, a.Remarks...)}, scope: scope, answer: a, reading: -1, way: map[string]bool{}}
	for i, c := range a.Columns {
		if c.Name == "reading" || c.Name == "value" && (a.Noun == words.Readings || a.Noun == words.Expected) {
			p.reading = i
		}
	}
	for _, m := range scope.Members {
		name := m.Board.Ref.String()
		if m.Role != "" {
			name = m.Role + ": " + name
		}
		p.picture.Members = append(p.picture.Members, draw.Member{Name: name, Role: m.Role, Board: m.Board})
	}
	return p
}

// row marks what a row is about.
func (p *plotter) row(q *check.Question, r *run.Row) {
	if q.Route != nil {
		p.step(r)
		return
	}
	m := p.member(r.Of)
	if m < 0 {
		return
	}
	mark := draw.Mark{ID: r.ID, Maybe: q.Possibly}
	if p.reading >= 0 {
		mark.Text = r.Cells[p.reading].In(p.answer.Columns[p.reading].Unit)
	}
	switch p.answer.Noun {
	case words.Nets:
		p.net(m, board.NetID(r.ID), p.group(m, r.Cells[0].String()))
	case words.Branches:
		p.branch(m, r.ID, p.group(m, r.Cells[0].String()))
	case words.Readings, words.Expected, words.Notes:
		p.target(m, r.Cells, mark)
	case words.Pins:
		p.pin(m, board.PinID(r.ID), mark)
	default:
		mark.Kind = kinds[p.answer.Noun]
		p.mark(m, mark)
	}
}

// pin marks a pin, or if its place is not known, its part, with the name of the pin.
func (p *plotter) pin(member int, id board.PinID, mark draw.Mark) {
	pin := &p.scope.Members[member].Board.Pins[id]
	if mark.Kind, mark.ID = draw.Pin, int32(id); !pin.Placed {
		mark.Kind, mark.ID, mark.Text = draw.Part, int32(pin.Part), strings.TrimSpace(pin.Name+" "+mark.Text)
	}
	p.mark(member, mark)
}

var kinds = map[words.Noun]draw.Kind{words.Parts: draw.Part, words.Pads: draw.Pad, words.Covers: draw.Cover}

func (p *plotter) mark(member int, m draw.Mark) {
	of := &p.picture.Members[member]
	of.Marks = append(of.Marks, m)
}

// member is the index of the board that a row is of, or -1.
func (p *plotter) member(of *run.Member) int {
	for i, m := range p.scope.Members {
		if of != nil && m.Role == of.Role && m.Board.Ref == of.Board {
			return i
		}
	}
	return -1
}

// group is the number of the group of a name.
func (p *plotter) group(member int, name string) int {
	for i, have := range p.picture.Groups {
		if have.Name == name && have.Member == member {
			return i
		}
	}
	p.picture.Groups = append(p.picture.Groups, draw.Group{Name: name, Member: member})
	return len(p.picture.Groups) - 1
}

// net marks the pads of a net, and its pins where their places are known, else
// their parts; and draws its tracks.
func (p *plotter) net(member int, net board.NetID, group int) {
	b := p.scope.Members[member].Board
	p.copper(member, b.PadsOn(net), b.PinsOn(net), draw.Mark{Groups: []int{group}})
	for i := range b.Tracks {
		if t := &b.Tracks[i]; t.Net == net {
			p.picture.Members[member].Lines = append(p.picture.Members[member].Lines, draw.Line{Side: sideOf(b, t.Layer), Path: t.Path})
		}
	}
}

// sideOf is the side on which a layer shows; tracks inside show on both.
func sideOf(b *board.Board, layer uint8) board.Side {
	switch {
	case layer == 1:
		return board.Top
	case int32(layer) == b.Layers:
		return board.Bottom
	}
	return board.BothSides
}

func (p *plotter) branch(member int, id int32, group int) {
	piece := &p.scope.Members[member].Board.Copper().Pieces[id]
	p.copper(member, piece.Pads, piece.Pins, draw.Mark{Groups: []int{group}})
}

func (p *plotter) copper(member int, pads []board.PadID, pins []board.PinID, mark draw.Mark) {
	b := p.scope.Members[member].Board
	for _, id := range pads {
		mark.Kind, mark.ID = draw.Pad, int32(id)
		p.mark(member, mark)
	}
	for _, id := range pins {
		if mark.Kind, mark.ID = draw.Pin, int32(id); !b.Pins[id].Placed {
			mark.Kind, mark.ID = draw.Part, int32(b.Pins[id].Part)
		}
		p.mark(member, mark)
	}
}

// target marks what a statement is about.
func (p *plotter) target(member int, cells []value.Value, mark draw.Mark) {
	for i, c := range p.answer.Columns {
		if c.Name != "target" {
			continue
		}
		for _, name := range items(cells[i]) {
			if !p.named(member, name, mark) {
				p.lost++
			}
		}
	}
}

// items are the values of a list, or the value itself.
func items(v value.Value) []value.Value {
	if list := v.Items(); len(list) > 0 {
		return list
	}
	return []value.Value{v}
}

// named marks the thing that a cell names; a net by its places.
func (p *plotter) named(member int, name value.Value, mark draw.Mark) bool {
	t := board.Target{Name: name.Raw()}
	m := &p.scope.Members[member]
	found := m.Board.Find(t)
	if len(found.Kinds) == 0 {
		return false
	}
	switch found.Kinds[0] {
	case board.OnPad:
		mark.Kind, mark.ID = draw.Pad, int32(m.Board.FindPad(t.Name))
	case board.OnPart:
		mark.Kind, mark.ID = draw.Part, int32(m.Board.FindPart(t.Name))
	case board.OnCover:
		mark.Kind, mark.ID = draw.Cover, int32(m.Board.FindCover(t.Name))
	case board.OnNet:
		g := p.group(member, name.String())
		p.picture.Groups[g].Texts = append(p.picture.Groups[g].Texts, mark.Text)
		p.net(member, found.Net, g)
		return true
	case board.OnPin:
		id := pinOf(m.Board, t.Name)
		if id == board.None {
			return false
		}
		p.pin(member, id, mark)
		return true
	case board.OnBranch:
		id := slices.IndexFunc(m.Board.Branches, func(b board.Branch) bool { return b.Name == t.Name })
		g := p.group(member, name.String())
		p.picture.Groups[g].Texts = append(p.picture.Groups[g].Texts, mark.Text)
		p.branch(member, int32(id), g)
		return true
	}
	p.mark(member, mark)
	return true
}
