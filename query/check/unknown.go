package check

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"

	"netlore/query/diag"
	"netlore/query/syntax"
	"netlore/query/words"
	"netlore/store/board"
)

// unknown words a name that no member of the selection has among the nouns
// that the relation takes. The likeliest cause is told.
func (c *checker) unknown(n *syntax.Name, l lookup, nouns []words.Noun, r *syntax.Relation) {
	if len(c.list) >= mostMended {
		c.notFound(n, l, nouns)
		return
	}
	if l.role != "" {
		asked := c.members
		defer func() { c.members = asked }()
		c.members = slices.DeleteFunc(every(c.scope), func(i int) bool { return !strings.EqualFold(c.scope.Members[i].Role, l.role) })
	}
	for _, try := range []func(*syntax.Name, lookup, []words.Noun, *syntax.Relation) bool{
		c.isSaved, c.isNoun, c.isHabit, c.shellTook, c.singleQuoted, c.wrongKind, c.noSuchPin, c.onOtherMember, c.isNumber,
	} {
		if try(n, l, nouns, r) {
			return
		}
	}
	d := c.notFound(n, l, nouns)
	if l.pattern != nil {
		if plain, ok := strings.CutSuffix(n.Text, "?"); ok {
			c.suggest(d, n.Range(), plain) // as a sentence ends
		}
		return
	}
	if _, ok := board.NetKindByWord(l.text); ok {
		c.suggest(d, n.Range(), l.text+" nets")
	}
	for _, close := range diag.Closest(l.text, c.candidates(nouns)) {
		c.suggest(d, n.Range(), quoteFor(l, close))
	}
	c.nearReserved(d, n)
}

// notFound says that nothing has a name.
func (c *checker) notFound(n *syntax.Name, l lookup, nouns []words.Noun) *diag.Diagnostic {
	code, verb := "Q30", "is called"
	if l.pattern != nil {
		code, verb = "Q36", "fits"
	}
	return c.fail(code, n.Range(), "no %s of %s %s %s", kindsOf(nouns), c.memberNames(), verb, l.shown())
}

// shown is the name in a message; a pattern is no name and gets no quotes.
func (l lookup) shown() string {
	if l.pattern != nil {
		return l.text
	}
	return words.QuoteName(l.text)
}

// quoteFor writes a suggested name, with the role if one was given.
func quoteFor(l lookup, name string) string {
	if l.role != "" {
		return l.role + ":" + words.QuoteName(name)
	}
	if _, kind := board.CoverKindByWord(name); kind {
		return name
	}
	return words.QuoteName(name)
}

// kindsOf is "net or branch".
func kindsOf(nouns []words.Noun) string {
	var list []string
	for _, n := range nouns {
		list = append(list, n.Singular())
	}
	return diag.OneOf(list...)
}

// memberNames is what the selection is asked of: "Heron-A", "upper or lower".
func (c *checker) memberNames() string {
	var list []string
	for _, i := range c.members {
		m := c.scope.Members[i]
		name := m.Role
		if name == "" {
			name = m.Board.Name
		}
		list = append(list, name)
	}
	if len(list) > 4 {
		return fmt.Sprintf("the %d boards asked", len(list))
	}
	return diag.OneOf(list...)
}

// candidates are the names that could have been meant.
func (c *checker) candidates(nouns []words.Noun) []string {
	var list []string
	for _, noun := range nouns {
		for _, i := range c.members {
			for _, name := range namesOf(c.scope, c.scope.Members[i], noun) {
				list = append(list, name)
			}
		}
		if noun == words.Covers {
			for _, k := range words.CoverKinds() {
				list = append(list, k.String())
			}
		}
	}
	return list
}

// nearReserved suggests a word of the language that the name is a slip of.
func (c *checker) nearReserved(d *diag.Diagnostic, n *syntax.Name) {
	if d.Edits == nil {
		for _, w := range diag.Closest(n.Text, words.Reserved()) {
			c.suggest(d, n.Range(), w)
		}
	}
}

// habit reports a word that people bring along from elsewhere.
func (c *checker) habit(n *syntax.Name) bool {
	d, ok := c.habitAt(n.Range())
	if ok {
		c.report(d, d.Range)
	}
	return ok
}

// habitAt looks for a habit in the text that a range lies in. The place of the
// habit may be a word more than the range.
func (c *checker) habitAt(at diag.Range) (diag.Diagnostic, bool) {
	text, local, ok := c.sources.Within(c.text, at)
	if !ok {
		return diag.Diagnostic{}, false
	}
	d, ok := c.shelf.Habit(text, local.Start)
	d.Range = diag.Range{Start: d.Range.Start + at.Start - local.Start, End: d.Range.End + at.Start - local.Start}
	return d, ok
}

// isNoun words a second selection behind a comma or or: parts on A, parts on B.
func (c *checker) isNoun(n *syntax.Name, _ lookup, _ []words.Noun, r *syntax.Relation) bool {
	i := slices.IndexFunc(r.Operands, func(o *syntax.Operand) bool { return o.Name == n })
	if i < 1 || !words.IsNoun(n.Text) && !c.shelf.Has(n.Text) {
		return false
	}
	at := diag.Range{Start: r.Operands[i-1].Range().End, End: n.Range().Start}
	d := c.fail("Q15", diag.Range{Start: at.Start, End: n.Range().End}, "a second noun is put together with the first by and also, except or shared with")
	c.suggest(d, at, " and also ")
	return true
}

