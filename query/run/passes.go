package run

import (
	"netlore/query/check"
	"netlore/query/trace"
	"netlore/store/board"
)

// passes judges whether a trace goes through a part, and what is known of its
// resistance.
func (s *site) passes(part board.PartID, passes []check.Pass) trace.Pass {
	best := trace.Pass{Truth: board.False, Ohms: s.ohms(part)}
	for _, p := range passes {
		f := s.passesAs(part, p)
		if f.Truth > best.Truth {
			best.Truth, best.Why = f.Truth, f.why
		}
		best.Inside = best.Inside || p.Any && !p.Below.Known()
	}
	return best
}

func (s *site) passesAs(part board.PartID, p check.Pass) finding {
	f := yes
	if !p.Any {
		f = s.partIs(int32(part), p.Kind)
	}
	if f.Truth == board.False || !p.Below.Known() {
		return f
	}
	return f.and(s.resists(part, p))
}

// resists judges whether the resistance of a part is within a bound. Nothing
// flows for long through a capacitor or crystal.
func (s *site) resists(part board.PartID, p check.Pass) finding {
	x := &s.b.Parts[part]
	switch {
	case x.Class.Is(board.Capacitor), x.Class.Is(board.Crystal):
		return no
	case !isResistance(x):
		return unknown("resistance not known")
	}
	c := x.Value.Compare(p.Below)
	return known(c < 0 || c == 0 && p.AtMost)
}

// isResistance reports whether the value of a part is its resistance. That of a
// bead is its impedance at high frequency.
func isResistance(x *board.Part) bool {
	return x.Value.Known() && x.Value.Unit == board.Ohm && !x.Class.Is(board.Bead)
}

// ohms is what is known of the resistance of a part. Coils, beads and fuses are
// there to have little, though how little is not stated (common practice, no
// source).
func (s *site) ohms(part board.PartID) trace.Ohms {
	const most = 1e18
	x := &s.b.Parts[part]
	switch {
	case isResistance(x):
		return trace.Ohms{MicroOhm: int64(min(x.Value.Float()*1e6+0.5, most)), Exact: true}
	case x.Class.Is(board.Inductor), x.Class.Is(board.Bead), x.Class.Is(board.Fuse), x.Class.Is(board.Jumper):
		return trace.Ohms{}
	}
	return trace.Ohms{Opaque: true}
}

// and is the worse of two findings. Of two that are unknown it is the first.
func (f finding) and(g finding) finding {
	if g.Truth < f.Truth {
		return g
	}
	return f
}
