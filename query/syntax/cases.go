package syntax

import (
	"fmt"
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/query/words"
	"netlore/store/board"
)

// examples are shown when nothing is known about what was meant.
var examples = "for example: parts on VMAIN under shield or connector"

func (l look) empty() (complaint, bool) {
	if len(l.tokens) > 0 {
		return complaint{}, false
	}
	return l.complaint("Q11", "there is no question", examples), true
}

// badToken words what no token can begin with.
func (l look) badToken() (complaint, bool) {
	t := l.token(0)
	switch {
	case t.kind != badToken:
		return complaint{}, false
	case t.text[0] == '"' || strings.Contains(t.text, `:"`):
		return l.withFixes(l.complaint("Q12", "the closing quote is missing"), l.replace(0, 1, strings.TrimSpace(t.text)+`"`)), true
	case t.text[0] == '#':
		return l.withFixes(l.complaint("Q14", "a name that begins with # must be in quotes"), l.replace(0, 1, `"`+t.text+`"`)), true
	}
	c := l.complaint("Q14", fmt.Sprintf("the character %s cannot stand in a question outside quotes", diag.Quote(t.text)))
	fixes := append(l.habitFixes(), l.quotedWhole(), l.replace(0, 1, ""))
	if l.bad == len(l.tokens)-1 {
		slices.Reverse(fixes)
	}
	return l.withFixes(c, fixes...), true
}

