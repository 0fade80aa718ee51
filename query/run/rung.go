package run

import (
	"slices"
	"strings"
	"time"

	"netlore/query/trace"
	"netlore/query/words"
	"netlore/store/board"
)

// rung is what touches alone say of the net of a pad or pin; nil if it is stated,
// or nothing is said.
func (s *site) rung(t thing) *board.Rung {
	switch t.noun {
	case words.Pads:
		return s.b.RungPad(board.PadID(t.id))
	case words.Pins:
		return s.b.RungPin(board.PinID(t.id))
	}
	return nil
}

// linkDoubt is why it is not sure that a thing is linked to another: one of them
// rings so that it may be on the net of the other, or a branch is not known.
func (s *site) linkDoubt(a, b thing) string {
	for _, x := range [][2]thing{{a, b}, {b, a}} {
		if why := s.ringDoubt(x[0], s.copperNet(x[1])); why != "" {
			return why
		}
	}
	switch {
	case a.noun == words.Branches && s.copperNet(a) == board.None:
		return "net of branch not known"
	case a.noun == words.Branches:
		return s.whyUnsure(a.id)
	case b.noun == words.Branches:
		return s.whyUnsure(b.id)
	}
	return trace.BranchUnknown
}

// ringDoubt is why it is not sure that a pad, a pin, or a pin of a part is on a net
// on which it rings; "" if it is, or does not.
func (s *site) ringDoubt(t thing, net board.NetID) string {
	r := s.rung(t)
	if t.noun == words.Parts {
		r = s.rungPart(board.PartID(t.id), net)
	}
	if r == nil || !slices.Contains(r.Nets, net) {
		return ""
	}
	return r.Why
}

// copperNet is the net that a net or branch is, or belongs to.
func (s *site) copperNet(t thing) board.NetID {
	if t.noun == words.Nets {
		return board.NetID(t.id)
	}
	if t.noun == words.Branches {
		return s.pieces()[t.id].Net
	}
	return board.None
}

// netBasis is how it is known on which net a pad or pin is.
func netBasis(n words.Noun) look {
	return func(s *site, id int32) fact {
		t := thing{n, id}
		switch r := s.rung(t); {
		case r != nil:
			return stated(rungEvidence(r))
		case s.netOf(t) != board.None:
			return stated("stated")
		}
		return fact{}
	}
}

// rungText is what rings, and by whom that is said or was measured.
func rungText(r *board.Rung) string {
	var all []string
	for i := range r.By {
		all = append(all, touchText(&r.By[i]))
	}
	return strings.Join(all, "; ")
}

// touchText is a touch with its source: "P11 rings to C4407.1, measured by bench-1,
// 2026-03-02".
func touchText(t *board.Touch) string {
	text := t.String() + ","
	if !t.Said {
		text += " measured"
	}
	switch {
	case t.By != "":
		text += " by " + t.By
	case t.Said:
		text += " stated"
	}
	if t.Job != "" {
		text += " in job " + t.Job
	}
	if !t.When.IsZero() {
		text += ", " + t.When.UTC().Format(time.DateOnly)
	}
	return text
}

// rungLines are the statements by which a place rings.
func rungLines(r *board.Rung) []board.Statement {
	if r == nil {
		return nil
	}
	var all []board.Statement
	for i := range r.By {
		all = appendNew(all, r.By[i].Line)
	}
	return all
}

// rungEvidence says that a place rings, and why that may not be enough.
func rungEvidence(r *board.Rung) string {
	if r.Sure {
		return rungText(r)
	}
	return rungText(r) + ": " + r.Why
}

// rungBetween is what touches say of the pad or pin that ties two things, one of
// them a net or branch; nil if a statement ties them.
func (s *site) rungBetween(a, b thing) *board.Rung {
	for _, x := range [][2]thing{{a, b}, {b, a}} {
		net := s.copperNet(x[1])
		if net == board.None {
			continue
		}
		r := s.rung(x[0])
		if x[0].noun == words.Parts && !s.isStatedOn(board.PartID(x[0].id), net) {
			r = s.rungPart(board.PartID(x[0].id), net)
		}
		if r != nil && slices.Contains(r.Nets, net) {
			return r
		}
	}
	return nil
}

// isStatedOn reports whether a pin of a part is stated to be on a net.
func (s *site) isStatedOn(part board.PartID, net board.NetID) bool {
	first, last := s.b.PinsOf(part)
	for pin := first; pin < last; pin++ {
		if s.b.Pins[pin].Net == net && s.b.RungPin(pin) == nil {
			return true
		}
	}
	return false
}

// rungPart is what touches say of a pin of a part and a net; nil if nothing.
func (s *site) rungPart(part board.PartID, net board.NetID) *board.Rung {
	first, last := s.b.PinsOf(part)
	for pin := first; pin < last; pin++ {
		if r := s.b.RungPin(pin); r != nil && slices.Contains(r.Nets, net) {
			return r
		}
	}
	return nil
}
