package syntax

// SlotKind says what a name stands for in its place.
type SlotKind uint8

const (
	HeadSlot  SlotKind = iota // an adjective or noun
	NameSlot                  // a thing after a relation
	FieldSlot                 // something known about the things
	ValueSlot                 // what a field is compared with
	CountSlot                 // a number
	ThingSlot                 // any thing, after why
	PassSlot                  // a kind of parts that a trace goes through
)

// Slot is one name of a question and what is round it.
type Slot struct {
	Kind      SlotKind
	Name      *Name
	After     *Name      // the word of the same head before it; for HeadSlot
	Last      bool       // the last word of its head; for HeadSlot
	Selection *Selection // whose things are spoken of
	Relation  *Relation  // for NameSlot; at the ends of a trace its Word is Ends. For PassSlot, nil in a route
	Leader    Keyword    // for NameSlot
	Tolerance Tight      // for NameSlot
	Things    *Name      // for NameSlot, the field whose things are related: culprit
	Field     *Name      // for ValueSlot; nil for the distance of within
	shelf     *Shelf
}

// Slots are all names of a question, brackets included, in no stated order.
func (q *Question) Slots() []Slot {
	var all []Slot
	q.eachSlot(func(s Slot) { all = append(all, s) })
	return all
}

func (q *Question) eachSlot(visit func(Slot)) {
	looks := mostLooks
	c := collector{visit: visit, looks: &looks}
	if q != nil {
		c.shelf = q.shelf
	}
	c.question(q)
}

// collector walks a tree that may lack parts, as a failed parse gives it.
type collector struct {
	visit  func(Slot)
	of     *Selection
	things *Name // the field whose things are related
	shelf  *Shelf
	looks  *int // how many more saved questions may be looked into
}

func (c *collector) add(s Slot) {
	if s.Name != nil {
		s.Selection, s.Things, s.shelf = c.of, c.things, c.shelf
		c.visit(s)
	}
}

func (c *collector) fields(names ...*Name) {
	for _, n := range names {
		c.add(Slot{Kind: FieldSlot, Name: n})
	}
}

func (c *collector) question(q *Question) {
	if q == nil {
		return
	}
	if q.Why != nil {
		c.add(Slot{Kind: ThingSlot, Name: q.Why.Name, Leader: q.Why.Leader})
		c.question(q.Why.In)
		return
	}
	outer := c.of
	c.selection(q.First)
	for _, j := range q.Rest {
		c.selection(j.Selection)
	}
	c.of = leftmost(q)
	if q.Aggregate != nil {
		c.fields(q.Aggregate.Field)
	}
	for _, cl := range q.Clauses {
		c.fields(cl.Show...)
		c.fields(cl.By...)
		for _, k := range cl.Sort {
			c.fields(k.Field)
		}
		c.add(Slot{Kind: CountSlot, Name: cl.First})
	}
	c.of = outer
}

// leftmost is the first selection that is not a question in brackets.
func leftmost(q *Question) *Selection {
	for q != nil && q.First != nil {
		if q.First.Group == nil {
			return q.First
		}
		q = q.First.Group
	}
	return nil
}

func (c *collector) selection(s *Selection) {
	if s == nil {
		return
	}
	c.question(s.Group)
	c.of = s
	if s.Route != nil {
		c.ends(s.Route.From)
		c.ends(s.Route.To)
		c.passes(nil, s.Route.Through)
	}
	for _, h := range s.Heads {
		var before *Name
		for i, w := range h.Words {
			c.add(Slot{Kind: HeadSlot, Name: w, After: before, Last: i == len(h.Words)-1})
			before = w
		}
	}
	c.alternatives(s.Where)
}

func (c *collector) alternatives(a *Alternatives) {
	if a == nil {
		return
	}
	for _, r := range a.Runs {
		c.phrase(r.First)
		for _, n := range r.Rest {
			c.phrase(n.Phrase)
		}
	}
}

func (c *collector) phrase(p *Phrase) {
	if p == nil {
		return
	}
	c.alternatives(p.Group)
	if p.Region != nil && p.Region.Of != nil {
		c.add(Slot{Kind: NameSlot, Name: p.Region.Of, Relation: p.Region.Relation()})
	}
	c.relation(p.Relation)
	c.reading(p.Reading)
	if p.With != nil {
		c.conditions(p.With.Conditions)
	}
	c.fields(p.Without)
}

func (c *collector) relation(r *Relation) {
	if r == nil {
		return
	}
	c.value(r.Distance, nil)
	c.operands(r, r.Operands)
	c.ends(r.From)
	c.passes(r, r.Through)
}

// Ends is the word that stands for the relation of the ends of a trace: `from`
// and `to`, which take the same things.
const Ends = "from"

// ends are the operands of from and to.
func (c *collector) ends(list []*Operand) {
	if len(list) > 0 {
		c.operands(&Relation{Word: Ends}, list)
	}
}

func (c *collector) passes(r *Relation, list []*Pass) {
	for _, p := range list {
		c.add(Slot{Kind: PassSlot, Name: p.Kind, Relation: r})
		c.value(p.Bound, nil)
	}
}

func (c *collector) operands(r *Relation, list []*Operand) {
	for i, o := range list {
		if r.Word == "for" && o.Group == nil && c.given(i, o.Name) {
			continue
		}
		outer := c.of
		if names := o.NameList(); names != nil {
			for _, n := range names {
				c.add(Slot{Kind: NameSlot, Name: n, Relation: r})
			}
			continue
		}
		c.question(o.Group)
		c.of = outer
		c.add(Slot{Kind: NameSlot, Name: o.Name, Relation: r, Leader: o.Leader, Tolerance: o.Tolerance})
	}
}

func (c *collector) reading(r *Reading) {
	if r == nil {
		return
	}
	for _, t := range r.Tests {
		c.value(t.Around, nil)
		if t.By != nil {
			c.add(Slot{Kind: ValueSlot, Name: t.By.Text})
		}
		c.compare(t.Compare, nil)
	}
}

func (c *collector) compare(t *Compare, field *Name) {
	if t == nil {
		return
	}
	c.value(t.Low, field)
	c.value(t.High, field)
	for _, v := range t.Values {
		c.value(v, field)
	}
}

func (c *collector) conditions(cs *Conditions) {
	if cs == nil {
		return
	}
	for _, run := range cs.Runs {
		for _, one := range run.List {
			c.conditions(one.Group)
			c.fields(one.Unknown, one.Things, one.Field)
			for _, t := range one.Tests {
				c.compare(t, one.Field)
			}
			outer := c.things
			if outer == nil {
				c.things = one.Things
			}
			c.relation(one.Related)
			c.things = outer
		}
	}
}

func (c *collector) value(v *Value, field *Name) {
	if v != nil {
		c.add(Slot{Kind: ValueSlot, Name: v.Text, Field: field})
	}
}
