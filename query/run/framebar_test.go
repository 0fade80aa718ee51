package run

import (
	"strings"
	"testing"

	"netlore/query/isolate"
	"netlore/store/board"
)

// TestFrameBar: each pad has its mark, or its part of one; a run may go round.
func TestFrameBar(t *testing.T) {
	for _, c := range []struct {
		n, first, pads int
		want           string
	}{
		{8, 2, 3, "--###---"},
		{8, 6, 4, "##----##"},
		{8, 0, 8, "########"},
		{1, 0, 1, "#"},
		{120, 0, 2, "#" + strings.Repeat("-", 59)},
		{120, 119, 2, "#" + strings.Repeat("-", 58) + "#"},
		{132, 131, 1, strings.Repeat("-", 59) + "#"},
	} {
		if got := drawn(c.n, c.first, c.pads); got != c.want {
			t.Errorf("%d pads from %d of %d: %s, want %s", c.pads, c.first, c.n, got, c.want)
		}
	}
	_, _, b := taken(t, &board.Job{})
	x := &isolation{bench: b}
	if got, want := x.frameBar(&isolate.Proposal{Test: isolate.Test{Kind: isolate.TapeIt, First: 1, Pads: 2}}), "tape on the frame: P1 [-##] P3"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
