package syntax

import (
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/query/words"
	"netlore/store/board"
)

// fix is the text with one thing changed.
type fix struct {
	text  string
	edit  diag.Edit
	shelf *Shelf
}

func (f fix) parses() bool {
	if f.text == "" {
		return false
	}
	return f.shelf.Parses(f.text)
}

// plausible reports whether the changed text parses and speaks of fields that
// there are.
func (f fix) plausible() bool {
	if !f.parses() {
		return false
	}
	q, _ := f.shelf.parse(f.text)
	return !slices.ContainsFunc(q.Slots(), func(s Slot) bool {
		_, known := words.FieldByWord(s.Noun(), s.Name.Text)
		return s.Kind == FieldSlot && !known
	})
}

// replace puts words in place of the tokens from..to, counted from the bad one.
func (l look) replace(from, to int, words string) fix {
	from, to = l.bad+from, l.bad+to
	if from < 0 || to > len(l.tokens) || from > to {
		return fix{}
	}
	text, edit := splice(l.text, l.tokens, from, to, words)
	return fix{text, edit, l.shelf}
}

// insert puts words before the token at, counted from the bad one.
func (l look) insert(at int, words string) fix { return l.replace(at, at, words) }

// mostFixes is how many suggestions a complaint makes at most.
const mostFixes = 2

// withFixes adds the first fixes that parse to the help. The first of them is
// how the question is read on if it stays wrong elsewhere.
func (l look) withFixes(c complaint, fixes ...fix) complaint {
	seen := map[string]bool{"": true, l.text: true}
	var shown []fix
	for _, f := range fixes {
		if len(shown) < mostFixes && !seen[f.text] && f.plausible() {
			shown = append(shown, f)
		}
		seen[f.text] = true
	}
	for _, f := range shown {
		c.Help = append(c.Help, "did you mean: "+f.text)
	}
	if len(shown) > 0 {
		c.Edits = []diag.Edit{shown[0].edit}
	} else {
		c.mended, c.edit = l.further(fixes)
	}
	return c
}

// further picks the fix that lets most of the rest be read, if any gets beyond
// the next word.
func (l look) further(fixes []fix) (string, diag.Edit) {
	best, most := fix{}, 0
	for _, f := range fixes {
		if f.text == "" || f.text == l.text {
			continue
		}
		_, at := l.shelf.parse(f.text)
		read := at - len(f.text) + len(l.text) // in the text as it was
		if next := l.token(1); next.text != "" && read > next.rng.Start && read > most {
			best, most = f, read
		}
	}
	return best.text, best.edit
}

// fixes are the changes worth trying at the bad token, likeliest first.
func (l look) fixes(s Standing) []fix {
	t, last := l.token(0), l.token(-1)
	switch {
	case t.text == "" && startsNumber(last.text):
		return []fix{l.insert(0, "of expected")} // reading within 15%
	case t.text == "":
		return nil
	}
	fixes := append(l.moved(), l.habitFixes()...)
	for _, w := range diag.Closest(t.text, append(s.candidates(), words.Reserved()...)) {
		fixes = append(fixes, l.replace(0, 1, w))
	}
	for _, w := range diag.Closest(last.text, words.Reserved()) {
		fixes = append(fixes, l.replace(-1, 0, w))
	}
	fixes = append(fixes, l.joined()...)
	fixes = append(fixes, l.split(t)...)
	fixes = append(fixes, l.adjectives()...)
	if t.kind == relationToken && last.kind == relationToken || last.text == "," {
		fixes = append(fixes, l.replace(-1, 0, ""))
	}
	fixes = append(fixes, l.unwrapped())
	for _, last := range [][]fix{l.inserts(s), l.deletion()} {
		if !slices.ContainsFunc(fixes, fix.plausible) {
			fixes = append(fixes, last...)
		}
	}
	return fixes
}

// deletion leaves the bad word out, unless that would turn the question round.
func (l look) deletion() []fix {
	if l.token(0).is("not", "except", "without") {
		return nil
	}
	return []fix{l.replace(0, 1, "")}
}

// candidates are the words that a misspelled one may have been.
func (s Standing) candidates() []string {
	all := append([]string(nil), s.Words...)
	if s.Slot == nil {
		return all
	}
	switch s.Slot.Kind {
	case HeadSlot:
		all = append(append(all, Heads()...), s.shelf.Names()...)
	case FieldSlot:
		for _, f := range words.FieldsOf(s.Slot.Noun()) {
			all = append(all, f.Word)
		}
	}
	return all
}

// insertable are the words that are left out most, in the order of trying.
var insertable = []string{"=", "of", "on", "by"}

