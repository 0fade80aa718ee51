package query

import (
	"context"
	"errors"

	"netlore/query/draw"
	"netlore/query/run"
	"netlore/query/syntax"
	"netlore/query/words"
	"netlore/store/board"
)

// Spot is a place on a board that somebody points at.
type Spot struct {
	Role string // of the board in its stack; empty for a lone board
	Side board.Side
	At   board.Point // micrometres
	Near float64     // how far away something may be, in micrometres
}

// ErrNothingThere is that nothing is known of a spot.
var ErrNothingThere = errors.New("nothing is known to be there")

// ThingAt is the name of what is at a spot, as a question has it. Complaints are a
// diag.List.
func ThingAt(ctx context.Context, src run.Source, opt Options, spot Spot) (string, error) {
	all, err := src.Catalogue(ctx)
	if err != nil {
		return "", err
	}
	t, list := choose(all, opt.On, &syntax.Question{})
	if list != nil {
		return "", list
	}
	scope, err := t.load(ctx, src)
	if err != nil {
		return "", err
	}
	for _, m := range scope.Members {
		if m.Role != spot.Role {
			continue
		}
		kind, id, ok := draw.At(m.Board, spot.Side, spot.At, spot.Near)
		if !ok {
			break
		}
		switch kind {
		case draw.Part:
			return NameOf(m.Role, m.Board.Parts[id].Name), nil
		case draw.Pad:
			return NameOf(m.Role, m.Board.Pads[id].Name), nil
		}
		return NameOf(m.Role, m.Board.Covers[id].Name), nil
	}
	return "", ErrNothingThere
}

// NameOf is a name as a question has it, with its role if it has one.
func NameOf(role, name string) string {
	if role == "" {
		return words.QuoteName(name)
	}
	return words.QuoteName(role) + ":" + words.QuoteName(name)
}
