package check

import (
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/query/syntax"
	"netlore/query/words"
	"netlore/store/board"
)

// relation checks `under shield or connector`.
func (c *checker) relation(r *syntax.Relation) Pred {
	rel, _ := words.RelationByWord(relationWord(r))
	if c.saysWhose(r) {
		c.fail("Q58", r.Range(), "%s says whose %s are asked for, so it cannot stand beside or, nor in brackets", diag.Quote(c.said(r.Range())), c.noun)
		return nil
	}
	if rel == words.In && (c.isScope(r) || c.isJobScope(r)) {
		if c.isJobScope(r) {
			c.fail("Q56", r.Range(), "%s says whose readings count, so it cannot stand beside or, nor in brackets", diag.Quote(c.said(r.Range())))
		} else {
			c.scopeBesideOr(r)
		}
		return nil
	}
	related := Related{Relation: rel, Span: r.Range()}
	if r.Distance != nil {
		q, ok := c.quantity(r.Distance, []board.Unit{board.Metre}, "within takes")
		if !ok {
			return nil
		}
		related.Distance = q
	}
	nouns := rel.Operands(c.noun)
	if nouns == nil || callable(nouns) == nil && !isBracketed(r) {
		c.noRelation(r, rel)
		return nil
	}
	related.Trace = c.trace(r, rel)
	var list []Operand
	for _, o := range r.Operands {
		if op := c.operand(o, nouns, r); op != nil {
			list = join(list, op)
		}
	}
	switch len(list) {
	case 0:
		return nil
	case 1:
		related.Operand = list[0]
	default:
		related.Operand = Either{list}
	}
	return related
}

// join adds an operand; names and kinds that follow each other become one.
func join(list []Operand, o Operand) []Operand {
	if len(list) == 0 {
		return []Operand{o}
	}
	last := len(list) - 1
	switch o := o.(type) {
	case Names:
		if before, ok := list[last].(Names); ok {
			list[last] = Names{append(before.List, o.List...)}
			return list
		}
	case Kinds:
		if before, ok := list[last].(Kinds); ok && before.Of == o.Of {
			list[last] = Kinds{o.Of, append(before.Parts, o.Parts...), append(before.NetKinds, o.NetKinds...), append(before.CoverKinds, o.CoverKinds...)}
			return list
		}
	}
	return append(list, o)
}

// noRelation words a relation that the noun does not have: parts of VMAIN.
func (c *checker) noRelation(r *syntax.Relation, rel words.Relation) {
	if n := r.Operands[0].Name; n != nil && c.isNumber(n, lookup{text: n.Text}, nil, r) {
		return
	}
	d := c.fail("Q24", diag.Range{Start: r.Range().Start, End: r.Range().Start + len(rel.String())}, "%q does not follow %s", rel, c.noun)
	if c.noun == words.Suspects && rel.Operands(words.Parts) != nil {
		d.Help = append(d.Help, "what can be asked: parts "+c.said(r.Range())+" in (suspects)")
	}
	for _, o := range r.Operands {
		if lead, ok := words.NounBySingular(string(o.Leader)); ok {
			c.otherRelations(d, r, o.Range().Start, lead)
		}
		for _, n := range operandNames(o) {
			if l, ok := readName(n.Text); ok && o.Leader == "" {
				for _, f := range c.find(l, anyNoun) {
					c.otherRelations(d, r, n.Range().Start, f.Noun)
					c.otherNouns(d, n, f.Noun)
				}
			}
		}
	}
	var can []string
	for _, one := range c.noun.Relations() {
		can = append(can, one.String())
	}
	if !slices.Contains(can, "in") {
		can = append(can, "in")
	}
	d.Help = append(d.Help, "after "+c.noun.String()+" can stand "+diag.OneOf(append(can, "with")...))
}

// operand checks what stands after a relation; nil if it is wrong.
func (c *checker) operand(o *syntax.Operand, nouns []words.Noun, r *syntax.Relation) Operand {
	switch {
	case o.Group == nil:
		return c.word(o, nouns, r)
	case o.NameList() == nil:
		return c.subOperand(o, nouns, r)
	}
	var list []Operand
	for _, n := range o.NameList() {
		if op := c.word(&syntax.Operand{Span: n.Span, Name: n}, nouns, r); op != nil {
			list = join(list, op)
		}
	}
	if len(list) > 1 {
		return Either{list}
	}
	if len(list) == 0 {
		return nil
	}
	return list[0]
}

func (c *checker) subOperand(o *syntax.Operand, nouns []words.Noun, r *syntax.Relation) Operand {
	set := c.sub(o.Group)
	if set == nil {
		return nil
	}
	if op := c.usable(set, nouns); op != nil && !slices.Contains(nouns, set.Noun()) {
		return op
	}
	if !slices.Contains(nouns, set.Noun()) {
		d := c.fail("Q32", o.Range(), "the brackets give %s, and %q wants %s", set.Noun(), relationWord(r), plurals(nouns))
		c.otherRelations(d, r, o.Range().Start, set.Noun())
		return nil
	}
	return Sub{set}
}

// isBracketed reports whether a relation ties to a question in brackets.
func isBracketed(r *syntax.Relation) bool {
	return slices.ContainsFunc(r.Operands, func(o *syntax.Operand) bool { return o.Group != nil && o.NameList() == nil })
}

