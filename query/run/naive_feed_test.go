package run_test

import (
	"netlore/query/check"
	"netlore/query/words"
	"netlore/store/board"
)

// thingSpots are the spots of a thing; those of a part do not count where they
// are ground.
func (n naive) thingSpots(noun words.Noun, id int) []spot {
	var list []spot
	switch noun {
	case words.Pins, words.Pads:
		return n.spotsOf(noun, id)
	case words.Branches:
		return []spot{{kind: 'b', id: n.piece(id)}}
	case words.Parts:
		for p := range n.b.Pins {
			for _, s := range n.spotsOf(words.Pins, p) {
				if int(n.b.Pins[p].Part) == id && n.ground(s) != board.True {
					list = append(list, s)
				}
			}
		}
		return list
	}
	if list = n.spotsOfNet(id); list == nil {
		list = append(list, spot{kind: 'n', id: id})
	}
	return list
}

// begins are the spots of the things of an operand.
func (n naive) begins(o check.Operand) (spots, map[words.Noun]map[int]bool) {
	from, named := spots{}, map[words.Noun]map[int]bool{words.Parts: {}, words.Pads: {}}
	n.operand(o, func(noun words.Noun, id int) board.Truth {
		for _, s := range n.thingSpots(noun, id) {
			t := board.True
			if noun == words.Parts {
				t = opposite(n.ground(s))
			}
			from.begin(s, t)
		}
		if named[noun] != nil {
			named[noun][id] = true
		}
		return board.False
	}, nil)
	return from, named
}

// naiveTrace is what was found for one trace.
type naiveTrace struct{ reached, before, after, dead spots }

func (n naive) follow(r check.Related) *naiveTrace {
	if t := n.found[r.Trace]; t != nil {
		return t
	}
	t := &naiveTrace{}
	from, named := n.begins(r.Operand)
	if r.Relation == words.FedOnlyBy {
		n.cut(t, r, opened{named[words.Parts], named[words.Pads]})
	} else {
		t.reached = n.reach(from, r.Trace.Passes, opened{}, nil)
	}
	if n.found != nil {
		n.found[r.Trace] = t
	}
	return t
}

// cut finds what is fed with and without what is opened, from a source that the
// question says.
func (n naive) cut(t *naiveTrace, r check.Related, cut opened) {
	source, _ := n.begins(r.Trace.From)
	t.before = n.reach(source, r.Trace.Passes, opened{}, nil)
	t.after = n.reach(source, r.Trace.Passes, cut, nil)
	hanging := spots{}
	for s := range n.cutEnds(r, cut) {
		if t.after.of(s) != board.True && n.ground(s) != board.True {
			hanging.begin(s, board.Unknown)
		}
	}
	t.dead = n.reach(hanging, r.Trace.Passes, cut, t.after)
}

// traced judges a relation that is traced. Its operands are names here.
func (n naive) traced(r check.Related, noun words.Noun, id int) board.Truth {
	found := n.follow(r)
	if r.Relation == words.FedOnlyBy {
		return n.fedOnly(found, noun, id)
	}
	t := board.False
	for _, s := range n.thingSpots(noun, id) {
		t = max(t, found.reached.of(s))
	}
	return t
}

func (n naive) fedOnly(found *naiveTrace, noun words.Noun, id int) board.Truth {
	surely, possibly, all, most := false, false, true, true
	for _, s := range n.thingSpots(noun, id) {
		ground := n.ground(s)
		if ground == board.True {
			continue
		}
		fed, stays := found.before.of(s), found.after.of(s)
		lost := fed == board.True && stays == board.False
		surely = surely || lost && ground == board.False
		possibly = possibly || lost || fed > board.False && found.dead.of(s) > board.False && stays != board.True
		all = all && stays == board.False
		most = most && (stays != board.True || ground == board.Unknown)
	}
	switch {
	case surely && all:
		return board.True
	case possibly && most:
		return board.Unknown
	}
	return board.False
}

// cutEnds are the spots at what is opened, if a trace could cross it.
func (n naive) cutEnds(r check.Related, cut opened) map[spot]bool {
	at := map[spot]bool{}
	for part := range cut.parts {
		var list []spot
		for p := range n.b.Pins {
			if int(n.b.Pins[p].Part) == part {
				list = append(list, n.pinSpot(p)...)
			}
		}
		if n.b.Parts[part].Unfitted || n.passing(part, r.Trace.Passes, len(distinct(list))) == board.False || len(distinct(list)) < 2 {
			continue
		}
		for _, s := range list {
			at[s] = true
		}
	}
	for pad := range cut.pads {
		if s := n.spotsOf(words.Pads, pad); s != nil && n.b.Pads[pad].Group != "" {
			at[s[0]] = true
		}
	}
	return at
}
