package run

import (
	"strings"

	"netlore/query/check"
	"netlore/query/value"
	"netlore/store/board"
)

// groups puts things together, each group on its own.
type groups struct {
	by    int
	what  check.Aggregate
	byKey map[string]*group
	list  []*group
}

// group is what was put together.
type group struct {
	values  []value.Value // of By
	least   int           // things certainly in it
	most    int           // and possibly
	numbers []value.Value // of the certain things
	unknown int           // certain things whose field is not known
	none    int           // and that have none
}

func newGroups(q *check.Question) *groups {
	g := &groups{by: len(q.By), what: *q.Aggregate, byKey: map[string]*group{}}
	if g.by == 0 {
		g.group(nil) // there is a total even of nothing
	}
	return g
}

// group is the group with these values, new or not.
func (g *groups) group(values []value.Value) *group {
	var key strings.Builder
	for _, v := range values {
		key.WriteByte(byte(v.Kind()))
		key.WriteString(v.String())
		key.WriteByte(0)
	}
	if have, ok := g.byKey[key.String()]; ok {
		return have
	}
	added := &group{values: values}
	g.byKey[key.String()] = added
	g.list = append(g.list, added)
	return added
}

// add puts a thing into its groups.
func (g *groups) add(places [][]value.Value, f fact, certain bool) {
	for _, values := range places {
		to := g.group(values)
		to.most++
		if certain {
			to.least++
			to.take(f)
		}
	}
}

// take takes the numbers of a field. What a meter showed instead of a number is
// none; a number of which only the bounds are known is not known.
func (g *group) take(f fact) {
	for _, v := range groupValues(f) {
		_, isNumber := v.Quantity()
		switch {
		case isNumber || v.Kind() == value.Time:
			g.numbers = append(g.numbers, v)
		case v.Kind() == value.Unknown || v.Kind() == value.Count:
			g.unknown++
		default:
			g.none++
		}
	}
}

// aggregateHeads are the columns of an aggregate.
func aggregateHeads(q *check.Question) []string {
	var heads []string
	for _, by := range q.By {
		heads = append(heads, by.Word)
	}
	if q.Aggregate.Kind == check.Count {
		return append(heads, "count")
	}
	return append(heads, aggregateWords[q.Aggregate.Kind]+" "+q.Aggregate.Field.Word, "counted", "unknown", "none")
}

var aggregateWords = map[check.AggregateKind]string{
	check.Total: "total", check.Least: "least", check.Greatest: "greatest", check.Mean: "mean", check.Median: "median", check.Parallel: "parallel",
}

// rows are the groups. One with numbers of several measures has a row for each.
func (g *groups) rows() []Row {
	var rows []Row
	for _, group := range g.list {
		if g.what.Kind == check.Count {
			rows = append(rows, g.row(group, value.Between(group.least, group.most)))
			continue
		}
		unknown, none := value.OfCount(group.unknown), value.OfCount(group.none)
		for _, measure := range group.measures() {
			rows = append(rows, g.row(group, combine(g.what, measure), value.OfCount(len(measure)), unknown, none))
		}
	}
	return rows
}

func (g *groups) row(from *group, cells ...value.Value) Row {
	return Row{Cells: append(from.values[:g.by:g.by], cells...), ID: board.None}
}
