// Package run answers planned questions. Every selection is worked out as two
// sets for each board: what is certainly in it and what is possibly in it, so
// that nothing that is not known makes a row appear or vanish silently. The
// certain rows are the answer; the footer counts the others by what is missing.
package run

import (
	"context"

	"netlore/store/board"
)

// Source is where boards and what is known about them come from. A store
// satisfies it. It may be asked by many goroutines at a time.
type Source interface {
	Catalogue(ctx context.Context) (*board.Catalogue, error)
	Board(ctx context.Context, ref board.Ref) (*board.Board, error)
	Knowledge(ctx context.Context, ref board.Ref) (*board.Knowledge, error)
}
