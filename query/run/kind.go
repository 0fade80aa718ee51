package run

import (
	"netlore/query/check"
	"netlore/query/words"
	"netlore/store/board"
)

// finding is the answer to a test of one thing, and for Unknown what is
// missing.
type finding struct {
	board.Truth
	why string
}

var (
	yes = finding{Truth: board.True}
	no  = finding{Truth: board.False}
)

func unknown(why string) finding { return finding{board.Unknown, why} }

func known(holds bool) finding {
	if holds {
		return yes
	}
	return no
}

// not is the opposite finding.
func (f finding) not() finding { f.Truth = board.True - f.Truth; return f }

// or is the better of two findings. Of two that are unknown it is the first.
func (f finding) or(g finding) finding {
	if g.Truth > f.Truth {
		return g
	}
	return f
}

// partIs judges whether a part is of a kind. A part of a class may turn out to
// be of a narrower one: a chip, a transceiver.
func (s *site) partIs(id int32, k check.PartKind) finding {
	part := &s.b.Parts[id]
	switch {
	case k.ZeroOhm:
		return isZeroOhm(part)
	case part.Class.Is(k.Class):
		return yes
	case part.Class == board.ClassUnknown:
		return unknown("class not known")
	case k.Class.Is(part.Class):
		return unknown("kind of " + part.Class.String() + " not known")
	}
	return no
}

func isZeroOhm(part *board.Part) finding {
	unit := part.Class.ValueUnit()
	switch {
	case part.Value.Known():
		return known(part.Value.Unit == board.Ohm && part.Value.Coef == 0)
	case unit == board.Ohm || part.Class == board.ClassUnknown:
		return unknown("value not known")
	}
	return no
}

func (s *site) netIs(id int32, k board.NetKind) finding {
	if s.b.Nets[id].Kind == board.NetUnknown {
		return unknown("kind of net not known")
	}
	return known(s.b.Nets[id].Kind == k)
}

func (s *site) coverIs(id int32, k board.CoverKind) finding {
	if s.b.Covers[id].Kind == board.CoverUnknown {
		return unknown("kind of " + s.b.Covers[id].Name + " not known")
	}
	return known(s.b.Covers[id].Kind == k)
}

// onSide judges whether a thing is on a side. What goes through the board is on
// both.
func (s *site) onSide(n words.Noun, id int32, want board.Side) finding {
	switch side := s.side(n, id); side {
	case board.SideUnknown:
		return unknown("side not known")
	case board.BothSides:
		return yes
	default:
		return known(side == want)
	}
}

// is judges whether what an adjective says holds. Hidden and visible are no
// matter of this: they are planned as relations.
func (s *site) is(n words.Noun, id int32, a words.Adjective) finding {
	switch a {
	case words.OnTop:
		return s.onSide(n, id, board.Top)
	case words.OnBottom:
		return s.onSide(n, id, board.Bottom)
	case words.Fitted:
		return known(!s.b.Parts[id].Unfitted)
	case words.Unfitted:
		return known(s.b.Parts[id].Unfitted)
	case words.GroundNet:
		return s.netIs(id, board.Ground)
	case words.PowerNet:
		return s.netIs(id, board.Power)
	case words.SignalNet:
		return s.netIs(id, board.Signal)
	}
	return known(s.readings()[id].Good)
}

// isOneOf judges whether a thing is of one of several kinds.
func (s *site) isOneOf(id int32, parts []check.PartKind, nets []board.NetKind, covers []board.CoverKind) finding {
	f := no
	for _, k := range parts {
		f = f.or(s.partIs(id, k))
	}
	for _, k := range nets {
		f = f.or(s.netIs(id, k))
	}
	for _, k := range covers {
		f = f.or(s.coverIs(id, k))
	}
	return f
}
