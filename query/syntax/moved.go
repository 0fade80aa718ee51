package syntax

import (
	"fmt"
	"strings"

	"netlore/query/diag"
	"netlore/query/words"
)

// moved are changes of several words at once, for slips that are made as
// a whole.
func (l look) moved() []fix {
	var fixes []fix
	for _, try := range []func() fix{l.belowExpected, l.expectedBy, l.whyNotIn, l.whyIs, l.notAdjective, l.fieldWithout, l.firstInFront} {
		if f := try(); f.text != "" {
			fixes = append(fixes, f)
		}
	}
	return fixes
}

// belowExpected is for `reading 15% below expected`.
func (l look) belowExpected() fix {
	if !l.token(-1).is("reading") || !l.token(1).is("below", "above") || !l.token(2).is("expected") {
		return fix{}
	}
	return l.replace(0, 3, l.token(1).text+" expected by "+l.token(0).text)
}

// expectedBy is for `reading below expected 15%`.
func (l look) expectedBy() fix {
	if !l.token(-1).is("expected") || !startsNumber(l.token(0).text) {
		return fix{}
	}
	return l.insert(0, "by")
}

// whyNotIn is for `why C12 not in (parts)`.
func (l look) whyNotIn() fix {
	if !l.token(0).is("not") || !l.tokens[0].is("why") || l.bad < 2 {
		return fix{}
	}
	said := l.text[l.tokens[1].rng.Start:l.tokens[l.bad-1].rng.End]
	return l.replace(1-l.bad, 1, "not "+said)
}

// whyIs is for `why is C12 hidden`, and `why is C12 not hidden`.
func (l look) whyIs() fix {
	t := l.tokens
	if len(t) < 4 || !t[0].is("why") || !t[1].is("is") {
		return fix{}
	}
	a, ok := words.AdjectiveByWord(t[len(t)-1].text)
	if !ok {
		return fix{}
	}
	not := ""
	if t[3].is("not") {
		not = "not "
	}
	return l.whole("why " + not + t[2].text + " in (" + a.String() + " " + a.Nouns()[0].String() + ")")
}

// notAdjective is for `pads on VMAIN not shorted`.
func (l look) notAdjective() fix {
	a, ok := words.AdjectiveByWord(l.token(0).text)
	if !ok || !l.token(-1).is("not") || l.bad != len(l.tokens)-1 || l.bad < 2 || l.tokens[0].text == "(" {
		return fix{}
	}
	base := l.text[l.tokens[0].rng.Start:l.tokens[l.bad-2].rng.End]
	return l.whole("(" + base + ") except (" + a.String() + " " + base + ")")
}

// fieldWithout is for `capacitors on VMAIN value 10uF`, and `value > 10uF`.
func (l look) fieldWithout() fix {
	field, next := l.token(0), l.token(1)
	_, known := words.FieldByWord(l.shelf.nounBefore(l.text[:l.here().Start]), field.text)
	switch {
	case !known:
		return fix{}
	case startsNumber(next.text):
		return l.replace(0, 2, "with "+field.text+" = "+next.text)
	case next.kind == signToken || next.kind == compareToken:
		return l.insert(0, "with")
	}
	return fix{}
}

// firstInFront is for `first 5 parts on VMAIN`, and `the top 5 …`.
func (l look) firstInFront() fix {
	t := l.tokens
	if len(t) > 0 && t[0].is("the") {
		t = t[1:]
	}
	if len(t) < 3 || !t[0].is("first", "top") || !startsNumber(t[1].text) || l.bad > 3 {
		return fix{}
	}
	for _, later := range t[2:] {
		if later.is("first") {
			return fix{}
		}
	}
	rest := l.text[t[2].rng.Start:t[len(t)-1].rng.End]
	return l.whole(rest + " first " + t[1].text)
}

// phraseLate words what is said of the things behind what is to be done with
// them: pads on VMAIN by verdict in job 1042.
func (l look) phraseLate() (complaint, bool) {
	if l.token(0).kind != relationToken && !l.token(0).is("not") {
		return complaint{}, false
	}
	end := l.bad + 1
	for end < len(l.tokens) && !l.tokens[end].is(clauseWords...) {
		end++
	}
	at := l.tokens[l.bad].rng
	at.End = l.tokens[end-1].rng.End
	phrase := l.text[at.Start:at.End]
	for _, t := range l.tokens[:l.bad] {
		if !t.is(clauseWords...) {
			continue
		}
		text := l.text[:t.rng.Start] + phrase + " " + l.text[t.rng.Start:l.token(-1).rng.End] + l.text[at.End:]
		if f := l.whole(text); f.plausible() {
			c := l.complaint("Q10", fmt.Sprintf("%s stands before %s", diag.Quote(phrase), diag.Quote(clauseOf(t))))
			c.Range = at
			return l.withFixes(c, f), true
		}
	}
	return complaint{}, false
}

// clauseOf is how a clause is said to begin.
func clauseOf(first token) string {
	if first.is("sorted") {
		return "sorted by"
	}
	return strings.ToLower(first.text)
}

// clauseWords begin what is to be done with the things.
var clauseWords = []string{"show", "by", "sorted", "first"}

// whole is another text in place of all.
func (l look) whole(text string) fix {
	return fix{text, diag.Edit{Range: diag.Range{End: len(l.text)}, New: text}, l.shelf}
}
