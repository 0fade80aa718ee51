package run

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/readings"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// Lore asks for what is expected on the members of a scope.
type Lore struct {
	Scope *check.Scope
	// Place is one place and what belongs to it; zero for all.
	Place board.Target
	// Meter is the meter that will read; empty if it is not known.
	Meter string
	// Before are older or newer revisions of the members, by member, whose nets
	// of the same name are like theirs.
	Before [][]check.Member
	// Guess lists nets of which nothing is known, too, with what nets like them
	// read.
	Guess bool
}

// Expected lists what is expected where, and by whose word or by how many good
// boards; readings of good boards that are off are named.
func Expected(ctx context.Context, l Lore) *Answer {
	w := newAssembly(l.Scope, plan.Options{}, &brake{ctx: ctx, pace: 256})
	a := &Answer{listing: expectedRows}
	for _, name := range []string{"place", "mode", "expected", "tolerance", "by", "boards", "off"} {
		a.Columns = append(a.Columns, Column{Name: name})
	}
	for i := range l.Scope.Members {
		x := expecting{lore: &l, site: w.site(i)}
		x.all()
		if l.Guess {
			x.guess(i)
		}
		a.Rows = append(a.Rows, x.rows...)
		a.Things += len(x.rows)
	}
	a.setUnits()
	return a
}

// expecting gathers the rows of one member.
type expecting struct {
	lore *Lore
	site *site
	rows []Row
	done map[thing]bool // places with a row
}

// all are the places with a stated or learned value: nets, then pads, then pins,
// each in their order.
func (x *expecting) all() {
	x.done = map[thing]bool{}
	s := x.site
	for _, n := range []words.Noun{words.Nets, words.Branches, words.Pads, words.Pins} {
		for id := range s.count(n) {
			t := thing{n, int32(id)}
			if !x.wanted(t) {
				continue
			}
			for mode := board.Diode; mode <= board.Continuity; mode++ {
				x.at(t, mode)
			}
		}
	}
}

// wanted reports whether a place is the one that is asked for or on it.
func (x *expecting) wanted(t thing) bool {
	if x.lore.Place == (board.Target{}) {
		return true
	}
	if !x.site.isHere(x.lore.Place) {
		return false
	}
	place, ok := x.site.find(x.lore.Place)
	net := x.site.netOf(t)
	return ok && (t == place || net != board.None && place == thing{words.Nets, int32(net)})
}

func (x *expecting) at(t thing, mode board.Mode) {
	s := x.site
	st := s.statements(words.Expected)
	for _, id := range st.of[t] {
		if e := &s.k.Expected[id]; e.Mode == mode && st.about[id][0] == t {
			x.add(t, e, "stated by "+orNobody(e.By), value.Nothing(), value.Nothing())
		}
	}
	if e, ok := s.learned().At(t, mode, x.lore.Meter); ok {
		basis := "good boards"
		if e.Apart {
			basis = "good boards, which do not agree"
		}
		x.add(t, &e.Expected, basis, value.OfCount(e.Count.Boards), x.outliers(e))
	}
}

func orNobody(by string) string {
	if by == "" {
		return "nobody"
	}
	return by
}

func (x *expecting) add(t thing, e *board.Expected, by string, boards, off value.Value) {
	within := value.Nothing()
	if text := e.Within.String(); text != "" {
		within = value.OfText(text)
	}
	x.done[t] = true
	x.rows = append(x.rows, Row{
		Cells: []value.Value{x.site.nameValue(t.noun, t.id), value.OfWord(e.Mode.String(), int(e.Mode)), expectedShown([]board.Expected{*e})[0], within, value.OfText(by), boards, off},
		Of:    x.site.self, ID: board.None,
	})
}

// outliers names the readings that are off, and the boards they are of.
func (x *expecting) outliers(e readings.Expectation) value.Value {
	var all []string
	for _, s := range e.Outliers {
		r := &x.site.readings()[s.ID]
		all = append(all, fmt.Sprintf("%s %s", sourceOf(r), shownOf(r)))
	}
	if all == nil {
		return value.Nothing()
	}
	return value.OfText(strings.Join(all, ", "))
}

// guess adds nets of which nothing is known, with what is expected on the net of
// that name in another revision, else on nets of like names.
func (x *expecting) guess(member int) {
	like := x.likeNames()
	for id := range x.site.b.Nets {
		t := thing{words.Nets, int32(id)}
		if x.done[t] || !x.wanted(t) || x.site.b.Nets[id].Kind == board.Ground {
			continue
		}
		name := x.site.b.Nets[id].Name
		if e, of, ok := x.inRevisions(member, name); ok {
			x.add(t, &e, "a guess: like "+of, value.Nothing(), value.Nothing())
			continue
		}
		if g := like[pattern(name)]; g != nil && len(g.values) >= fewestAlike {
			e := g.expected()
			x.add(t, &e, "a guess: like "+strings.Join(g.names, ", "), value.Nothing(), value.Nothing())
		}
	}
}

// fewestAlike is how many nets of like names it takes to guess from them.
const fewestAlike = 2

// inRevisions is what is expected in diode mode on a net of another revision.
func (x *expecting) inRevisions(member int, net string) (board.Expected, string, bool) {
	if member >= len(x.lore.Before) {
		return board.Expected{}, "", false
	}
	for _, m := range x.lore.Before[member] {
		w := newAssembly(&check.Scope{Members: []check.Member{m}}, plan.Options{}, x.site.assembly.brake)
		s := w.site(0)
		id := m.Board.FindNet(net)
		if id == board.None {
			continue
		}
		r := read{site: s, place: thing{words.Nets, int32(id)}, mode: board.Diode, expected: s.expectedAt(thing{words.Nets, int32(id)}, board.Diode)}
		if list := r.expects(&board.Reading{Mode: board.Diode}); len(list) > 0 {
			return list[0], "it in " + m.Board.Ref.String(), true
		}
	}
	return board.Expected{}, "", false
}

// alike are nets whose names differ in their digits only.
type alike struct {
	names  []string
	values []board.Quantity
}

// likeNames are the nets with one expected value in diode mode, by pattern.
func (x *expecting) likeNames() map[string]*alike {
	all := map[string]*alike{}
	for i := range x.site.b.Nets {
		name := x.site.b.Nets[i].Name
		t := thing{words.Nets, int32(i)}
		r := read{site: x.site, place: t, mode: board.Diode, expected: x.site.expectedAt(t, board.Diode)}
		list := r.expects(&board.Reading{Mode: board.Diode})
		if pattern(name) == "" || len(list) != 1 || list[0].Open {
			continue
		}
		g := all[pattern(name)]
		if g == nil {
			g = &alike{}
			all[pattern(name)] = g
		}
		g.names, g.values = append(g.names, name), append(g.values, list[0].Value)
	}
	return all
}

// pattern is a name without its digits; empty if it has none.
func pattern(name string) string {
	digit := func(r rune) bool { return '0' <= r && r <= '9' }
	if !strings.ContainsFunc(name, digit) {
		return ""
	}
	return strings.Map(func(r rune) rune {
		if digit(r) {
			return '#'
		}
		return r
	}, name)
}

// expected is the middle value, and no tolerance: it is a guess.
func (g *alike) expected() board.Expected {
	values := slices.Clone(g.values)
	slices.SortFunc(values, board.Quantity.Compare)
	return board.Expected{Mode: board.Diode, Value: values[len(values)/2]}
}
