package syntax

import (
	"strings"

	"netlore/query/diag"
	"netlore/query/words"
)

// sentences are how people put a question in English, and the noun phrase that
// it is here. In them NOUN stands for a noun, MANY for it in the plural, ADJ for
// an adjective, X and Y for names, VALUE for what begins with a digit, and … for
// the rest. The first that fits and can then be read is taken.
var sentences = [][2]string{
	{"parts shorted …", "parts on (shorted nets)"}, {"which parts are shorted …", "parts on (shorted nets)"}, {"shorted parts …", "parts on (shorted nets …)"},
	{"average NOUN …", "mean value of MANY …"}, {"sum of capacitance …", "total value of capacitors …"}, {"total capacitance …", "total value of capacitors …"}, {"sum of NOUN …", "total value of MANY …"},
	{"which NOUN are ADJ …", "ADJ MANY …"}, {"which NOUN is ADJ …", "ADJ MANY …"},
	{"which NOUN lead to X …", "MANY leading to X …"}, {"which NOUN feed X …", "MANY leading to X …"},
	{"NOUN that lead to X …", "MANY leading to X …"}, {"NOUN feeding X …", "MANY leading to X …"}, {"NOUN that feed X …", "MANY leading to X …"},
	{"which NOUN does X have", "MANY of X"}, {"which NOUN is X on", "MANY of X"}, {"which NOUN are on X …", "MANY on X …"}, {"which NOUN is on X …", "MANY on X …"},
	{"which covers X", "covers over X"}, {"which hides X", "covers over X"}, {"which is over X", "covers over X"}, {"which is on top of X", "covers over X"},
	{"which does X feed …", "parts fed only by X …"}, {"which hangs on X …", "parts fed only by X …"},
	{"where does X lead …", "branches joined to X"}, {"where does X go …", "branches joined to X"},
	{"which is FIELD of X", "parts with name = X show name, FIELD"}, {"FIELD of X", "parts with name = X show name, FIELD"},
	{"is X ADJ …", "why X in (ADJ parts …)"}, {"is X under Y", "why X in (parts under Y)"}, {"is X on Y", "why X in (parts on Y)"},
	{"pin VALUE of X", "pins with name = X.VALUE"}, {"pin X of Y", "pins with name = Y.X"}, {"X pin Y", "pins with name = X.Y"}, {"X pin VALUE", "pins with name = X.VALUE"},
	{"largest NOUN …", "MANY … sorted by value descending first 1"}, {"smallest NOUN …", "MANY … sorted by value first 1"},
	{"VALUE NOUN …", "MANY with value = VALUE …"},
	{"last NOUN", "MANY sorted by opened descending first 1"}, {"newest NOUN", "MANY sorted by opened descending first 1"}, {"oldest NOUN", "MANY sorted by opened first 1"},
	{"unfinished jobs", "jobs without closed"}, {"jobs in progress", "jobs without closed"}, {"current jobs", "jobs without closed"}, {"finished jobs", "jobs with closed"},
	{"which was measured …", "readings …"}, {"which was done …", "observations …"}, {"which happened …", "observations …"}, {"which is known of X", "notes on X"}, {"which is expected on X", "expected on X"},
	{"NOUN lower than expected …", "pads reading below expected …"}, {"NOUN higher than expected …", "pads reading above expected …"}, {"NOUN below expected …", "pads reading below expected …"}, {"NOUN above expected …", "pads reading above expected …"},
	{"NOUN between X and Y", "MANY on X and on Y"}, {"NOUN within VALUE X from Y …", "MANY within VALUEX of Y …"}, {"NOUN within VALUE from Y …", "MANY within VALUE of Y …"}, {"NOUN on same net as X", "MANY on (nets of X)"}, {"NOUN on same rail as X", "MANY on (nets of X)"},
	{"jobs where culprit was X …", "jobs with culprit = X …"},
	{"jobs by X", "jobs with author = X"}, {"notes by X", "notes with author = X"}, {"readings by X", "readings with author = X"},
}

// alike are words of a sentence, in one way of saying them.
var alike = map[string]string{
	"what": "which", "biggest": "largest", "greatest": "largest", "highest": "largest", "lowest": "smallest", "least": "smallest", "latest": "last",
	"leads": "lead", "goes": "go", "feeds": "feed", "do": "does",
}

