package check

import (
	"slices"
	"strconv"
	"strings"

	"netlore/query/diag"
	"netlore/query/syntax"
	"netlore/query/words"
	"netlore/store/board"
)

// field finds a field of the noun.
func (c *checker) field(n *syntax.Name) (Field, bool) {
	f, ok := words.FieldByWord(c.noun, n.Text)
	if !ok {
		c.noField(n)
		return Field{}, false
	}
	if f.ID == words.Distance && !c.near {
		d := c.fail("Q26", n.Range(), "a distance is known only where the question says within")
		d.Help = append(d.Help, "for example: parts within 3mm of U300 sorted by distance")
		return Field{}, false
	}
	if f.ID == words.Away && !c.stepped {
		d := c.fail("Q27", n.Range(), "steps are known only where the question says joined to or leading to")
		d.Help = append(d.Help, "for example: nets joined to VMAIN sorted by steps")
		return Field{}, false
	}
	return Field{f, n.Range()}, true
}

func (c *checker) noField(n *syntax.Name) {
	if c.habit(n) {
		return
	}
	var can []string
	for _, f := range words.FieldsOf(c.noun) {
		can = append(can, f.Word)
	}
	d := c.fail("Q25", n.Range(), "%s have no field %s", c.noun, n.Text)
	if q, err := board.ParseQuantity(n.Text, board.NoUnit); err == nil && q.Unit != board.NoUnit {
		c.suggest(d, n.Range(), "value = "+n.Text) // parts with 10uF
	}
	if before, ok := strings.CutSuffix(strings.TrimRight(c.text[:n.Range().Start], " "), " by"); ok && slices.Contains(can, "author") {
		c.suggest(d, diag.Range{Start: len(before) + 1, End: n.Range().End}, "with author = "+n.Text) // jobs by bench-1
	}
	near := diag.Closest(n.Text, can)
	if same, ok := sameField[strings.ToLower(n.Text)]; ok {
		near = append(near, same)
	}
	for _, close := range near {
		if _, ok := words.FieldByWord(c.noun, close); ok {
			c.suggest(d, n.Range(), close)
		}
	}
	if word := strings.ToLower(n.Text); c.noun.Measurable() && (word == "reading" || word == "measured") {
		d.Help = append(d.Help, "what can be asked: low "+c.noun.String(), "what can be asked: "+c.noun.String()+" reading below 0.4V")
	}
	d.Help = append(d.Help, "the fields are "+strings.Join(can, ", "))
}

// sameField are other words for fields.
var sameField = map[string]string{
	"voltage": "volts", "rating": "volts", "current": "amps", "type": "class", "kind": "class", "capacitance": "value",
	"resistance": "value", "inductance": "value", "footprint": "package", "size": "package", "case": "package",
	"refdes": "name", "designator": "name", "id": "name", "shield": "cover", "covered": "cover", "who": "author", "when": "time",
	"date": "time", "description": "text", "comment": "text", "layer": "side", "position": "x", "place": "x", "pos": "x",
	"fault": "culprit", "faults": "culprit", "cause": "culprit", "probability": "chance", "likelihood": "chance",
	"tolerances": "tolerance", "lid": "cover", "risks": "risk", "duration": "minutes",
}

var aggregateKinds = map[syntax.Keyword]AggregateKind{"total": Total, "least": Least, "greatest": Greatest, "mean": Mean, "median": Median, "parallel": Parallel}

