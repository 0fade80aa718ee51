package run_test

import (
	"netlore/query/check"
	"netlore/query/words"
	"netlore/store/board"
)

// naive answers typed questions on one board in three values, straight from the
// definition: for each thing every condition, for each condition everything that
// may be meant, without an index, a plan or a set. Places are judged by integer
// arithmetic on boxes. It knows the nouns, relations and fields of the random
// questions.
type naive struct {
	b     *board.Board
	known *naiveCopper
	found map[*check.Trace]*naiveTrace // traces of the question, each followed once
}

func naively(b *board.Board) naive { return naive{b: b, known: &naiveCopper{}} }

func least(a, b board.Truth) board.Truth { return min(a, b) }
func opposite(a board.Truth) board.Truth { return board.True - a }

func truth(holds bool) board.Truth {
	if holds {
		return board.True
	}
	return board.False
}

func (n naive) count(noun words.Noun) int {
	return map[words.Noun]int{words.Parts: len(n.b.Parts), words.Pins: len(n.b.Pins), words.Nets: len(n.b.Nets),
		words.Pads: len(n.b.Pads), words.Covers: len(n.b.Covers), words.Branches: len(n.b.Branches)}[noun]
}

func (n naive) name(noun words.Noun, id int) string {
	switch noun {
	case words.Parts:
		return n.b.Parts[id].Name
	case words.Pins:
		return n.b.PinName(board.PinID(id))
	case words.Nets:
		return n.b.Nets[id].Name
	case words.Pads:
		return n.b.Pads[id].Name
	}
	return n.b.Covers[id].Name
}

func (n naive) answer(q *check.Question) bounds {
	b := bounds{map[string]bool{}, map[string]bool{}}
	noun := q.Set.Noun()
	n.found = map[*check.Trace]*naiveTrace{}
	for id := range n.count(noun) {
		switch n.in(q.Set, id) {
		case board.True:
			b.certain[n.name(noun, id)] = true
			fallthrough
		case board.Unknown:
			b.possible[n.name(noun, id)] = true
		}
	}
	return b
}

func (n naive) in(set check.Set, id int) board.Truth {
	if c, ok := set.(*check.Combine); ok {
		l, r := n.in(c.L, id), n.in(c.R, id)
		return map[check.SetOp]board.Truth{check.Union: max(l, r), check.Shared: min(l, r), check.Except: min(l, opposite(r))}[c.Op]
	}
	s := set.(*check.Select)
	t := board.True
	if s.Kinds != nil {
		t = least(t, n.anyKind(id, s.Kinds))
	}
	for _, a := range s.Adjectives {
		t = least(t, n.adjective(s.Of, id, a))
	}
	if s.Where != nil {
		t = least(t, n.holds(s.Of, id, s.Where))
	}
	return t
}

func (n naive) adjective(noun words.Noun, id int, a words.Adjective) board.Truth {
	side := func(want board.Side) board.Truth {
		have := n.side(noun, id)
		if have == board.SideUnknown {
			return board.Unknown
		}
		return truth(have == want || have == board.BothSides)
	}
	kind := func(want board.NetKind) board.Truth { return n.netKind(id, want) }
	switch a {
	case words.Hidden, words.Visible:
		hidden := board.False
		for c := range n.b.Covers {
			hidden = max(hidden, n.hides(c, noun, id))
		}
		if a == words.Visible {
			return opposite(hidden)
		}
		return hidden
	case words.OnTop:
		return side(board.Top)
	case words.OnBottom:
		return side(board.Bottom)
	case words.GroundNet:
		return kind(board.Ground)
	}
	return kind(board.Power)
}

func (n naive) netKind(id int, want board.NetKind) board.Truth {
	if n.b.Nets[id].Kind == board.NetUnknown {
		return board.Unknown
	}
	return truth(n.b.Nets[id].Kind == want)
}

func (n naive) anyKind(id int, kinds []check.PartKind) board.Truth {
	t := board.False
	for _, k := range kinds {
		t = max(t, n.kind(&n.b.Parts[id], k))
	}
	return t
}

