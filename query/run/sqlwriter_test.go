package run_test

import (
	"database/sql/driver"
	"fmt"
	"strings"

	"modernc.org/sqlite"

	"netlore/query/check"
	"netlore/query/words"
	"netlore/store/board"
)

// sqlWriter writes a typed question as SQL: a number for each thing, 2 if it is
// certainly in the answer, 1 if possibly, else 0. The joins, the sets and the
// logic are the database's. What lies where and what a single field holds is
// asked of naive, by a function that the database calls.
type sqlWriter struct {
	n      naive
	leaves []func(a, b int) board.Truth
	depth  int
}

var sqlTables = map[words.Noun]string{
	words.Parts: "part", words.Pins: "pin", words.Nets: "net", words.Pads: "pad", words.Covers: "cover", words.Branches: "branch",
}

// sqlLinks are joins from a thing, {a}, to a thing of the operand, {o}.
var sqlLinks = map[[2]words.Noun]string{
	{words.Parts, words.Nets}:    "exists(select 1 from pin i where i.part={a}.id and i.net={o}.id)",
	{words.Pins, words.Nets}:     "{a}.net={o}.id",
	{words.Pads, words.Nets}:     "{a}.net={o}.id",
	{words.Branches, words.Nets}: "{a}.net={o}.id",
	{words.Nets, words.Parts}:    "{a}.id in (select net from pin where part={o}.id)",
	{words.Nets, words.Pins}:     "{a}.id={o}.net",
	{words.Nets, words.Pads}:     "{a}.id={o}.net",
	{words.Nets, words.Branches}: "{a}.id={o}.net",
	{words.Pins, words.Parts}:    "{a}.part={o}.id",
}

// current is what the function that the database calls asks.
var currentWriter *sqlWriter

func init() {
	sqlite.MustRegisterScalarFunction("judged", 3, func(_ *sqlite.FunctionContext, args []driver.Value) (driver.Value, error) {
		leaf := currentWriter.leaves[args[0].(int64)]
		return int64(leaf(int(args[1].(int64)), int(args[2].(int64)))), nil
	})
}

// leaf is a call of a judgement.
func (w *sqlWriter) leaf(a, b string, judge func(a, b int) board.Truth) string {
	w.leaves = append(w.leaves, judge)
	return fmt.Sprintf("judged(%d,%s,%s)", len(w.leaves)-1, a, b)
}

func (w *sqlWriter) one(a string, judge func(id int) board.Truth) string {
	return w.leaf(a+".id", "0", func(id, _ int) board.Truth { return judge(id) })
}

// question gives the names and truths of all things of the noun.
func (w *sqlWriter) question(q *check.Question) string {
	noun := q.Set.Noun()
	return fmt.Sprintf("select a.name, %s from %s a", w.set(q.Set, "a"), sqlTables[noun])
}

func (w *sqlWriter) set(set check.Set, a string) string {
	if c, ok := set.(*check.Combine); ok {
		l, r := w.set(c.L, a), w.set(c.R, a)
		switch c.Op {
		case check.Union:
			return "max(" + l + "," + r + ")"
		case check.Except:
			r = "2-" + r
		}
		return "min(" + l + "," + r + ")"
	}
	s := set.(*check.Select)
	all := []string{"2", "2"}
	if s.Kinds != nil {
		all = append(all, w.one(a, func(id int) board.Truth { return w.n.anyKind(id, s.Kinds) }))
	}
	for _, adjective := range s.Adjectives {
		all = append(all, w.one(a, func(id int) board.Truth { return w.n.adjective(s.Of, id, adjective) }))
	}
	if s.Where != nil {
		all = append(all, w.pred(s.Of, s.Where, a))
	}
	return "min(" + strings.Join(all, ",") + ")"
}

func (w *sqlWriter) pred(noun words.Noun, p check.Pred, a string) string {
	switch p := p.(type) {
	case check.All:
		return w.several("min", noun, p.Preds, a)
	case check.Any:
		return w.several("max", noun, p.Preds, a)
	case check.Not:
		return "(2-" + w.pred(noun, p.Pred, a) + ")"
	case check.Related:
		if p.Trace != nil { // an SQL check of its own follows a supply
			return w.one(a, func(id int) board.Truth { return w.n.holds(noun, id, p) })
		}
		return "coalesce(" + w.operand(noun, p, p.Operand, a) + ",0)"
	}
	return w.one(a, func(id int) board.Truth { return w.n.holds(noun, id, p) })
}

func (w *sqlWriter) several(how string, noun words.Noun, preds []check.Pred, a string) string {
	var all []string
	for _, p := range preds {
		all = append(all, w.pred(noun, p, a))
	}
	return how + "(" + strings.Join(all, ",") + ")"
}

// operand is how true it is that a thing is related to one of the operand.
func (w *sqlWriter) operand(noun words.Noun, r check.Related, operand check.Operand, a string) string {
	w.depth++
	o := fmt.Sprint("o", w.depth)
	switch op := operand.(type) {
	case check.Names:
		return w.names(noun, r, op, a)
	case check.Either:
		all := []string{"0", "0"}
		for _, part := range op.List {
			all = append(all, "coalesce("+w.operand(noun, r, part, a)+",0)")
		}
		return "max(" + strings.Join(all, ",") + ")"
	case check.Sub:
		return w.best(noun, r, op.Set.Noun(), w.set(op.Set, o), a, o)
	case check.Kinds:
		return w.best(noun, r, op.Of, w.one(o, func(id int) board.Truth { return w.n.isKind(op, id) }), a, o)
	}
	return w.best(noun, r, operand.(check.Anything).Of, "2", a, o)
}

// best is the most true of all things of a noun, each as true as given.
func (w *sqlWriter) best(noun words.Noun, r check.Related, of words.Noun, truth, a, o string) string {
	return fmt.Sprintf("(select max(min(%s,%s)) from %s %s)", truth, w.link(noun, r, of, a, o), sqlTables[of], o)
}

func (w *sqlWriter) names(noun words.Noun, r check.Related, names check.Names, a string) string {
	all := []string{"0", "0"}
	for _, name := range names.List {
		for _, f := range name.Found {
			for _, text := range f.Texts {
				all = append(all, fmt.Sprintf("2*(%s.grp='%s')", a, text))
			}
			if len(f.IDs) > 0 {
				w.depth++
				o := fmt.Sprint("o", w.depth)
				ids := strings.Trim(strings.ReplaceAll(fmt.Sprint(f.IDs), " ", ","), "[]")
				all = append(all, "coalesce("+w.best(noun, r, f.Noun, fmt.Sprintf("2*(%s.id in (%s))", o, ids), a, o)+",0)")
			}
		}
	}
	return "max(" + strings.Join(all, ",") + ")"
}

// link is how true it is that two things are related.
func (w *sqlWriter) link(noun words.Noun, r check.Related, of words.Noun, a, o string) string {
	if join := sqlLinks[[2]words.Noun{noun, of}]; join != "" && (r.Relation == words.On || r.Relation == words.Of) {
		return "2*coalesce(" + strings.NewReplacer("{a}", a, "{o}", o).Replace(join) + ",0)"
	}
	return w.leaf(a+".id", o+".id", func(x, y int) board.Truth { return w.n.related(r, noun, x, of, y) })
}