// quotedWhole puts quotes round the bad character and the words that touch it.
func (l look) quotedWhole() fix {
	from, to := l.bad, l.bad+1
	for from > 0 && l.tokens[from-1].rng.End == l.tokens[from].rng.Start && l.tokens[from-1].kind == wordToken {
		from--
	}
	for to < len(l.tokens) && l.tokens[to].rng.Start == l.tokens[to-1].rng.End && l.tokens[to].kind == wordToken {
		to++
	}
	whole := l.text[l.tokens[from].rng.Start:l.tokens[to-1].rng.End]
	if to-from < 2 || strings.ContainsAny(whole, `"\`) {
		return fix{}
	}
	return l.replace(from-l.bad, to-l.bad, `"`+whole+`"`)
}

// asField words `jobs with C12 as culprit`.
func (l look) asField() (complaint, bool) {
	name, field := l.token(-1), l.token(1)
	_, known := words.FieldByWord(l.shelf.nounBefore(l.text[:l.here().Start]), field.text)
	if !known || !l.token(0).is("as") || !l.token(-2).is("with", "where") || !name.name() {
		return complaint{}, false
	}
	f := l.replace(-1, 2, field.text+" = "+name.text)
	c := l.complaint("Q10", fmt.Sprintf("the field %s stands before what it is compared with", field.text))
	c.Range.Start, c.Range.End = name.rng.Start, field.rng.End
	return l.withFixes(c, f), f.plausible()
}

// coming words questions of a later version.
func (l look) coming() (complaint, bool) {
	for i, t := range l.tokens[:min(l.bad+1, len(l.tokens))] {
		form, instead, ok := Coming(t.text)
		_, described := words.AdjectiveByWord(l.tokens[max(i-1, 0)].text)
		begins := t.kind == wordToken && (i == 0 || described)
		if !ok || !begins && (i < l.bad || t.kind != reservedToken) || l.habitParses() {
			continue
		}
		c := l.complaint("Q18", fmt.Sprintf("this version does not answer questions like %q", form), "what can be asked: "+instead)
		c.Range = t.rng
		return c, true
	}
	return complaint{}, false
}

// andNoun words an `and` before a second selection, which could mean two
// things.
func (l look) andNoun() (complaint, bool) {
	and := l.bad
	if l.token(-1).is("and") {
		and--
	}
	if and >= len(l.tokens)-1 || !l.tokens[and].is("and") {
		return complaint{}, false
	}
	c := l.complaint("Q15", `"and" before a second noun can mean two things: say "and also" for things in either, "shared with" for things in both`)
	c.Range = l.tokens[and].rng
	c = l.withFixes(c, l.replace(and-l.bad, and-l.bad+1, "and also"), l.replace(and-l.bad, and-l.bad+1, "shared with"))
	return c, c.Edits != nil
}

// singular words `part on VMAIN`.
func (l look) singular() (complaint, bool) {
	t := l.token(0)
	if s := l.shelf.CanStand(l.text[:l.here().Start]).Slot; s == nil || s.Kind != HeadSlot {
		return complaint{}, false
	}
	for _, noun := range Nouns() {
		if t.kind == stringToken || t.text == "" || !t.is(singularOf(noun)) {
			continue
		}
		c := l.complaint("Q21", fmt.Sprintf("a question asks for several things: %s, not %s", noun, t.text))
		c = l.withFixes(c, l.replace(0, 1, noun), l.replace(0, 2, noun+" with name = "+l.token(1).text))
		return c, c.Edits != nil
	}
	return complaint{}, false
}

// openBracket words a bracket that is never closed, or a question that ends too
// early within it.
func (l look) openBracket() (complaint, bool) {
	open := l.open()
	if l.bad < len(l.tokens) || len(open) == 0 {
		return complaint{}, false
	}
	c := l.complaint("Q13", "this bracket is never closed")
	c = l.withFixes(c, l.insert(0, strings.Repeat(")", len(open))))
	if c.Help == nil {
		return complaint{}, false // something else is missing as well
	}
	c.Range = l.tokens[open[len(open)-1]].rng
	return c, true
}

// open are the indices of the brackets that are open before the bad token.
func (l look) open() []int {
	var open []int
	for i, t := range l.tokens[:l.bad] {
		switch {
		case t.text == "(":
			open = append(open, i)
		case t.text == ")" && len(open) > 0:
			open = open[:len(open)-1]
		}
	}
	return open
}

func (l look) noBracket() (complaint, bool) {
	if l.token(0).text != ")" || len(l.open()) > 0 {
		return complaint{}, false
	}
	return l.withFixes(l.complaint("Q13", "no bracket is open here"), l.replace(0, 1, "")), true
}

// noComparison words a field that is followed by its value at once. A shell
// that took >= for a file leaves such a question.
func (l look) noComparison() (complaint, bool) {
	t, before := l.token(0), l.token(-1)
	if before.is("reading") && startsNumber(t.text) && !l.token(1).is("below", "above") {
		c := l.complaint("Q16", fmt.Sprintf("a comparison is missing between reading and %s", t.text))
		return l.withFixes(c, l.insert(0, "="), l.insert(0, "below")), true
	}
	if t.kind != wordToken && t.kind != stringToken && t.kind != toleranceToken || !before.name() || !l.token(-2).is("with", "where", "and", "or", "not", "(") {
		return complaint{}, false
	}
	s := l.shelf.CanStand(l.text[:t.rng.Start])
	if !slices.Contains(s.Words, "=") || !(t.kind == toleranceToken || startsNumber(t.text)) {
		return complaint{}, false
	}
	c := l.complaint("Q16", fmt.Sprintf("a comparison is missing between %s and %s", before.text, t.text))
	fixes := []fix{l.insert(0, "=")}
	if _, err := board.ParseQuantity(t.text+l.token(1).text, board.NoUnit); err == nil {
		fixes = append(fixes, l.replace(0, 2, "= "+t.text+l.token(1).text)) // 10 uF
	}
	if _, err := board.ParseQuantity(t.text, board.NoUnit); err == nil {
		fixes = append(fixes, l.insert(0, "at least"))
	}
	c = l.withFixes(c, fixes...)
	c.Help = append(c.Help, "in a shell, put the whole question in single quotes: a shell takes >= for itself")
	return c, true
}

// noWith words a condition that follows something else: parts on VMAIN or value
// above 2uF, jobs with draw above 2A, culprit on VMAIN.
func (l look) noWith() (complaint, bool) {
	t, next := l.token(0), l.token(1)
	field := t
	if t.is("unknown") {
		field = next
	}
	noun := l.shelf.nounBefore(l.text[:l.token(-1).rng.Start])
	_, known := words.FieldByWord(noun, field.text)
	culprit := t.is("culprit") && next.kind == relationToken
	switch {
	case !l.token(-1).is("or", "and", ",") || noun == words.NoNoun:
		return complaint{}, false
	case culprit && !known:
		return l.complaint("Q25", noun.String()+" have no field culprit", "what can be asked: jobs with culprit on VMAIN"), true
	case known && (t.is("unknown") || culprit || next.kind == signToken || next.kind == compareToken):
		return l.withJoined()
	}
	return complaint{}, false
}

// withJoined words the condition at the bad token, which wants another word
// before it.
func (l look) withJoined() (complaint, bool) {
	if !l.token(-1).is(",") {
		c := l.withFixes(l.complaint("Q10", "with is missing before "+l.token(0).text), l.insert(0, "with"))
		return c, c.Edits != nil
	}
	c := l.complaint("Q10", `conditions are joined by "and" or "or", not by a comma`)
	c.Range = l.token(-1).rng
	if c = l.withFixes(c, l.replace(-1, 0, "and")); c.Edits == nil {
		c = l.withFixes(c, l.replace(-1, 0, "and with"))
	}
	return c, c.Edits != nil
}

func startsNumber(s string) bool {
	s = strings.TrimLeft(s, "+-.")
	return s != "" && '0' <= s[0] && s[0] <= '9'
}

// reserved words a word of the language where a name is wanted.
func (l look) reserved() (complaint, bool) {
	t := l.token(0)
	f := l.replace(0, 1, `"`+t.text+`"`)
	if !t.reserved() || !f.parses() {
		return complaint{}, false
	}
	c := l.complaint("Q17", fmt.Sprintf("%s is a word of the language; a name that is spelled so must be in quotes", diag.Quote(t.text)))
	return l.withFixes(c, f, l.replace(-1, 0, "")), true
}

// general words everything else: what was found, where, and what can stand
// there.
func (l look) general() complaint {
	t := l.token(0)
	standing := l.shelf.CanStand(l.text[:l.here().Start])
	code, message := "Q10", diag.Unexpected(t.text, l.after(), "")
	_, adjective := words.AdjectiveByWord(t.text)
	switch {
	case t.text == "":
		code = "Q11"
	case adjective:
		code, message = "Q22", fmt.Sprintf("an adjective such as %s stands before its noun", t.text)
	case aggregates[strings.ToLower(t.text)]:
		code, message = "Q11", fmt.Sprintf("after %s stand a field and the word of: %s value of capacitors", t.text, t.text)
	case standing.Slot != nil && standing.Slot.Kind == HeadSlot && t.name() && !l.shelf.isNoun(l.token(-1).text):
		code, message = "Q20", t.quoted()+" is no noun or adjective of the language"
	case standing.Slot != nil && standing.Slot.Kind == FieldSlot && (t.kind == signToken || t.kind == compareToken):
		message = fmt.Sprintf("a field is missing before %s", t.text)
	}
	c := l.withFixes(l.complaint(code, message), l.fixes(standing)...)
	if can := standing.list(); len(can) > 0 {
		c.Help = append(c.Help, "here can stand: "+strings.Join(can, "  "))
	}
	return c
}

// afterWords tell what the token before the bad one is.
var afterWords = map[SlotKind]string{
	HeadSlot: "", NameSlot: "the name ", FieldSlot: "the field ", ValueSlot: "the value ", CountSlot: "the number ", PassSlot: "", ThingSlot: "the name ",
}

// after tells where the bad token stands: "after the name VMAIN".
func (l look) after() string {
	last := l.token(-1)
	if last.text == "" {
		return ""
	}
	q, _ := parseGrammar(closed(l.text[:last.rng.End]))
	for _, s := range q.Slots() {
		if s.Name.Start == last.rng.Start {
			return "after " + afterWords[s.Kind] + last.text
		}
	}
	return "after " + last.text
}
