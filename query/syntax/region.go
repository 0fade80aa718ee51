package syntax

import (
	"strings"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"

	"netlore/query/diag"
)

// Region is a piece of a board as it is drawn, seen from the top:
// `in bottom left of lower`, `in box 4,3.5 22,19`.
type Region struct {
	Span
	Words []Keyword // RegionWords
	Box   []*Name   // x and y of one corner, then of the other; nil with Words
	Of    *Name     // a board or member of the stack; nil: each that is asked
}

// RegionWords say where on a board a region is.
var RegionWords = []string{"top", "bottom", "left", "right", "middle"}

// Parse implements the parser's interface. `in left` alone is a name, for groups
// of pads have names of their own; `in bottom left` and `in left of lower` are
// regions, as they could be nothing else.
func (r *Region) Parse(l *lexer.PeekingLexer) error {
	before := l.MakeCheckpoint()
	if !r.read(l) {
		l.LoadCheckpoint(before)
		return participle.NextMatch
	}
	return nil
}

func (r *Region) read(l *lexer.PeekingLexer) bool {
	r.Pos = l.Peek().Pos
	if !r.next(l, "in") {
		return false
	}
	if r.next(l, "box") {
		for i := range 4 {
			if i%2 == 1 {
				r.next(l, ",")
			}
			t := l.Peek()
			if t.Type != wordToken || !startsNumber(strings.TrimPrefix(t.Value, "-")) {
				return false
			}
			r.Box = append(r.Box, r.name(l))
		}
	}
	for word := ""; r.Box == nil; r.Words = append(r.Words, Keyword(word)) {
		if word = r.word(l); word == "" {
			break
		}
	}
	if r.next(l, "of") {
		if t := l.Peek(); t.Type != wordToken && t.Type != stringToken && t.Type != leaderToken {
			return false
		}
		r.Of = r.name(l)
	}
	return r.Box != nil || len(r.Words) > 1 || len(r.Words) == 1 && r.Of != nil
}

// next takes a word or mark if it comes next.
func (r *Region) next(l *lexer.PeekingLexer, word string) bool {
	t := l.Peek()
	if t.Type == stringToken || !strings.EqualFold(t.Value, word) {
		return false
	}
	l.Next()
	r.EndPos = lexer.Position{Offset: t.Pos.Offset + len(t.Value)}
	return true
}

// word takes one of RegionWords, and returns it.
func (r *Region) word(l *lexer.PeekingLexer) string {
	for _, word := range RegionWords {
		if r.next(l, word) {
			return word
		}
	}
	return ""
}

// name takes whatever comes next as a name.
func (r *Region) name(l *lexer.PeekingLexer) *Name {
	t := l.Next()
	r.EndPos = lexer.Position{Offset: t.Pos.Offset + len(t.Value)}
	return &Name{Span{t.Pos, r.EndPos}, t.Value}
}

// Relation is the region as a relation to the board that it names.
func (r *Region) Relation() *Relation {
	return &Relation{Span: r.Span, Word: "in", Operands: []*Operand{{Span: r.Of.Span, Name: r.Of}}}
}

func (p *printer) region(r *Region) {
	p.word("in")
	for _, w := range r.Words {
		p.word(string(w))
	}
	if r.Box != nil {
		p.word("box", r.Box[0].Text+","+r.Box[1].Text, r.Box[2].Text+","+r.Box[3].Text)
	}
	if r.Of != nil {
		p.word("of", r.Of.Text)
	}
}

// brokenRegion words a region that goes wrong after its first words, or of which
// the first is written wrongly.
func (l look) brokenRegion() (complaint, bool) {
	if l.token(-2).is("in") && l.token(0).is(RegionWords...) && !l.token(-1).is(RegionWords...) {
		if close := diag.Closest(l.token(-1).text, RegionWords); len(close) > 0 {
			c := l.complaint("Q10", diag.Quote(l.token(-1).text)+" is no side of a board")
			c.Range = l.token(-1).rng
			return l.withFixes(c, l.replace(-1, 0, close[0])), true
		}
	}
	first := l.bad
	for first > 0 && l.tokens[first-1].is(RegionWords...) {
		first--
	}
	t := l.token(0)
	switch {
	case first == 0 || l.bad == len(l.tokens):
		return complaint{}, false
	case l.token(-1).is("box") && l.token(-2).is("in"):
		return l.complaint("Q10", "a box is written by two corners in millimetres", "for example: parts in box 4,3.5 22,19"), true
	case first == l.bad || !l.tokens[first-1].is("in") || !t.name():
		return complaint{}, false
	}
	close := diag.Closest(t.text, RegionWords)
	if len(close) == 0 {
		return complaint{}, false
	}
	c := l.complaint("Q10", diag.Unexpected(t.text, l.after(), ""))
	return l.withFixes(c, l.replace(0, 1, close[0])), true
}
