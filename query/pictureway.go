package query

import (
	"fmt"

	"netlore/query/draw"
	"netlore/query/run"
	"netlore/query/value"
	"netlore/store/board"
)

// step marks what a row of a route passes, each place once, with its number on the way.
func (p *plotter) step(r *run.Row) {
	for i, c := range p.answer.Columns {
		if c.Name != "from" && c.Name != "through" && c.Name != "to" {
			continue
		}
		for _, name := range items(r.Cells[i]) {
			if name.Kind() == value.Name && !p.passed(name) && p.passing(name) {
				p.steps++
			}
		}
	}
}

// passed reports whether a name is on the way already.
func (p *plotter) passed(name value.Value) bool {
	if p.way[name.String()] {
		return true
	}
	p.way[name.String()] = true
	return false
}

// passing marks a place of a route on the board that it is on. It reports false for what
// is no place, such as a frame.
func (p *plotter) passing(name value.Value) bool {
	for m := range p.scope.Members {
		if p.scope.Members[m].Role == name.Role() && p.named(m, name, draw.Mark{Order: p.steps + 1}) {
			return true
		}
	}
	return false
}

// pinOf is the pin that a name such as C12.1 names, or board.None.
func pinOf(b *board.Board, name string) board.PinID {
	for i := len(name) - 1; i > 0; i-- {
		if name[i] != '.' {
			continue
		}
		if part := b.FindPart(name[:i]); part != board.None {
			if pin := b.FindPin(part, name[i+1:]); pin != board.None {
				return pin
			}
		}
	}
	return board.None
}

// finish adds the joins between the boards of the picture, and tells what is not in it.
func (p *plotter) finish() {
	if p.lost > 0 {
		p.picture.Notes = append(p.picture.Notes, fmt.Sprintf("Not drawn, for it is about no single thing on a board: %d of what was asked for.", p.lost))
	}
	roles := map[string]int{}
	for i, m := range p.picture.Members {
		roles[m.Role] = i
	}
	for _, j := range p.scope.Joins {
		a, okA := roles[j.A.Role]
		b, okB := roles[j.B.Role]
		if !okA || !okB {
			continue
		}
		padA, padB := p.picture.Members[a].Board.FindPad(j.A.Pad), p.picture.Members[b].Board.FindPad(j.B.Pad)
		if padA != board.None && padB != board.None {
			p.picture.Joins = append(p.picture.Joins, draw.Join{A: a, B: b, PadA: padA, PadB: padB})
		}
	}
}
