package check

import (
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/query/syntax"
	"netlore/query/words"
	"netlore/store/board"
)

// scopePhrases sets the members that a selection is asked of, from phrases
// such as `in lower`, `in Heron-A` and `in every board`, and returns the other
// phrases if all of them must hold.
func (c *checker) scopePhrases(sel *Select, a *syntax.Alternatives) []*syntax.Phrase {
	sel.Members = c.defaults()
	if a == nil {
		return nil
	}
	c.members = sel.Members
	var rest, in, notIn []*syntax.Phrase
	for _, p := range phrasesOf(a) {
		switch {
		case len(a.Runs) == 1 && c.isJobScope(p.Relation):
			c.jobScope(p)
		case len(a.Runs) == 1 && c.saysWhose(p.Relation):
			c.whose(sel, p)
		case len(a.Runs) > 1 || !c.isScope(p.Relation):
			rest = append(rest, p)
		case p.Not:
			notIn = append(notIn, p)
		default:
			in = append(in, p)
		}
	}
	if in != nil {
		sel.Members = every(c.scope)
	}
	for _, p := range append(in, notIn...) {
		c.restrict(sel, p)
	}
	return rest
}

// scopeBesideOr words a phrase about boards that is one of several choices.
func (c *checker) scopeBesideOr(r *syntax.Relation) {
	c.fail("Q55", r.Range(), "%s says which boards are asked, so it cannot stand beside or, nor in brackets; ask in two selections with and also", diag.Quote(c.said(r.Range())))
}

func phrasesOf(a *syntax.Alternatives) []*syntax.Phrase {
	var list []*syntax.Phrase
	for _, r := range a.Runs {
		list = append(list, r.First)
		for _, n := range r.Rest {
			list = append(list, n.Phrase)
		}
	}
	return list
}

// defaults are the members that are asked unless others are named.
func (c *checker) defaults() []int {
	var list []int
	for i, m := range c.scope.Members {
		if !m.Extra {
			list = append(list, i)
		}
	}
	return list
}

// isScope reports whether a relation names boards, and not a group of pads or a
// stack of boards. Where every board is asked, a name is no board: this one may
// just not have the group.
func (c *checker) isScope(r *syntax.Relation) bool {
	if r == nil || r.Word != "in" || r.Operands[0].Group != nil && r.Operands[0].NameList() == nil {
		return false
	}
	for _, o := range r.Operands {
		if saysJob(o) {
			return false
		}
		if o.Leader == "every" || o.Leader == "board" || o.Leader == "any" && isBoard(o.Name.Text) {
			return true
		}
		if o.Leader != "" || c.scope.Lenient && callable(words.In.Operands(c.noun)) != nil {
			return false
		}
		for _, n := range operandNames(o) {
			if c.names(n.Text, callable(words.In.Operands(c.noun))) {
				return false
			}
		}
	}
	return true
}

func isBoard(word string) bool {
	return strings.EqualFold(word, "board") || strings.EqualFold(word, "boards")
}

func operandNames(o *syntax.Operand) []*syntax.Name {
	if o.Group != nil {
		return o.NameList()
	}
	return []*syntax.Name{o.Name}
}

// names reports whether any member has a thing of this name among the nouns.
func (c *checker) names(text string, nouns []words.Noun) bool {
	l, ok := readName(text)
	if !ok {
		return false
	}
	for _, i := range c.members {
		for _, n := range nouns {
			if len(l.find(c.scope, i, n)) > 0 {
				return true
			}
		}
	}
	return false
}

// restrict applies one scope phrase to the members of a selection.
func (c *checker) restrict(sel *Select, p *syntax.Phrase) {
	c.twoReadings(p)
	if sel.Of == words.Tests {
		c.fail("Q24", p.Range(), "tests are of the whole device, not of one board of it; a test says in its name where it is made")
		return
	}
	var named []int
	for _, o := range p.Relation.Operands {
		named = append(named, c.membersOf(o, p.Relation)...)
	}
	if named == nil {
		return // it was complained about
	}
	sel.Members = slices.DeleteFunc(slices.Clone(sel.Members), func(i int) bool { return slices.Contains(named, i) == p.Not })
}