func plurals(nouns []words.Noun) string {
	var list []string
	for _, n := range nouns {
		list = append(list, n.String())
	}
	return diag.OneOf(list...)
}

// word checks an operand without brackets: a kind, any, or a name.
func (c *checker) word(o *syntax.Operand, nouns []words.Noun, r *syntax.Relation) Operand {
	lead := strings.ToLower(string(o.Leader))
	name := strings.ToLower(o.Name.Text)
	switch {
	case lead == "every" && slices.Contains(nouns, words.Jobs) && saysJob(o):
		return Anything{words.Jobs}
	case lead == "every":
		c.fail("Q32", o.Range(), "every is said of boards and jobs: in every board")
		return nil
	case lead == "" && name == "any":
		return Anything{nouns[0]}
	case lead == "" || lead == "any":
		if op := kindOperand(name, nouns); op != nil {
			c.noteKind(o, nouns)
			return op
		}
		if lead == "any" {
			return c.noKind(o, nouns)
		}
		return c.nameOperand(o.Name, nouns, r)
	}
	if k, ok := board.NetKindByWord(lead); ok {
		return c.netKind(o, k, nouns)
	}
	noun, _ := words.NounBySingular(lead)
	if !slices.Contains(nouns, noun) {
		d := c.fail("Q32", o.Range(), "%q wants the name of a %s, not of a %s", relationWord(r), kindsOf(nouns), noun.Singular())
		c.otherRelations(d, r, o.Range().Start, noun)
		return nil
	}
	return c.nameOperand(o.Name, []words.Noun{noun}, r)
}

func (c *checker) nameOperand(n *syntax.Name, nouns []words.Noun, r *syntax.Relation) Operand {
	name, ok := c.resolve(n, nouns, r)
	if !ok {
		return nil
	}
	return Names{[]Name{name}}
}

func (c *checker) netKind(o *syntax.Operand, k board.NetKind, nouns []words.Noun) Operand {
	switch n, ok := words.NounByWord(o.Name.Text); {
	case !slices.Contains(nouns, words.Nets):
		c.fail("Q32", o.Range(), "%s nets cannot stand here; expected the name of a %s", k, kindsOf(nouns))
		return nil
	case !ok || n != words.Nets:
		d := c.fail("Q32", o.Range(), "%s stands before nets only: %s nets", k, k)
		c.suggest(d, o.Range(), k.String()+" nets")
		if !strings.EqualFold(o.Name.Text, "net") {
			c.suggest(d, o.Range(), o.Name.Text)
		}
		return nil
	}
	return Kinds{Of: words.Nets, NetKinds: []board.NetKind{k}}
}

// kindOperand reads a word as a kind of one of the nouns: shield, capacitors,
// cover, nets. Both one and several can be said.
func kindOperand(word string, nouns []words.Noun) Operand {
	for _, n := range nouns {
		if strings.EqualFold(word, n.Singular()) || strings.EqualFold(word, n.String()) {
			return Anything{n}
		}
	}
	if slices.Contains(nouns, words.Covers) {
		if k, ok := coverKind(word); ok {
			return Kinds{Of: words.Covers, CoverKinds: []board.CoverKind{k}}
		}
	}
	if slices.Contains(nouns, words.Parts) {
		if k, ok := partKind(word); ok {
			return Kinds{Of: words.Parts, Parts: []PartKind{k}}
		}
	}
	return nil
}

// coverKind reads one or several: shield, shields.
func coverKind(word string) (board.CoverKind, bool) {
	word = strings.ToLower(word)
	if k, ok := board.CoverKindByWord(word); ok {
		return k, true
	}
	return board.CoverKindByWord(strings.TrimSuffix(word, "s"))
}

// partKind reads one or several: capacitor, capacitors, 0ohm.
func partKind(word string) (PartKind, bool) {
	if k, ok := words.KindByWord(word); ok {
		return k, true
	}
	class, ok := board.ClassByWord(strings.ToLower(word))
	return PartKind{Class: class}, ok
}

// noteKind tells that a word is read as a kind where a thing has that very
// name.
func (c *checker) noteKind(o *syntax.Operand, nouns []words.Noun) {
	l, ok := readName(o.Name.Text)
	if o.Leader == "" && ok && c.find(l, nouns) != nil {
		c.report(diag.Diagnostic{Code: "Q39", Severity: diag.Note, Message: o.Name.Text + " is read as the kind; the thing of that name is written \"" + l.text + "\""}, o.Range())
	}
}

// noKind words `any foo`.
func (c *checker) noKind(o *syntax.Operand, nouns []words.Noun) Operand {
	var can []string
	for _, n := range nouns {
		can = append(can, n.Singular())
		switch n {
		case words.Covers:
			for _, k := range words.CoverKinds() {
				can = append(can, k.String())
			}
		case words.Parts:
			for _, k := range board.Classes() {
				can = append(can, k.String())
			}
		}
	}
	d := c.fail("Q32", o.Name.Range(), "after any stands a kind such as %s, not %s", can[0], o.Name.Text)
	for _, close := range diag.Closest(o.Name.Text, can) {
		c.suggest(d, o.Name.Range(), close)
	}
	return nil
}
