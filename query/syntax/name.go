package syntax

import (
	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"
)

// Name is any word that is not reserved, or anything in double quotes.
type Name struct {
	Span
	Text string
}

// Parse implements the parser's interface: names are what a question has most of,
// and the parser would try three rules for each.
func (n *Name) Parse(l *lexer.PeekingLexer) error {
	switch t := l.Peek(); t.Type {
	case wordToken, leaderToken, stringToken:
		n.take(l)
		return nil
	}
	return participle.NextMatch
}

// take reads the next token.
func (n *Name) take(l *lexer.PeekingLexer) {
	t := l.Next()
	n.Span = Span{t.Pos, Position{Offset: t.Pos.Offset + len(t.Value)}}
	n.Text = t.Value
}

// Width is the number after `by`. Unlike a name after `by`, it begins with
// a digit.
type Width struct {
	Span
	Text *Name
}

// Parse implements the parser's interface.
func (w *Width) Parse(l *lexer.PeekingLexer) error {
	t := l.Peek()
	if t.Type != wordToken || !startsNumber(t.Value) {
		return participle.NextMatch
	}
	w.Text = &Name{}
	w.Text.take(l)
	w.Span = w.Text.Span
	return nil
}
