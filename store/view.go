package store

import (
	"crypto/sha256"
	"encoding/hex"

	"netlore/store/board"
	"netlore/store/sheet"
)

// view is a subject as its entries say together, in the forms in which it is
// kept ready to read: a board as a columnar snapshot, the rest as a sheet.
type view struct {
	content *board.Board // nil for a stack
	board   []byte       // its snapshot
	known   []byte       // sheet of the stack and of what is known
	summary board.Summary
	job     *JobLine // of a job
	rings   bool     // it says what rings
}

func newView(s Subject, content *sheet.Content) *view {
	v := &view{}
	known := &sheet.Content{Stack: content.Stack, Knowledge: content.Knowledge}
	if b := content.Board; b != nil && !s.Stack {
		v.content, v.board = b, EncodeBoard(b)
		v.summary = summarise(b)
	}
	v.summary.Ref = s.Ref
	if k := content.Knowledge; k != nil {
		v.summary.Readings, v.summary.Expected = len(k.Readings), len(k.Expected)
		v.summary.Notes, v.summary.Links = len(k.Notes), len(k.Links)
		v.rings = k.HasTouches()
	}
	if k := content.Knowledge; s.Job && len(k.Jobs) > 0 {
		v.job, v.summary.Title = lineOf(&k.Jobs[0]), k.Jobs[0].Symptom
	}
	v.known = sheet.Write(known)
	// The content hash is that of the canonical sheet: it depends on what is
	// said only, not on who said it, when, or in what order.
	sum := sha256.Sum256(sheet.Write(content))
	v.summary.Hash = hex.EncodeToString(sum[:])
	return v
}

func summarise(b *board.Board) board.Summary {
	return board.Summary{Ref: b.Ref, Title: b.Title, Parts: len(b.Parts), Pins: len(b.Pins),
		Nets: len(b.Nets), Pads: len(b.Pads), Covers: len(b.Covers)}
}
