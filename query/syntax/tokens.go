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

// knownWord is what is known of a word of the language or a mark: its kind, and
// its number if the grammar speaks of it, from 1.
type knownWord struct {
	kind   tokenKind
	number uint8
}

// word is what is known of a word. Case does not count.
func (g *grammar) word(text string) knownWord {
	var small [32]byte
	if len(text) > len(small) {
		return knownWord{}
	}
	for i := range len(text) {
		c := text[i]
		if 'A' <= c && c <= 'Z' {
			c |= 0x20
		}
		small[i] = c
	}
	return g.words[string(small[:len(text)])]
}

// wordSet is the set of one word, which gets a number.
func (g *grammar) wordSet(text string) tokenSet {
	known := g.words[text]
	if known.number == 0 {
		g.last++
		known.number = g.last
		g.words[text] = known
	}
	var set tokenSet
	set.words[known.number>>6] |= 1 << (known.number & 63)
	return set
}

// tokenSet is a set of tokens, by their kind or by their word.
type tokenSet struct {
	kinds uint16
	words [2]uint64
}

func (s *tokenSet) has(t *token) bool {
	return s.kinds>>t.kind&1 != 0 || t.word != 0 && s.words[t.word>>6]>>(t.word&63)&1 != 0
}

func (s *tokenSet) add(t tokenSet) {
	s.kinds |= t.kinds
	s.words[0] |= t.words[0]
	s.words[1] |= t.words[1]
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
	case words != "" && to > from && tokens[from].text == ",":
		edit.New = " " + words
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
