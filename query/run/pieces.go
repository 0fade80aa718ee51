package run

import (
	"netlore/query/isolate"
	"netlore/query/words"
	"netlore/store/board"
)

// Piece is a thing that a suspect is, or that a test is made at.
type Piece struct {
	Of   *Member
	Noun words.Noun // Parts, Pads, Pins, Nets, Branches or Covers
	ID   int32
}

// Suspect is how likely the suspect of a row is, of 1, and what it is, where sheets
// tell of that. The row is one of an answer that lists suspects.
func (a *Answer) Suspect(r *Row) (chance float64, pieces []Piece) {
	x := &a.inquiry.suspects[r.ID]
	for _, p := range x.pieces {
		pieces = append(pieces, x.piece(p.memberThing))
	}
	return x.p, pieces
}

// Copper is where the copper of a suspect lies, if it is a zone of copper: the board,
// its side and the parts that it leads to there. Of is nil if it is none.
func (a *Answer) Copper(r *Row) (of *Member, side board.Side, parts []board.PartID) {
	x := &a.inquiry.suspects[r.ID]
	if x.fault.Kind != isolate.Zone {
		return nil, 0, nil
	}
	site := &x.fault.Sites[0]
	for i := range x.device.InZone(site) {
		parts = append(parts, board.PartID(x.parts[i].id))
	}
	return x.site(site.Spot.Board).self, site.Spot.Side, parts
}

// Test is which of the tests of its job that of a row is, from 1, and what it is made
// at; tape goes over all pads of it, in this order. The row is one of an answer that
// lists tests.
func (a *Answer) Test(r *Row) (rank int, pieces []Piece, tape bool) {
	x := &a.inquiry.tests[r.ID]
	for _, t := range x.made {
		if t.noun != words.Covers {
			pieces = append(pieces, x.piece(t))
		}
	}
	return x.rank, pieces, x.Kind == isolate.TapeIt
}

func (x *isolation) piece(t memberThing) Piece { return Piece{x.site(t.member).self, t.noun, t.id} }

// ChanceText is a chance as answers show it: in two digits, and never quite 0 or
// 100 %.
func ChanceText(p float64) string { return percent(p).String() }