// nobodyAsked words a selection that is asked of no board.
func (c *checker) nobodyAsked(s *syntax.Selection) {
	d := c.fail("Q60", s.Range(), "no board is asked here; add in and a name, or in every board")
	var names []string
	for _, m := range c.scope.Members {
		names = append(names, m.Board.Name)
	}
	d.Help = append(d.Help, "the boards are "+some(append(names, c.scope.Others...)))
	c.members = every(c.scope)
}

func every(s *Scope) []int {
	list := make([]int, len(s.Members))
	for i := range list {
		list[i] = i
	}
	return list
}

// membersOf are the members that an operand of `in` names.
func (c *checker) membersOf(o *syntax.Operand, r *syntax.Relation) []int {
	if o.Leader == "every" || o.Leader == "any" {
		if isBoard(o.Name.Text) {
			return every(c.scope)
		}
		c.fail("Q32", o.Range(), "every is said of boards and jobs: in every board")
		return nil
	}
	if c.scope.Lenient {
		c.fail("Q55", o.Range(), "one question is asked of every board or of those it names, not of both")
		return nil
	}
	var list []int
	for _, n := range operandNames(o) {
		list = append(list, c.member(n, r)...)
	}
	return list
}

// member finds the members of a role or board name.
func (c *checker) member(n *syntax.Name, r *syntax.Relation) []int {
	text := PlainName(n.Text)
	for _, same := range []func(a, b string) bool{func(a, b string) bool { return a == b }, strings.EqualFold} {
		var list []int
		for i, m := range c.scope.Members {
			if m.Role != "" && same(m.Role, text) || same(m.Board.Name, text) || same(m.Board.Ref.String(), text) {
				list = append(list, i)
			}
		}
		if list != nil {
			return list
		}
	}
	if !c.habit(n) && !c.notIn(n, r) {
		c.noMember(n)
	}
	return nil
}

// notIn words a name that is known, but not of a board: parts in SH1.
func (c *checker) notIn(n *syntax.Name, r *syntax.Relation) bool {
	l, ok := readName(n.Text)
	if !ok {
		return false
	}
	return c.wrongKind(n, l, append(callable(words.In.Operands(c.noun)), words.Boards), r)
}

// noMember complains about a name after `in`.
func (c *checker) noMember(n *syntax.Name) {
	var can []string
	for _, i := range c.members {
		for _, g := range groupsOf(c.scope.Members[i].Board) {
			if c.noun == words.Pads && !slices.Contains(can, g) {
				can = append(can, g)
			}
		}
	}
	for _, m := range c.scope.Members {
		can = append(can, m.Board.Name)
		if m.Role != "" {
			can = append(can, m.Role)
		}
	}
	can = append(can, c.scope.Others...)
	what := map[words.Noun]string{words.Pads: "group of pads, ", words.Boards: "stack, "}[c.noun]
	d := c.fail("Q30", n.Range(), "no %sboard or member of the stack is called %s", what, n.Text)
	if c.names(n.Text, []words.Noun{words.Jobs}) {
		c.suggest(d, n.Range(), "job "+n.Text)
	}
	for _, close := range diag.Closest(PlainName(n.Text), can) {
		c.suggest(d, n.Range(), words.QuoteName(close))
	}
	if d.Edits == nil {
		d.Help = append(d.Help, "after in can stand: "+some(can))
	}
}

// groupsOf are the names of the groups of pads of a board, in the order met.
func groupsOf(b *board.Board) []string {
	var list []string
	seen, last := map[string]bool{"": true}, ""
	for i := range b.Pads {
		g := b.Pads[i].Group
		if g != last && !seen[g] {
			seen[g] = true
			list = append(list, g)
		}
		last = g
	}
	return list
}

// some lists names for a message, at most eight of them.
func some(names []string) string {
	const most = 8
	var shown []string
	for _, n := range names {
		if n = words.QuoteName(n); !slices.Contains(shown, n) {
			shown = append(shown, n)
		}
	}
	if len(shown) > most {
		return strings.Join(shown[:most], ", ") + ", …"
	}
	return strings.Join(shown, ", ")
}
