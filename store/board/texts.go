package board

import "strings"

// Texts keeps short strings side by side in few large pieces of memory, so that
// a hundred thousand names cost some hundred allocations. The strings stay
// valid for as long as any of their piece is used. The zero Texts is empty and
// ready.
type Texts struct{ piece strings.Builder }

// pieceSize is the bytes of one piece, wholeSize those from which on a string
// has its own.
const (
	pieceSize = 16 << 10
	wholeSize = 512
)

// Keep returns a copy of s that does not hold on to what s was cut from.
func (t *Texts) Keep(s string) string {
	if len(s) >= wholeSize {
		return strings.Clone(s)
	}
	if t.piece.Cap()-t.piece.Len() < len(s) {
		t.piece = strings.Builder{}
		t.piece.Grow(pieceSize)
	}
	start := t.piece.Len()
	t.piece.WriteString(s)
	return t.piece.String()[start:]
}
