package run_test

import (
	"math/rand"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/store/board"
)

// randomTouches are between nets and places, half of which have no net.
func randomTouches(r *rand.Rand, b *board.Board) []board.Touch {
	place := func() board.Target {
		switch {
		case len(b.Pads) > 0 && chance(r, 40):
			return board.Target{Kind: board.OnPad, Name: b.Pads[r.Intn(len(b.Pads))].Name}
		case chance(r, 60):
			pin := &b.Pins[r.Intn(len(b.Pins))]
			return board.Target{Kind: board.OnPin, Name: b.Parts[pin.Part].Name, Pin: pin.Name}
		}
		return board.Target{Kind: board.OnNet, Name: b.Nets[r.Intn(len(b.Nets))].Name}
	}
	all := make([]board.Touch, 3+r.Intn(12))
	for i := range all {
		all[i] = board.Touch{A: place(), B: place(), Rings: chance(r, 85), Said: chance(r, 20)}
		if !all[i].Said && chance(r, 30) {
			all[i].Job = "7"
		}
	}
	return all
}

// loosened is a board of which some places have no net any more.
func loosened(r *rand.Rand, b *board.Board) *board.Board {
	c := copied(b)
	in := map[board.PinID]bool{}
	for i := range c.Branches {
		for _, pin := range c.Branches[i].Pins {
			in[pin] = true
		}
		for _, pad := range c.Branches[i].Pads {
			in[board.PinID(-1-pad)] = true
		}
	}
	for i := range c.Pins {
		if !in[board.PinID(i)] && chance(r, 40) {
			c.Pins[i].Net = board.None
		}
	}
	for i := range c.Pads {
		if !in[board.PinID(-1-i)] && chance(r, 60) {
			c.Pads[i].Net = board.None
		}
	}
	return assembled(c)
}

// rungWorld is one of the boards that a board may be by what rings on it: each place
// is on one of its nets, or, where it rings on one device only, on none. A trace
// comes to a pin on a net that is not known, but not to one on none.
func rungWorld(r *rand.Rand, b *board.Board, q string) *board.Board {
	traces := strings.Contains(q, "joined") || strings.Contains(q, "leading") || strings.Contains(q, "fed")
	c := copied(b)
	for _, x := range b.Rungs() {
		net := x.Nets[r.Intn(len(x.Nets))]
		if strings.Contains(x.Why, "job") && !traces && chance(r, 30) {
			net = board.None
		}
		if x.Pad != board.None {
			c.Pads[x.Pad].Net = net
		} else {
			c.Pins[x.Pin].Net = net
		}
	}
	return assembled(c)
}

// What is certain of a board with places that ring so that they may be on a net is
// certain whichever it is, and what is impossible stays so; with places that surely
// are on a net, the answer is that of a board that states it.
func TestRingingBounds(t *testing.T) {
	narrowed, sure := 0, 0
	questions(t, 21, 1200, func(r *rand.Rand, b *board.Board, q *check.Question) {
		stated := loosened(r, b)
		rung := stated.Ringing(randomTouches(r, stated))
		asked := typed(q.Text, rung, nil)
		if asked == nil || rung == stated || epistemic(q.Text) {
			return
		}
		open := boundsOf(asked, plan.Options{})
		if d := cmp.Diff(open, boundsOf(asked, plan.Options{Scan: true}), exported); d != "" {
			t.Fatalf("%s: by index, then by scan: %s", q.Text, d)
		}
		for range 3 {
			settled := boundsOf(typed(q.Text, rungWorld(r, rung, q.Text), nil), plan.Options{})
			if lost := missing(open.certain, settled.certain); lost != nil {
				t.Fatalf("%s: %v were certain, and are not when all nets are known", q.Text, lost)
			}
			if new := missing(settled.possible, open.possible); new != nil {
				t.Fatalf("%s: %v were impossible, and are there when all nets are known", q.Text, new)
			}
			if len(settled.certain) > len(open.certain) || len(settled.possible) < len(open.possible) {
				narrowed++
			}
		}
		if !maybeRungs(rung) {
			sure++
			if d := cmp.Diff(boundsOf(typed(q.Text, rungWorld(r, rung, q.Text), nil), plan.Options{}), open, exported); d != "" {
				t.Fatalf("%s: stated, then rung: %s", q.Text, d)
			}
		}
	})
	if narrowed < 100 || sure < 50 {
		t.Errorf("%d worlds settled anything, and %d boards were sure: too few to test with", narrowed, sure)
	}
}

func maybeRungs(b *board.Board) bool {
	for _, x := range b.Rungs() {
		if !x.Sure {
			return true
		}
	}
	return false
}
