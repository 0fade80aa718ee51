package check

import (
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/query/syntax"
	"netlore/query/words"
	"netlore/store/board"
)

// usualPasses are what a supply goes through, unless the question says what.
func usualPasses() []Pass {
	return []Pass{{Kind: PartKind{Class: board.Inductor}}, {Kind: PartKind{Class: board.Bead}},
		{Kind: PartKind{Class: board.Fuse}}, {Kind: PartKind{ZeroOhm: true}}}
}

// UsualTrace is a trace through what a supply goes through.
func UsualTrace() *Trace { return &Trace{Passes: usualPasses()} }

// UsualPasses is how they are said.
const UsualPasses = "inductors, beads, fuses or 0ohm"

// RouteEnds are the things that a route leads from and to, and that a supply
// can come from.
var RouteEnds = []words.Noun{words.Nets, words.Pins, words.Pads, words.Parts, words.Branches}

// trace checks `from` and `through` of a relation. It is nil for a relation
// that is not traced.
func (c *checker) trace(r *syntax.Relation, rel words.Relation) *Trace {
	if !rel.Traced() {
		c.notTraced(r, rel)
		return nil
	}
	t := &Trace{Passes: c.passes(r.Through)}
	switch {
	case r.From == nil:
	case rel == words.FedOnlyBy || rel == words.LostWithout:
		t.From = c.ends(r.From)
	default:
		at := diag.Range{Start: r.Operands[len(r.Operands)-1].Range().End, End: r.From[len(r.From)-1].Range().End}
		d := c.fail("Q28", r.From[0].Range(), "from says where a supply comes from; it goes with fed only by and lost without")
		c.suggest(d, at, "")
	}
	return t
}

// notTraced words `on VMAIN through inductors`.
func (c *checker) notTraced(r *syntax.Relation, rel words.Relation) {
	if r.From == nil && r.Through == nil {
		return
	}
	end := r.Operands[len(r.Operands)-1].Range().End
	at := diag.Range{Start: end + len(c.text[end:]) - len(strings.TrimLeft(c.text[end:], " \t\r\n")), End: r.Range().End}
	d := c.fail("Q28", at, "%q is not traced through parts; joined to, leading to, fed only by, lost without and route are", rel)
	c.suggest(d, diag.Range{Start: end, End: r.Range().End}, "")
	if words.JoinedTo.Operands(c.noun) != nil {
		c.suggest(d, diag.Range{Start: r.Range().Start, End: r.Operands[0].Range().Start}, "joined to ")
	}
}

// ends checks what a trace leads from or to; nil if it is wrong.
func (c *checker) ends(list []*syntax.Operand) Operand {
	var all []Operand
	for _, o := range list {
		if op := c.operand(o, RouteEnds, &syntax.Relation{Span: o.Span, Word: syntax.Ends, Operands: list}); op != nil {
			all = join(all, op)
		}
	}
	switch len(all) {
	case 0:
		return nil
	case 1:
		return all[0]
	}
	return Either{all}
}

// passes checks what a trace goes through.
func (c *checker) passes(list []*syntax.Pass) []Pass {
	if list == nil {
		return usualPasses()
	}
	var all []Pass
	for _, p := range list {
		if pass, ok := c.pass(p); ok {
			all = append(all, pass)
		}
	}
	return all
}

// pass checks one kind of parts, and its bound.
func (c *checker) pass(p *syntax.Pass) (Pass, bool) {
	word := strings.ToLower(p.Kind.Text)
	var pass Pass
	pass.Any = word == "any"
	if !pass.Any {
		kind, ok := partKind(word)
		if !ok {
			c.noPass(p)
			return pass, false
		}
		pass.Kind = kind
	}
	if p.Bound == nil {
		return pass, true
	}
	if !pass.Any && (pass.Kind.ZeroOhm || pass.Kind.Class == board.Bead || pass.Kind.Class.ValueUnit() != board.Ohm) {
		d := c.fail("Q41", p.Range(), "%s", noBound(pass.Kind))
		c.suggest(d, p.Range(), p.Kind.Text)
		c.suggest(d, p.Range(), "resistors "+strings.TrimSpace(c.text[p.Kind.Range().End:p.Range().End]))
		return pass, false
	}
	if !slices.Contains([]syntax.Keyword{"below", "<", "at most", "<="}, p.Op) {
		at := diag.Range{Start: p.Kind.Range().End, End: p.Bound.Range().Start}
		d := c.fail("Q43", p.Range(), "a supply goes through what has little resistance: a bound is below or at most, not %s", p.Op)
		c.suggest(d, at, " below ")
		return pass, false
	}
	var ok bool
	pass.AtMost = p.Op == "at most" || p.Op == "<="
	pass.Below, ok = c.quantity(p.Bound, []board.Unit{board.Ohm}, "a bound of "+word+" takes")
	return pass, ok
}

// noBound is why a bound says nothing of a kind of parts.
func noBound(k PartKind) string {
	switch {
	case k.ZeroOhm:
		return "0ohm is a bound by itself"
	case k.Class == board.Bead:
		return "the value of a bead is its impedance at high frequency, not its resistance, so a bound says nothing of beads"
	}
	return "the resistance of " + k.String() + " is not among what is known of them, so a bound says nothing of them"
}

// noPass words `through VMAIN`.
func (c *checker) noPass(p *syntax.Pass) {
	if c.habit(p.Kind) {
		return
	}
	d := c.fail("Q32", p.Kind.Range(), "after through stands a kind of parts such as inductors, or any; %s is none", diag.Quote(PlainName(p.Kind.Text)))
	for _, close := range diag.Closest(PlainName(p.Kind.Text), passWords()) {
		c.suggest(d, p.Kind.Range(), close)
	}
	if d.Edits == nil {
		d.Help = append(d.Help, "for example: through "+UsualPasses+", through resistors below 1ohm, through any")
	}
}

// passWords are what can stand after through.
func passWords() []string {
	list := []string{"any", PartKind{ZeroOhm: true}.String()}
	for _, k := range board.Classes() {
		list = append(list, k.Plural())
	}
	return list
}

// route checks a whole question for a route.
func (c *checker) route(typed *Question, q *syntax.Question) {
	r := q.First.Route
	c.members, c.noun = c.defaults(), words.Nets
	if len(c.members) == 0 {
		c.nobodyAsked(q.First)
	}
	for _, j := range q.Rest {
		c.fail("Q29", j.Range(), "a route is no set of things, so nothing can be put together with it")
	}
	if q.Aggregate != nil {
		c.fail("Q29", q.Aggregate.Range(), "a route is no set of things, so it cannot be counted or added up")
	}
	for _, cl := range q.Clauses {
		d := c.fail("Q29", cl.Range(), "a route is no set of things: its rows are in the order of the way")
		c.suggest(d, diag.Range{Start: q.First.Range().End, End: cl.Range().End}, "")
	}
	typed.Route = &Route{
		From: c.ends(r.From), To: c.ends(r.To),
		Trace: &Trace{Passes: c.passes(r.Through)}, ByResistance: r.By == "resistance", Members: slices.Clone(c.members),
	}
	typed.Missing = c.missing
}

// routeInside words a route that is a part of another question.
func (c *checker) routeInside(s *syntax.Selection) {
	d := c.fail("Q29", s.Range(), "a route is a question of its own: it is no set of things to ask more about")
	d.Help = append(d.Help, "nets joined to a place can be asked about: parts on (nets joined to VMAIN through any)")
}