// isSaved words a saved question that stands for a thing without brackets.
func (c *checker) isSaved(n *syntax.Name, _ lookup, _ []words.Noun, r *syntax.Relation) bool {
	if len(r.Operands) > 1 || !c.shelf.Has(n.Text) {
		return false
	}
	d := c.fail("Q80", n.Range(), "%s is a saved question; one that stands after %s is put in brackets", n.Text, relationWord(r))
	c.suggest(d, n.Range(), "("+n.Text+")")
	return true
}

func (c *checker) isHabit(n *syntax.Name, _ lookup, _ []words.Noun, _ *syntax.Relation) bool {
	return c.habit(n)
}

// singleQuoted words 'VM AIN': only double quotes make a name.
func (c *checker) singleQuoted(n *syntax.Name, l lookup, nouns []words.Noun, _ *syntax.Relation) bool {
	inside := strings.Trim(l.text, "'")
	if inside == l.text || c.find(lookup{text: inside, list: []string{inside}}, nouns) == nil {
		return false
	}
	d := c.fail("Q30", n.Range(), "single quotes are a part of the name here; a name is put in double quotes, or in none")
	c.suggest(d, n.Range(), words.QuoteName(inside))
	return true
}

// isNumber words `with value over 10uF`, where a relation stands for a
// comparison.
func (c *checker) isNumber(n *syntax.Name, l lookup, _ []words.Noun, r *syntax.Relation) bool {
	if r == nil {
		return false
	}
	_, err := board.ParseQuantity(l.text, board.NoUnit)
	instead := map[syntax.Keyword]string{"over": "above", "under": "below", "of": "=", "in": "="}[r.Word]
	if err != nil || instead == "" {
		return false
	}
	at := diag.Range{Start: r.Range().Start, End: r.Range().Start + len(r.Word)}
	if strings.HasSuffix(strings.ToLower(strings.TrimSpace(c.text[:at.Start])), " expected") {
		instead = "by" // reading below expected of 15%
	}
	d := c.fail("Q15", at, "%s compares nothing; a number is compared with %q", diag.Quote(string(r.Word)), instead)
	c.suggest(d, at, instead)
	if d.Edits == nil {
		c.suggest(d, at, "with value "+instead) // capacitors over 10uF
	}
	return true
}

// shellTook finds the names of which a shell would leave this: N$12 arrives as
// N2, NET$A as NET.
func (c *checker) shellTook(n *syntax.Name, l lookup, nouns []words.Noun, _ *syntax.Relation) bool {
	var whole []string
	for _, name := range c.candidates(nouns) {
		if afterShell(name) == l.text && !slices.Contains(whole, name) {
			whole = append(whole, name)
		}
	}
	if whole == nil {
		return false
	}
	d := c.fail("Q35", n.Range(), "no %s of %s is called %s; a shell makes that of %s", kindsOf(nouns), c.memberNames(), n.Text, some(whole))
	d.Help = append(d.Help, "in a shell, put the whole question in single quotes: a shell takes $ for itself")
	for _, name := range whole {
		c.suggest(d, n.Range(), quoteFor(l, name))
	}
	return true
}

// variable is what a shell takes for a variable: $ and one digit, or a word.
var variable = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`\$(?:[0-9]|[A-Za-z_][A-Za-z_0-9]*)`)
})

// afterShell is what a shell makes of a name with a $ in it, when no variable
// has that name. It is empty if the shell changes nothing.
func afterShell(name string) string {
	if after := variable().ReplaceAllString(name, ""); after != name {
		return after
	}
	return ""
}

// noSuchPin words U300.Z9, where there is a part U300.
func (c *checker) noSuchPin(n *syntax.Name, l lookup, nouns []words.Noun, _ *syntax.Relation) bool {
	part, pin, found := strings.Cut(l.text, ".")
	if !found || !slices.Contains(nouns, words.Pins) && !slices.Contains(nouns, words.Parts) {
		return false
	}
	for _, i := range c.members {
		b := c.scope.Members[i].Board
		p := b.FindPart(part)
		if p == board.None {
			continue
		}
		var pins []string
		first, last := b.PinsOf(p)
		for id := first; id < last; id++ {
			pins = append(pins, b.Pins[id].Name)
		}
		d := c.fail("Q30", n.Range(), "%s has no pin %s", part, pin)
		for _, close := range diag.Closest(pin, pins) {
			c.suggest(d, n.Range(), words.QuoteName(part+"."+close))
		}
		d.Help = append(d.Help, "its pins are "+some(pins))
		return true
	}
	return false
}

// onOtherMember words a name that another member has.
func (c *checker) onOtherMember(n *syntax.Name, l lookup, nouns []words.Noun, _ *syntax.Relation) bool {
	asked := c.members
	defer func() { c.members = asked }()
	for i, m := range c.scope.Members {
		c.members = []int{i}
		other := l
		other.role = ""
		if slices.Contains(asked, i) || c.find(other, nouns) == nil {
			continue
		}
		where := c.memberNames()
		c.members = asked
		d := c.fail("Q30", n.Range(), "%s is on %s, but %s is asked", words.QuoteName(l.text), where, c.memberNames())
		if l.role != "" {
			c.suggest(d, n.Range(), m.Role+":"+words.QuoteName(l.text))
		}
		if m.Extra {
			d.Help = append(d.Help, "add in "+words.QuoteName(m.Board.Name)+" to ask that board")
		}
		return true
	}
	return false
}
