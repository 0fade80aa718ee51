package trace

import "netlore/store/board"

// join adds a join whose pads are both known to be on a net.
func (w *weaver) join(j board.Join) {
	a, at := w.joined(j.A)
	b, bt := w.joined(j.B)
	if at == None || bt == None {
		return
	}
	t := w.tie(Tie{Sure: true, Ohms: Ohms{Exact: true}}, Crossing{Part: board.None, A: a, B: b, Via: j.Via}, at, bt)
	w.ofPad[a] = append(w.ofPad[a], t)
	w.ofPad[b] = append(w.ofPad[b], t)
}

// joined is the pad of a join and its place, which is None if there is none.
func (w *weaver) joined(e board.JoinEnd) (Pad, Place) {
	p := w.End(e)
	if p.ID == board.None {
		return p, None
	}
	return p, w.pads[p.Member][p.ID]
}

// End is the pad of an end of a join; its ID is board.None if there is none.
func (s *Supply) End(e board.JoinEnd) Pad {
	for i, m := range s.members {
		if m.Role != e.Role || m.Role == "" {
			continue
		}
		if id := m.Board.FindPad(e.Pad); id != board.None {
			return Pad{i, id}
		}
	}
	return Pad{ID: board.None}
}

// outsideOf ties the frame pads of a board that is asked alone to what lies
// outside, one place for each net: nothing is known of it but that a supply may
// come from there.
func (w *weaver) outsideOf(member int) {
	for pad := range w.ofPad {
		if pad.Member == member {
			return
		}
	}
	b := w.members[member].Board
	for i := range b.Nets {
		w.leadOut(member, b.PadsOn(board.NetID(i)))
	}
	for _, r := range b.Rungs() {
		if r.Pad != board.None && !r.Sure {
			w.leadOut(member, []board.PadID{r.Pad})
		}
	}
}

// leadOut ties the frame pads among some that are on one net to what lies outside.
func (w *weaver) leadOut(member int, pads []board.PadID) {
	out := Place(None)
	for _, id := range pads {
		if w.members[member].Board.Pads[id].Group == "" || w.pads[member][id] == None {
			continue
		}
		if out == None {
			w.places = append(w.places, Copper{member, board.None, board.None})
			out = w.build.Add(Stops)
			w.outside = append(w.outside, out)
		}
		pad := Pad{member, id}
		t := w.tie(Tie{Sure: true, Ohms: Ohms{Exact: true}}, Crossing{Part: board.None, A: pad, B: Pad{None, None}}, w.pads[member][id], out)
		w.ofPad[pad] = append(w.ofPad[pad], t)
	}
}