// aggregate checks `total value of`; only what can be added up can be.
func (c *checker) aggregate(a *syntax.Aggregate) *Aggregate {
	switch {
	case a == nil:
		return nil
	case a.Count:
		return &Aggregate{Kind: Count}
	}
	f, ok := c.field(a.Field)
	if !ok {
		return nil
	}
	kind := aggregateKinds[a.Word]
	times := f.Type == words.TimeType && (kind == Least || kind == Greatest)
	if f.Type != words.Quantity && f.Type != words.Number && !times {
		d := c.fail("Q53", f.Span, "the field %s of %s is no number, so it has no %s", f.Word, c.noun, a.Word)
		d.Help = append(d.Help, "numbers are "+strings.Join(c.numbers(), ", "))
		return nil
	}
	if kind == Parallel && !slices.Contains([]board.Unit{board.NoUnit, board.Ohm, board.Henry, board.Farad}, f.Unit) {
		c.fail("Q53", f.Span, "the field %s of %s is neither a resistance, an inductance nor a capacitance, so it has no parallel", f.Word, c.noun)
		return nil
	}
	return &Aggregate{kind, f}
}

// numbers are the fields of the noun that can be added up.
func (c *checker) numbers() []string {
	var list []string
	for _, f := range words.FieldsOf(c.noun) {
		if f.Type == words.Quantity || f.Type == words.Number {
			list = append(list, f.Word)
		}
	}
	return list
}

// clauses checks what is to be done with the answer. Each sort of clause can
// stand once, in any order.
func (c *checker) clauses(q *Question, clauses []*syntax.Clause) {
	seen := map[string]bool{}
	for _, cl := range clauses {
		word := strings.ToLower(c.text[cl.Range().Start:])
		word = word[:strings.IndexAny(word+" ", " \t\r\n")]
		if seen[word] {
			c.fail("Q50", cl.Range(), "%q is said twice", word)
		}
		seen[word] = true
	}
	for _, cl := range clauses {
		switch {
		case cl.Show != nil && q.Aggregate != nil:
			c.fail("Q54", cl.Range(), "show names columns of single things, but the question asks for a %s", aggregateWord(q.Aggregate.Kind))
		case cl.Show != nil:
			q.Show = c.fieldList(cl.Show)
		case cl.By != nil:
			q.By = c.fieldList(cl.By)
		}
	}
	for _, cl := range clauses {
		for _, k := range cl.Sort {
			c.key(q, k)
		}
		if cl.First != nil {
			q.First = c.first(cl.First)
		}
	}
}

func aggregateWord(k AggregateKind) string {
	for word, kind := range aggregateKinds {
		if kind == k {
			return string(word)
		}
	}
	return "count"
}

func (c *checker) fieldList(names []*syntax.Name) []Field {
	var list []Field
	for _, n := range names {
		if f, ok := c.field(n); ok {
			list = append(list, f)
		}
	}
	return list
}

// key checks one key of `sorted by`. With an aggregate, there are only its
// groups and itself to sort by.
func (c *checker) key(q *Question, k *syntax.Key) {
	down := k.Order == "descending"
	if q.Aggregate == nil {
		if f, ok := c.field(k.Field); ok {
			q.Sort = append(q.Sort, Key{Field: f, Down: down})
		}
		return
	}
	word := aggregateWord(q.Aggregate.Kind)
	if strings.EqualFold(k.Field.Text, word) {
		q.Sort = append(q.Sort, Key{Aggregate: true, Down: down})
		return
	}
	can := []string{word}
	for _, f := range q.By {
		if strings.EqualFold(f.Word, k.Field.Text) {
			q.Sort = append(q.Sort, Key{Field: Field{f.Field, k.Field.Range()}, Down: down})
			return
		}
		can = append(can, f.Word)
	}
	d := c.fail("Q54", k.Field.Range(), "the answer to a %s can be sorted by %s only, not by %s", word, diag.OneOf(can...), k.Field.Text)
	c.suggest(d, k.Field.Range(), word)
}

// mostFirst is the largest number after `first`.
const mostFirst = 1_000_000

func (c *checker) first(n *syntax.Name) int {
	count, err := strconv.Atoi(n.Text)
	if err != nil || count < 1 || count > mostFirst {
		c.fail("Q48", n.Range(), "after first stands a whole number from 1 to %d, not %s", mostFirst, n.Text)
		return 0
	}
	return count
}
