package run

import (
	"slices"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/words"
	"netlore/store/board"
)

// operand is the things that a relation ties to.
type operand struct {
	parts []things
	texts map[words.Noun][]string // of groups, stacks and jobs
	any   map[words.Noun]bool     // any group, any stack, any job
}

// things are those of one noun. Why says why one of them is only possibly among
// them.
type things struct {
	noun words.Noun
	Pair
	why func(id int32) string
}

// operand works out what a relation ties to.
func (ev *evaluator) operand(n *plan.Node) *operand {
	if ev.lastOperand.node == n {
		return ev.lastOperand.operand
	}
	o := ev.findOperand(n)
	ev.lastOperand.node, ev.lastOperand.operand = n, o
	return o
}

func (ev *evaluator) findOperand(n *plan.Node) *operand {
	if o, ok := ev.operands[n]; ok {
		return o
	}
	o := &operand{}
	ev.addOperand(o, n.Related.Operand)
	ev.operands[n] = o
	return o
}

func (ev *evaluator) addOperand(o *operand, from check.Operand) {
	switch from := from.(type) {
	case check.Names:
		ev.addNames(o, from)
	case check.Anything:
		ev.addAll(o, from.Of)
	case check.Kinds:
		ev.addKinds(o, from)
	case check.Sub:
		n := ev.plan.Sets[from.Set]
		o.parts = append(o.parts, things{n.Noun, ev.whole(n), func(id int32) string { return ev.why(n, id) }})
	case check.Either:
		for _, part := range from.List {
			ev.addOperand(o, part)
		}
	}
}

func (ev *evaluator) addNames(o *operand, names check.Names) {
	for _, name := range names.List {
		for _, f := range name.Found {
			switch {
			case f.Member != ev.member:
			case f.Noun == words.Boards:
				if slices.Contains(f.Texts, ev.b.Name) || slices.Contains(f.Texts, ev.b.Ref.String()) {
					ev.addAll(o, words.Boards)
				}
			case f.Texts != nil:
				o.addTexts(f.Noun, f.Texts)
			default:
				o.add(f.Noun, f.IDs)
			}
		}
	}
}

// addTexts adds groups, stacks or jobs that are named.
func (o *operand) addTexts(n words.Noun, texts []string) {
	if o.texts == nil {
		o.texts = map[words.Noun][]string{}
	}
	o.texts[n] = append(o.texts[n], texts...)
}

// add adds things that are named, by ascending ids.
func (o *operand) add(n words.Noun, ids []int32) {
	b := bitsFor(int(ids[0]), int(ids[len(ids)-1])+1)
	for _, id := range ids {
		b.Set(id)
	}
	for i := range o.parts {
		if p := &o.parts[i]; p.noun == n && p.why == nil {
			p.Pair = p.Or(exactly(b))
			return
		}
	}
	o.parts = append(o.parts, things{noun: n, Pair: exactly(b)})
}

func (ev *evaluator) addAll(o *operand, n words.Noun) {
	if n == words.Groups || n == words.Stacks || n == words.Jobs {
		if o.any == nil {
			o.any = map[words.Noun]bool{}
		}
		o.any[n] = true
		return
	}
	o.parts = append(o.parts, things{noun: n, Pair: exactly(ev.universe(n))})
}

func (ev *evaluator) addKinds(o *operand, k check.Kinds) {
	p := newPair(ev.count(k.Of))
	for id := range int32(ev.count(k.Of)) {
		p.put(id, ev.isOneOf(id, k.Parts, k.NetKinds, k.CoverKinds).Truth)
	}
	o.parts = append(o.parts, things{k.Of, p, func(id int32) string {
		return ev.isOneOf(id, k.Parts, k.NetKinds, k.CoverKinds).why
	}})
}

// put puts an id into the sets that a truth says.
func (p Pair) put(id int32, t board.Truth) {
	if t == board.True {
		p.Certain.Set(id)
	}
	if t != board.False {
		p.Possible.Set(id)
	}
}

// byText judges a thing whose relation is to texts.
func (ev *evaluator) byText(o *operand, n words.Noun, id int32) board.Truth {
	var have []string
	of := words.Stacks
	switch n {
	case words.Pads:
		of = words.Groups
		have = []string{ev.b.Pads[id].Group}
	case words.Readings, words.Observations:
		of = words.Jobs
		have = []string{ev.jobOf(n, id)}
	case words.Jobs:
		have = []string{ev.jobs()[id].Of}
		if have[0] == "" {
			have[0] = ev.stack
		}
	case words.Boards:
		have = []string{ev.stack}
	}
	for _, text := range have {
		if text != "" && (o.any[of] || slices.Contains(o.texts[of], text)) {
			return board.True
		}
	}
	return board.False
}
