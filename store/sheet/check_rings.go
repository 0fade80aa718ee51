package sheet

import (
	"cmp"
	"maps"
	"slices"

	"netlore/query/diag"
	"netlore/store/board"
)

// touches finds places that ring though they are on two nets with nothing between
// that lets them, or are silent though they are on one. A reading in a job is of one
// device, which may have a short or a break.
func (k *checker) touches() {
	said := map[string]*rung{} // by role
	for _, b := range k.g.of(formContinuity) {
		x := k.g.decode(b, 0).targets[0]
		y := k.g.decode(b, 1).targets[0]
		k.addTouch(said, b, x, y, board.Touch{Rings: true, Said: true})
	}
	f := formOf(formReading)
	for _, b := range k.g.of(formReading) {
		outcome := k.outcome(f, b)
		_, ofJob := b.attribute(f.slotOf("job"))
		if ofJob || outcome != "rings" && outcome != "silent" {
			continue
		}
		var to board.Target // ground
		if list := k.g.decode(b, f.slotOf("to")).targets; len(list) > 0 {
			to = list[0]
		}
		x := k.g.decode(b, knownTarget).targets[0]
		k.addTouch(said, b, x, to, board.Touch{Rings: outcome == "rings", When: k.g.whenOf(b)})
	}
	for _, role := range slices.Sorted(maps.Keys(said)) {
		r := said[role]
		for _, c := range k.boards[role].Clashes(r.touches) {
			k.clash(k.boards[role], r, c)
		}
	}
}

// rung is the touches of one board, and where they stand.
type rung struct {
	touches []board.Touch
	blocks  []*block
}

// addTouch adds a touch between two places of one board that is at hand.
func (k *checker) addTouch(said map[string]*rung, b *block, x, y board.Target, t board.Touch) {
	role := x.Role
	if k.boards[role] == nil || y != (board.Target{}) && y.Role != role {
		return
	}
	x.Role, y.Role = "", ""
	if said[role] == nil {
		said[role] = &rung{}
	}
	t.A, t.B = x, y
	said[role].touches, said[role].blocks = append(said[role].touches, t), append(said[role].blocks, b)
}

// outcome is the word for how a reading ended; "" if it is a value.
func (k *checker) outcome(f *form, b *block) string {
	for slot := range f.attributes {
		if f.attributes[slot].shape == measuredShape {
			if v := k.g.decode(b, slot); v.word > 0 {
				return outcomeWords[v.word-1]
			}
		}
	}
	return ""
}

func (k *checker) clash(at *board.Board, r *rung, c board.Clash) {
	if c.Kind != board.Contradicts {
		return
	}
	t, b := &r.touches[c.Touch], r.blocks[c.Touch]
	code, places := "S414", t.A.String()+" and "+cmp.Or(t.B.String(), "ground")
	message, help := places+" ring through, but are on two nets: ", "one of the statements is wrong, or the two nets are one"
	switch {
	case !t.Rings && c.A == board.None:
		code, message, help = "S421", places+" do not ring, but are on one net by what rings", "one of the statements is wrong; if this one device has a break there, the reading belongs in its job"
	case !t.Rings:
		code, message, help = "S421", places+" do not ring, but are both on "+netName(at, c.A), "one of the statements is wrong; if this one device has a break there, the reading belongs in its job"
	case c.A == board.None:
		message = places + " ring through, which contradicts what else rings, or does not"
	default:
		message += netName(at, c.A) + " and " + netName(at, c.B)
	}
	d := k.report(b.spot(), diag.Error, code, message, help)
	for _, i := range c.Against {
		also(d, r.blocks[i].spot(), "which contradicts this")
	}
	if t.Rings && c.A != board.None && k.isOwnBoard(at) {
		also(d, k.spot(formNet, netName(at, c.A), ""), "one net")
		also(d, k.spot(formNet, netName(at, c.B), ""), "the other net")
	}
}

func (k *checker) isOwnBoard(b *board.Board) bool { return k.boards[""] == b }
