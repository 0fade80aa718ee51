package run

import (
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
	key   []byte // of the group that is looked for
}

// group is what was put together.
type group struct {
	key     string
	values  []value.Value       // of By
	least   int                 // things certainly in it
	most    int                 // and possibly
	numbers map[value.Value]int // of the certain things, how often each comes up
	unknown int                 // certain things whose field is not known
	none    int                 // and that have none
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
	g.key = g.key[:0]
	for _, v := range values {
		g.key = append(append(append(g.key, byte(v.Kind())), v.String()...), 0)
	}
	if have, ok := g.byKey[string(g.key)]; ok {
		return have
	}
	return g.put(&group{key: string(g.key), values: values})
}

func (g *groups) put(added *group) *group {
	g.byKey[added.key] = added
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
			to.count(f)
		}
	}
}

// take adds the groups of what follows in order. Texts are replaced by what keep
// makes of them.
func (g *groups) take(next *groups, keep func(string) string) {
	for _, from := range next.list {
		to := g.byKey[from.key]
		if to == nil {
			from.values = value.Kept(from.values, keep)
			g.put(from)
			continue
		}
		to.least, to.most = to.least+from.least, to.most+from.most
		to.unknown, to.none = to.unknown+from.unknown, to.none+from.none
		for v, n := range from.numbers {
			to.number(v, n)
		}
	}
}

// count counts the numbers of a field. What a meter showed instead of a number
// is none; a number of which only the bounds are known is not known.
func (g *group) count(f fact) {
	for _, v := range groupValues(f) {
		_, isNumber := v.Quantity()
		switch {
		case isNumber || v.Kind() == value.Time:
			g.number(v, 1)
		case v.Kind() == value.Unknown || v.Kind() == value.Count:
			g.unknown++
		default:
			g.none++
		}
	}
}

// number counts a number n times. The numbers of many boards are many more than
// the different ones among them.
func (g *group) number(v value.Value, n int) {
	if g.numbers == nil {
		g.numbers = map[value.Value]int{}
	}
	g.numbers[v] += n
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

// soFar are the groups when not all was looked at: what was counted is the least
// that there is, and a number made of what was found until then is none that could
// be told.
func (g *groups) soFar() []Row {
	rows := g.rows()
	for i := range rows {
		cells := rows[i].Cells[g.by:]
		for k, v := range cells {
			switch least, _ := v.Bounds(); {
			case v.Kind() == value.Count && (k > 0 || g.what.Kind == check.Count):
				cells[k] = value.AtLeast(least)
			case k == 0:
				cells[k] = value.Value{}
			}
		}
	}
	return rows
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
			rows = append(rows, g.row(group, measure.combine(g.what), value.OfCount(measure.count()), unknown, none))
		}
	}
	return rows
}

func (g *groups) row(from *group, cells ...value.Value) Row {
	return Row{Cells: append(from.values[:g.by:g.by], cells...), ID: board.None}
}