func (n naive) kind(p *board.Part, k check.PartKind) board.Truth {
	switch {
	case k.ZeroOhm && p.Value.Known():
		return truth(p.Value == board.Quantity{Unit: board.Ohm})
	case k.ZeroOhm:
		if p.Class == board.ClassUnknown || p.Class.ValueUnit() == board.Ohm {
			return board.Unknown
		}
		return board.False
	case p.Class == board.ClassUnknown, p.Class == board.Chip && k.Class.Parent() == board.Chip:
		return board.Unknown
	}
	return truth(p.Class == k.Class || p.Class.Parent() == k.Class)
}

func (n naive) holds(noun words.Noun, id int, p check.Pred) board.Truth {
	switch p := p.(type) {
	case check.All:
		t := board.True
		for _, one := range p.Preds {
			t = min(t, n.holds(noun, id, one))
		}
		return t
	case check.Any:
		t := board.False
		for _, one := range p.Preds {
			t = max(t, n.holds(noun, id, one))
		}
		return t
	case check.Not:
		return opposite(n.holds(noun, id, p.Pred))
	case check.Has:
		values, _ := n.field(noun, id, p.Field.ID)
		return truth(len(values) > 0)
	case check.IsUnknown:
		_, open := n.field(noun, id, p.Field.ID)
		return truth(open)
	case check.Compare:
		return n.compare(noun, id, p)
	case check.Inside:
		return n.inside(p.Area, n.rect(noun, id))
	}
	r := p.(check.Related)
	if r.Trace != nil {
		return n.traced(r, noun, id)
	}
	return n.operand(r.Operand, func(of words.Noun, o int) board.Truth { return n.related(r, noun, id, of, o) },
		func(group string) board.Truth { return truth(n.b.Pads[id].Group == group) })
}

// operand is whether something holds for one of the operand.
func (n naive) operand(o check.Operand, holds func(words.Noun, int) board.Truth, group func(string) board.Truth) board.Truth {
	t := board.False
	switch o := o.(type) {
	case check.Names:
		for _, name := range o.List {
			for _, f := range name.Found {
				for _, id := range f.IDs {
					t = max(t, holds(f.Noun, int(id)))
				}
				for _, text := range f.Texts {
					t = max(t, group(text))
				}
			}
		}
	case check.Either:
		for _, part := range o.List {
			t = max(t, n.operand(part, holds, group))
		}
	case check.Anything:
		for id := range n.count(o.Of) {
			t = max(t, holds(o.Of, id))
		}
	case check.Sub:
		for id := range n.count(o.Set.Noun()) {
			t = max(t, least(n.in(o.Set, id), holds(o.Set.Noun(), id)))
		}
	case check.Kinds:
		for id := range n.count(o.Of) {
			t = max(t, least(n.isKind(o, id), holds(o.Of, id)))
		}
	}
	return t
}

func (n naive) isKind(o check.Kinds, id int) board.Truth {
	if o.Of == words.Parts {
		return n.anyKind(id, o.Parts)
	}
	t := board.False
	for _, k := range o.NetKinds {
		t = max(t, n.netKind(id, k))
	}
	for _, k := range o.CoverKinds {
		if n.b.Covers[id].Kind == board.CoverUnknown {
			t = max(t, board.Unknown)
		} else {
			t = max(t, truth(n.b.Covers[id].Kind == k))
		}
	}
	return t
}

func (n naive) compare(noun words.Noun, id int, c check.Compare) board.Truth {
	if noun == words.Parts && c.Field.ID == words.Kind {
		t := board.False
		for _, v := range c.Values {
			t = max(t, n.kind(&n.b.Parts[id], v.Choice.Part))
		}
		return t
	}
	values, open := n.field(noun, id, c.Field.ID)
	t := truth(false)
	for _, v := range c.Values {
		for _, have := range values {
			t = max(t, fitsNaively(c.Op, have, v))
		}
		unit := board.NoUnit
		if noun == words.Parts && c.Field.ID == words.Value {
			unit = n.b.Parts[id].Class.ValueUnit()
		}
		if open && (unit == board.NoUnit || unit == v.Quantity.Unit) {
			t = max(t, board.Unknown)
		}
	}
	if c.Op == check.NotEqual {
		return opposite(t)
	}
	return t
}
