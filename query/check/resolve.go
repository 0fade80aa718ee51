package check

import (
	"fmt"
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/query/syntax"
	"netlore/query/words"
	"netlore/store/board"
)

// resolve binds a name to the things of the nouns in the members of the
// selection. Exact names win; failing that, one that differs by case only.
func (c *checker) resolve(n *syntax.Name, nouns []words.Noun, r *syntax.Relation) (Name, bool) {
	l, found, ok := c.locate(n, nouns)
	if !ok {
		return Name{}, false
	}
	name := Name{Text: n.Text, Found: found, Span: n.Range()}
	switch {
	case found == nil && c.scope.Lenient:
		c.miss(n.Text)
		return name, true
	case found == nil:
		c.unknown(n, l, nouns, r)
		return Name{}, false
	}
	return name, c.wholeRange(n, l, nouns) && c.noteAlias(n, l, found)
}

// locate finds what a name stands for, which may be nothing. It reports false if
// the name cannot be looked for, or fits several; it then has complained.
func (c *checker) locate(n *syntax.Name, nouns []words.Noun) (lookup, []Found, bool) {
	if c.ranged > mostRanged {
		return lookup{}, nil, false
	}
	l, ok := readName(n.Text)
	if !ok {
		c.badRange(n)
		return l, nil, false
	}
	if c.tooMany(n, l) || !c.roleKnown(n, l) {
		return l, nil, false
	}
	found := c.find(l, nouns)
	if found == nil && l.pattern == nil {
		found, ok = c.findFolded(n, l, nouns)
	}
	return l, found, ok
}

// mostRanged is for how many names the ranges of a question may stand. Each is
// looked for by itself.
const mostRanged = 20_000

// tooMany complains if the ranges of the question stand for too many names. No
// name is looked for after that.
func (c *checker) tooMany(n *syntax.Name, l lookup) bool {
	if len(l.list) > 1 {
		c.ranged += len(l.list)
	}
	if c.ranged <= mostRanged {
		return false
	}
	d := c.fail("Q34", n.Range(), "the ranges of the question stand for more than %d names", mostRanged)
	d.Help = append(d.Help, "a pattern such as P* stands for as many as there are")
	return true
}

// find looks the name up in all members of the selection.
func (c *checker) find(l lookup, nouns []words.Noun) []Found {
	var found []Found
	for _, i := range c.members {
		for _, noun := range nouns {
			ids := l.find(c.scope, i, noun)
			if ids == nil {
				continue
			}
			f := Found{Member: i, Noun: noun, IDs: ids}
			if hasTexts(noun) {
				f.Texts = c.texts(i, noun, ids)
				f.IDs = nil
			}
			found = append(found, f)
		}
	}
	return found
}

// hasTexts reports whether things of a noun are found by name, not by id.
func hasTexts(n words.Noun) bool { return n >= words.Boards || n == words.Jobs }

// texts are the names of things without ids. A board has one name, whichever
// was used.
func (c *checker) texts(member int, noun words.Noun, ids []int32) []string {
	m := c.scope.Members[member]
	if noun == words.Boards {
		return []string{m.Board.Name}
	}
	var list []string
	for _, id := range ids {
		list = append(list, nameOf(c.scope, m, noun, id))
	}
	return list
}

// findFolded looks without regard to case. It reports false if several names
// fit; it then has complained.
func (c *checker) findFolded(n *syntax.Name, l lookup, nouns []words.Noun) ([]Found, bool) {
	l = l.folding()
	found := c.find(l, nouns)
	var fit []string
	for _, f := range found {
		m := c.scope.Members[f.Member]
		for _, name := range namesOf(c.scope, m, f.Noun) {
			if l.fits(name) && !slices.Contains(fit, name) {
				fit = append(fit, name)
			}
		}
	}
	switch {
	case len(fit) > len(l.list):
		d := c.fail("Q31", n.Range(), "%s fits several names, which differ by small and capital letters", n.Text)
		for _, name := range fit {
			c.suggest(d, n.Range(), words.QuoteName(name))
		}
		d.Help = append(d.Help, "the names are "+some(fit))
		return nil, false
	case len(fit) == 1:
		c.report(diag.Diagnostic{Code: "Q37", Severity: diag.Note, Message: fmt.Sprintf("%s is read as %s", n.Text, words.QuoteName(fit[0]))}, n.Range())
	}
	return found, true
}

// noteAlias tells which net an alias belongs to. It is always true.
func (c *checker) noteAlias(n *syntax.Name, l lookup, found []Found) bool {
	if l.pattern != nil || len(l.list) != 1 || found[0].Noun != words.Nets {
		return true
	}
	net := &c.scope.Members[found[0].Member].Board.Nets[found[0].IDs[0]]
	if slices.Contains(net.Aliases, l.text) && net.Name != l.text {
		c.report(diag.Diagnostic{Code: "Q38", Severity: diag.Note, Message: fmt.Sprintf("%s is another name of %s", n.Text, words.QuoteName(net.Name))}, n.Range())
	}
	return true
}

// miss notes that no member of a lenient scope knows a name.
func (c *checker) miss(name string) {
	i := slices.IndexFunc(c.missing, func(m Missing) bool { return m.Name == name })
	if i < 0 {
		c.missing = append(c.missing, Missing{Name: name, Members: c.members})
	}
}

// roleKnown complains about a role that no member has.
func (c *checker) roleKnown(n *syntax.Name, l lookup) bool {
	var roles []string
	for _, m := range c.scope.Members {
		if m.Role != "" && !slices.Contains(roles, m.Role) {
			roles = append(roles, m.Role)
		}
	}
	if l.role == "" || slices.ContainsFunc(roles, func(r string) bool { return strings.EqualFold(r, l.role) }) {
		return true
	}
	if len(roles) == 0 {
		d := c.fail("Q33", n.Range(), "%s names the member %s of a stack, but no stack is asked", n.Text, l.role)
		c.suggest(d, n.Range(), words.QuoteName(l.text))
		if d.Edits == nil || board.QuoteName(n.Text) != n.Text {
			c.suggest(d, n.Range(), `"`+l.role+":"+l.text+`"`)
		}
		return false
	}
	d := c.fail("Q33", n.Range(), "the stack has no member %s", l.role)
	for _, role := range append(diag.Closest(l.role, roles), roles...) {
		c.suggest(d, n.Range(), role+":"+words.QuoteName(l.text))
	}
	d.Help = append(d.Help, "the members are "+some(roles))
	return false
}

// badRange complains about A..B that cannot be counted through.
func (c *checker) badRange(n *syntax.Name) {
	d := c.fail("Q34", n.Range(), "%s is no range: both ends must differ in their number only, the smaller one first", n.Text)
	c.suggest(d, n.Range(), `"`+n.Text+`"`)
	d.Help = append(d.Help, "a range is written P11..P14")
}

// wholeRange complains about names of a range that nothing has.
func (c *checker) wholeRange(n *syntax.Name, l lookup, nouns []words.Noun) bool {
	if len(l.list) < 2 || c.scope.Lenient {
		return true
	}
	var lost []string
	for _, name := range l.list {
		one := lookup{role: l.role, text: name, list: []string{name}}
		if c.find(one, nouns) == nil {
			lost = append(lost, name)
		}
	}
	if lost == nil {
		return true
	}
	c.fail("Q34", n.Range(), "of %s, nothing is called %s", n.Text, some(lost))
	return false
}