// blank are words that a sentence can do without.
var blank = map[string]bool{"the": true, "a": true, "an": true, "all": true, "me": true, "please": true}

// sentence words a question that is put as a sentence.
func (l look) sentence() (complaint, bool) {
	said := l.plain()
	for _, s := range sentences {
		phrase, ok := l.rephrase(said, strings.Fields(s[0]), s[1])
		if f := l.whole(phrase); ok && f.plausible() {
			return l.noSentence(f), true
		}
	}
	return complaint{}, false
}

// wordy words a sentence that differs from a question in several words.
func (l look) wordy() (complaint, bool) {
	if f := l.whole(reworded(l.plain())); f.plausible() {
		return l.noSentence(f), true
	}
	return complaint{}, false
}

func (l look) noSentence(f fix) complaint {
	c := l.complaint("Q15", "a question here is no sentence: it names what is asked for")
	c.Range = diag.Range{End: len(strings.TrimRight(l.text, " "))}
	return l.withFixes(c, f)
}

// reworded is a sentence in words of the language, without what it begins with
// elsewhere.
func reworded(said []token) string {
	var text []string
	for _, h := range habitsAt(said, 0) {
		if h.from == 0 {
			text, said = append(text, h.instead), said[h.to:]
			break
		}
	}
	for _, t := range said {
		word := t.text
		for _, h := range slang {
			if t.kind != stringToken && t.is(h[0]) {
				word = h[1]
			}
		}
		text = append(text, word)
	}
	return strings.TrimSpace(strings.Join(text, " "))
}

// plain are the tokens of a sentence that say something.
func (l look) plain() []token {
	var said []token
	for _, t := range l.tokens {
		if t.kind != stringToken && blank[strings.ToLower(t.text)] {
			continue
		}
		said = append(said, t)
	}
	if n := len(said); n > 0 {
		said[n-1].text = strings.TrimRight(said[n-1].text, "?.!")
	}
	return said
}

// rephrase fits words to a pattern of sentences, and puts what stands for its
// capitals into a phrase.
func (l look) rephrase(said []token, pattern []string, phrase string) (string, bool) {
	found := map[string]string{"…": ""}
	for i, p := range pattern {
		if p == "…" {
			if i < len(said) {
				last := said[len(said)-1]
				found[p] = l.text[said[i].rng.Start : last.rng.Start+len(last.text)]
			}
			said = said[:i]
			break
		}
		if i >= len(said) || !l.stands(said[i], p, found) {
			return "", false
		}
	}
	if n := len(pattern); pattern[n-1] != "…" && len(said) != n {
		return "", false
	}
	var names []string
	for name, text := range found {
		names = append(names, name, text)
	}
	phrase = strings.NewReplacer(names...).Replace(phrase)
	return strings.ReplaceAll(strings.Join(strings.Fields(phrase), " "), " )", ")"), true
}

// stands reports whether a word fits a word of a pattern, and keeps what it
// stands for.
func (l look) stands(t token, p string, found map[string]string) bool {
	switch p {
	case "NOUN":
		many := l.shelf.plural(t.text)
		found["MANY"] = many
		return many != ""
	case "ADJ":
		found[p] = t.text
		_, ok := words.AdjectiveByWord(t.text)
		return ok
	case "FIELD":
		found[p] = t.text
		_, ok := words.FieldByWord(words.Parts, t.text)
		return ok
	case "X", "Y":
		found[p] = t.text
		return t.name()
	case "VALUE":
		found[p] = t.text
		return startsNumber(t.text)
	}
	word := strings.ToLower(t.text)
	return t.kind != stringToken && (word == p || alike[word] == p)
}

// plural is the noun that a word is, or the plural of; "" if it is none.
func (s *Shelf) plural(word string) string {
	if s.isNoun(word) {
		return word
	}
	for _, noun := range Nouns() {
		if strings.EqualFold(word, singularOf(noun)) {
			return noun
		}
	}
	for _, h := range slang {
		if strings.EqualFold(word, h[0]) {
			return h[1]
		}
	}
	return ""
}
