package syntax

import (
	"strings"

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

func (r *Region) begins(t token) bool { return t.is("in") }

// read reads the region. `in left` alone is a name, for groups of pads have names
// of their own; `in bottom left` and `in left of lower` are regions, as they could
// be nothing else.
func (r *Region) read(tokens []token) int {
	n := 1
	if tokens[n].is("box") {
		if n = r.box(tokens); n == 0 {
			return 0
		}
	}
	for r.Box == nil && tokens[n].is(RegionWords...) {
		r.Words = append(r.Words, Keyword(strings.ToLower(tokens[n].text)))
		n++
	}
	if tokens[n].is("of") {
		if !tokens[n+1].name() {
			return 0
		}
		of := nameOf(tokens[n+1])
		r.Of = &of
		n += 2
	}
	r.Span = Span{tokens[0].rng.Start, tokens[n-1].rng.End}
	if r.Box == nil && len(r.Words) < 2 && (len(r.Words) == 0 || r.Of == nil) {
		return 0
	}
	return n
}

// box reads `in box` and the corners.
func (r *Region) box(tokens []token) int {
	n := 2
	for i := range 4 {
		if i%2 == 1 && tokens[n].is(",") {
			n++
		}
		if t := tokens[n]; t.kind != wordToken || !startsNumber(strings.TrimPrefix(t.text, "-")) {
			return 0
		}
		corner := nameOf(tokens[n])
		r.Box = append(r.Box, &corner)
		n++
	}
	return n
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
