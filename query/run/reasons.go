package run

import (
	"cmp"
	"slices"

	"netlore/query/plan"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// reason is why a condition holds for a thing, or does not, or is not known.
// Depth is how many sub-questions it is in. Rests are the statements that it
// rests on; by is what a reading or expected value says of itself.
type reason struct {
	depth     int
	condition string
	finding
	because string
	by      string
	rests   []board.Statement
	at      *site // whose sheet says so, if that is not the thing's own
	tells   bool  // it is no condition, but what tells for it or against it
}

var reasonHeads = []string{"condition", "holds", "because", "source"}

// whyIn tells why the things of a name are in a set, or with Not, the first
// condition by which they are not.
func (p *Part) whyIn() {
	for i, f := range p.q.Why.Name.Found {
		if i > 0 && f.Noun.OfNoBoard() {
			return // all members know the same
		}
		ev := p.assembly.evaluator(f.Member)
		if f.Texts != nil {
			f.IDs = ev.byNames(f.Noun, f.Texts)
		}
		for _, id := range f.IDs {
			asked := ev.askedFor(p.q.Set.Noun(), thing{f.Noun, id})
			if len(asked) == 0 {
				p.noSuspect(ev, thing{f.Noun, id})
			}
			if !p.tell(ev, asked) {
				return
			}
		}
	}
}

// tell tells why some things are in the set, or not. It reports false if it was
// stopped.
func (p *Part) tell(ev *evaluator, ids []int32) bool {
	for _, id := range ids {
		if p.brake.stopped() {
			return false
		}
		ev.reasoning = true
		told, rows := p.reasons(ev, id)
		ev.reasoning = false
		if p.brake.why != "" {
			return false // a reason may be wrong
		}
		p.judged, p.table.rows = append(p.judged, told), append(p.table.rows, rows...)
	}
	return true
}

// byNames are the ids of things that are found by name only.
func (s *site) byNames(n words.Noun, names []string) []int32 {
	var ids []int32
	for id := range int32(s.count(n)) {
		if slices.Contains(names, s.name(n, id)) {
			ids = append(ids, id)
		}
	}
	return ids
}

// reasons are whether one thing is in the set, and the rows about it.
func (p *Part) reasons(ev *evaluator, id int32) (judged, []Row) {
	name := ev.nameValue(p.q.Set.Noun(), id)
	told := judged{name.String(), ev.truth(ev.plan.Root, id)}
	t := teller{ev: ev}
	t.set(ev.plan.Root, id, 0)
	list := t.list
	if p.q.Why.Not {
		list = firstFailing(list)
	}
	var rows []Row
	for _, x := range list {
		cells := []value.Value{name, value.OfText(indented(x.depth, x.condition)), value.OfTruth(x.Truth), value.Nothing(), value.Nothing()}
		if x.tells {
			cells[2] = value.Nothing()
		}
		if x.because != "" {
			cells[3] = value.OfText(x.because)
		}
		if x.by != "" {
			cells[4] = value.OfText(x.by)
		}
		rows = append(rows, Row{Cells: cells, Of: cmp.Or(x.at, ev.site).self, ID: id, Rests: x.rests})
	}
	return told, rows
}

// firstFailing is the first reason that fails, or else the first that is not
// known, with what is told of its sub-question.
func firstFailing(list []reason) []reason {
	for _, wanted := range []board.Truth{board.False, board.Unknown} {
		for i, x := range list {
			if x.depth == 0 && x.Truth == wanted {
				last := i + 1
				for last < len(list) && list[last].depth > 0 {
					last++
				}
				return list[i:last]
			}
		}
	}
	return nil
}

// teller collects reasons in the order of the question.
type teller struct {
	ev   *evaluator
	list []reason
}

func (t *teller) add(depth int, condition string, f finding, because string, rests ...board.Statement) {
	if because == "" && f.Truth == board.Unknown {
		because = f.why
	}
	t.list = append(t.list, reason{depth: depth, condition: condition, finding: f, because: because, rests: rests})
}

func (t *teller) set(n *plan.Node, id int32, depth int) {
	switch n.Op {
	case plan.Select:
		t.sel(n, id, depth)
		return
	case plan.Union:
		t.union(n, id, depth)
		return
	}
	t.set(n.Kids[0], id, depth)
	if n.Op == plan.Shared {
		t.set(n.Kids[1], id, depth)
		return
	}
	truth := board.True - t.ev.truth(n.Kids[1], id)
	t.add(depth, "except "+n.Kids[1].Noun.String()+" …", finding{Truth: truth, why: t.ev.why(n.Kids[1], id)}, "")
	t.set(n.Kids[1], id, depth+1)
}

// union tells of the side that holds; of both if none does.
func (t *teller) union(n *plan.Node, id int32, depth int) {
	for _, kid := range n.Kids {
		if t.ev.truth(kid, id) == board.True {
			t.set(kid, id, depth)
			return
		}
	}
	for _, kid := range n.Kids {
		t.set(kid, id, depth)
	}
}

// sel tells of every condition, in the order in which they are said.
func (t *teller) sel(n *plan.Node, id int32, depth int) {
	kids := slices.Clone(n.Kids)
	slices.SortStableFunc(kids, func(a, b *plan.Node) int { return a.Said - b.Said })
	switch {
	case n.Empty || n.Noun.OfNoBoard() && !t.ev.asked(n).Possible.Has(id):
		t.add(depth, n.Noun.String(), no, "its board is not asked")
	case len(kids) == 0 && n.Noun != words.Suspects:
		t.add(depth, n.Noun.String(), yes, t.ev.name(n.Noun, id)+" is a "+n.Noun.Singular(), t.ev.statement(thing{n.Noun, id}))
	}
	if n.Noun == words.Suspects {
		t.suspicion(n, id, depth)
	}
	for _, kid := range kids {
		t.condition(kid, id, depth)
	}
}

// condition tells of one condition, and below it of those that it is made of.
func (t *teller) condition(n *plan.Node, id int32, depth int) {
	f := finding{Truth: t.ev.truth(n, id)}
	if f.Truth == board.Unknown {
		f.why = t.ev.why(n, id)
	}
	switch n.Op {
	case plan.Any, plan.All:
		t.add(depth, n.Text(), f, "")
		for _, kid := range n.Kids {
			t.condition(kid, id, depth+1)
		}
	case plan.Not:
		t.list = append(t.list, t.opposite(n, f, id, depth)...)
	case plan.Tie:
		t.tie(n, f, id, depth)
	case plan.Reads:
		t.reads(n, f, id, depth)
	case plan.Inside:
		t.add(depth, n.Text(), f, t.ev.whereabouts(n, id), t.ev.statement(thing{n.Noun, id}))
	default:
		t.add(depth, n.Text(), f, t.ev.stands(n, id), t.ev.statement(thing{n.Noun, id}))
	}
}

// opposite tells of what is denied, turned round.
func (t *teller) opposite(n *plan.Node, f finding, id int32, depth int) []reason {
	inner := teller{ev: t.ev}
	inner.condition(n.Kids[0], id, depth)
	inner.list[0].condition, inner.list[0].finding = n.Text(), f
	return inner.list
}

// stands is what is known of a thing, as far as a condition looks at it.
func (ev *evaluator) stands(n *plan.Node, id int32) string {
	f := n.Field
	switch n.Op {
	case plan.Compare:
		f = n.Compared.Field
	case plan.Kind:
		f.Field = words.FieldByID(n.Noun, words.Kind)
	case plan.Adjective:
		f.Field = words.FieldByID(n.Noun, adjectiveField(n.Adjective))
	}
	if f.Field == nil {
		return ""
	}
	got := ev.fieldOf(n, f.Field, id)
	switch cell := got.cell(); cell.Kind() {
	case value.Unknown:
		return "its " + f.Word + " is not known"
	case value.None:
		return "it has no " + f.Word
	default:
		return "its " + f.Word + " is " + cell.String()
	}
}

// adjectiveField is the field that an adjective looks at.
func adjectiveField(a words.Adjective) words.FieldID {
	switch a {
	case words.OnTop, words.OnBottom:
		return words.Side
	case words.GroundNet, words.PowerNet, words.SignalNet:
		return words.Kind
	}
	return words.NoField
}
