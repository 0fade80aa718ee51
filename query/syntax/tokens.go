package syntax

import (
	"strings"

	"netlore/query/diag"
)

// token is a token that is no blank.
type token struct {
	kind tokenKind
	word uint8 // its number in the grammar; 0 if the grammar does not speak of it
	text string
	rng  diag.Range
}

// tokenize splits a whole text into tokens, without the blanks. It takes any
// text: what fits nowhere becomes a badToken.
func tokenize(text string) []token {
	list := make([]token, 0, len(text)/4+4)
	for at := 0; at < len(text); {
		t := tokenAt(text, at)
		if t.kind != blankToken {
			list = append(list, t)
		}
		at = t.rng.End
	}
	return list
}

// tokenAt is the token, or blanks, that begins at a byte of a text.
func tokenAt(text string, at int) token {
	kind, size := next(text[at:])
	t := token{kind: kind, text: text[at : at+size], rng: diag.Range{Start: at, End: at + size}}
	switch kind {
	case wordToken:
		known := theGrammar().word(t.text)
		t.kind, t.word = known.kind, known.number
	case markToken:
		t.word = theGrammar().words[t.text].number
	}
	return t
}

// is reports whether the token is this word, or one of these.
func (t token) is(words ...string) bool {
	for _, w := range words {
		if strings.EqualFold(t.text, w) {
			return true
		}
	}
	return false
}

// name reports whether the token can be a name.
func (t token) name() bool {
	return t.kind == wordToken || t.kind == leaderToken || t.kind == stringToken
}

// quoted is the token in quotes; a name that has them gets no more.
func (t token) quoted() string {
	if t.kind == stringToken {
		return t.text
	}
	return diag.Quote(t.text)
}

// reserved reports whether the token is a word that must be quoted to be a
// name.
func (t token) reserved() bool {
	return t.kind == relationToken || t.kind == compareToken || t.kind == reservedToken
}

// indexAt is the index of the first token that ends after the byte; the number
// of tokens if there is none.
func indexAt(tokens []token, at int) int {
	for i, t := range tokens {
		if t.rng.End > at {
			return i
		}
	}
	return len(tokens)
}

// splice replaces tokens[from:to] by words, with single blanks around them, and
// tells what was replaced in the text.
func splice(text string, tokens []token, from, to int, words string) (string, diag.Edit) {
	start := len(text)
	if from < len(tokens) {
		start = tokens[from].rng.Start
	}
	end := start
	if to > from {
		end = tokens[to-1].rng.End
	}
	edit := diag.Edit{Range: diag.Range{Start: start, End: end}, New: words}
	switch {
	case words == "" && to < len(tokens) && (start == 0 || strings.ContainsRune(" (", rune(text[start-1]))): // and the blanks after it
		edit.Range.End = tokens[to].rng.Start
	case words == "" && from > 0 && to == len(tokens):
		edit.Range.Start = tokens[from-1].rng.End
	case words != "" && to == from && strings.HasPrefix(words, ")"):
		edit.Range = diag.Range{Start: tokens[from-1].rng.End, End: tokens[from-1].rng.End}
	case words != "" && to == from && from < len(tokens):
		edit.New += " "
	case words != "" && to == from:
		edit.Range.Start = len(strings.TrimRight(text, " \t\r\n"))
		edit.Range.End = len(text)
		edit.New = " " + words
	}
	return text[:edit.Range.Start] + edit.New + text[edit.Range.End:], edit
}