var aggregates = map[string]bool{"total": true, "least": true, "greatest": true, "mean": true, "median": true, "parallel": true}

// inserts put a word before the bad token.
func (l look) inserts(s Standing) []fix {
	t := l.token(0)
	var fixes []fix
	if _, err := board.ParseQuantity(l.token(-1).text+t.text, board.NoUnit); err == nil && t.kind == wordToken {
		return []fix{l.replace(-1, 1, l.token(-1).text+t.text)} // 3 mm, which was tried, but further
	}
	if t.is("job") {
		fixes = append(fixes, l.insert(0, "in"))
	}
	for _, w := range insertable {
		if slices.Contains(s.Words, w) && !l.shelf.isNoun(t.text) {
			fixes = append(fixes, l.insert(0, w))
		}
		if w == "=" && len(fixes) > 0 {
			break
		}
	}
	if s.Slot != nil && s.Slot.Kind == FieldSlot && (t.kind == signToken || t.kind == compareToken) {
		fixes = append(fixes, l.insert(0, "value"))
	}
	if s.Slot != nil && s.Slot.Kind == HeadSlot && t.kind == relationToken {
		fixes = append(fixes, l.insert(0, "parts"))
	}
	if aggregates[strings.ToLower(t.text)] {
		fixes = append(fixes, l.insert(2, "of"), l.insert(1, "value of")) // total value capacitors, total capacitors
	}
	if slices.Contains(s.Words, "and") && !slices.Contains(s.Words, "or") {
		fixes = append(fixes, l.insert(0, "and")) // between 1uF and 10uF
	}
	return fixes
}

// adjectives are the adjectives that follow, put before the noun: parts hidden
// on VMAIN, parts on VMAIN which are hidden.
func (l look) adjectives() []fix {
	noun := -1
	for i, t := range l.tokens[:l.bad] {
		if l.shelf.isNoun(t.text) {
			noun = i
		}
	}
	for i := 0; i < 3 && noun >= 0; i++ {
		if _, ok := words.AdjectiveByWord(l.token(i).text); ok {
			from := l.bad
			if l.token(-1).is("reading") {
				from-- // pads on VMAIN reading low
			}
			to := l.bad + i + 1
			if l.token(i+1).is("to") && l.token(i+2).name() {
				to += 2 // nets shorted to ground
			}
			text, _ := splice(l.text, l.tokens, from, to, "")
			adjective, before := l.token(i).text, l.tokens[noun].rng.Start
			whole := diag.Edit{Range: diag.Range{End: len(l.text)}, New: text[:before] + adjective + " " + text[before:]}
			return []fix{{whole.New, whole, l.shelf}}
		}
	}
	return nil
}

// unwrapped takes away the brackets that close before the bad token:
// (parts on VMAIN) under SH1.
func (l look) unwrapped() fix {
	depth := 0
	for i := l.bad - 1; i >= 0 && l.token(-1).text == ")"; i-- {
		switch l.tokens[i].text {
		case ")":
			depth++
		case "(":
			depth--
		}
		if depth == 0 {
			open, shut := l.tokens[i].rng, l.token(-1).rng
			text := l.text[:open.Start] + l.text[open.End:shut.Start] + l.text[shut.End:]
			return fix{text, diag.Edit{Range: diag.Range{End: len(l.text)}, New: text}, l.shelf}
		}
	}
	return fix{}
}

// joined are the bad token and a neighbour written as one: 10 uF, with out.
func (l look) joined() []fix {
	t, last, next := l.token(0), l.token(-1), l.token(1)
	var fixes []fix
	if early := l.token(-2); words.IsReserved(early.text + last.text) {
		fixes = append(fixes, l.replace(-2, 0, early.text+last.text))
	}
	if words.IsReserved(last.text+t.text) || t.kind == wordToken && startsNumber(last.text) {
		fixes = append(fixes, l.replace(-1, 1, last.text+t.text))
	}
	if words.IsReserved(t.text + next.text) {
		fixes = append(fixes, l.replace(0, 2, t.text+next.text))
	}
	return fixes
}

// split are the words that a token may be run together from: onVMAIN, and
// name(… with its bracket apart.
func (l look) split(t token) []fix {
	var fixes []fix
	if t.kind != wordToken {
		return nil
	}
	if i := strings.IndexByte(t.text, '('); i > 0 {
		fixes = append(fixes, l.replace(0, 1, t.text[:i]+" "+t.text[i:]))
	}
	for i := 2; i < len(t.text)-1; i++ {
		if words.IsReserved(t.text[:i]) || words.IsReserved(t.text[i:]) {
			fixes = append(fixes, l.replace(0, 1, t.text[:i]+" "+t.text[i:]))
		}
	}
	return fixes
}
