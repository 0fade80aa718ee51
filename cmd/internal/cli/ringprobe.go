package cli

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"netlore/query/ring"
	"netlore/store/board"
)

// probes are where the two probes go: on a net, the place that is nearest to the
// other probe, on its side and under no cover if there is one.
func (s *ringSite) probes(p ring.Proposal) (a, b spot) {
	a = s.places[p.A-len(s.nets)]
	if p.B >= len(s.nets) {
		return a, s.places[p.B-len(s.nets)]
	}
	var all []spot
	for _, id := range s.b.PadsOn(board.NetID(p.B)) {
		all = append(all, s.padSpot(id))
	}
	for _, id := range s.b.PinsOn(board.NetID(p.B)) {
		all = append(all, s.pinSpot(id))
	}
	best, worst, far := all[0], math.MaxInt, 0.0
	for _, x := range all {
		trouble, d := s.trouble(x, a), s.between(x, a)
		if trouble < worst || trouble == worst && d < far {
			best, worst, far = x, trouble, d
		}
	}
	return a, best
}

// trouble is how much is in the way of a probe while the other is at a: a cover
// is more than the other side of the board, no place at all the most.
func (s *ringSite) trouble(x, a spot) int {
	side, _, placed := s.at(x)
	other, _, _ := s.at(a)
	switch {
	case !placed:
		return 3
	case s.covered(x):
		return 2
	case side != other && side != board.BothSides && other != board.BothSides:
		return 1
	}
	return 0
}

// between is how far apart two places are, in micrometres.
func (s *ringSite) between(x, y spot) float64 {
	_, p, ok := s.at(x)
	_, q, also := s.at(y)
	if !ok || !also {
		return 0
	}
	return math.Hypot(float64(p.X)-float64(q.X), float64(p.Y)-float64(q.Y))
}

// at is where a probe goes: a pin without a place is where its part is.
func (s *ringSite) at(x spot) (board.Side, board.Point, bool) {
	if x.kind == board.OnPad {
		pad := &s.b.Pads[x.pad]
		return pad.Side, pad.At, pad.Placed
	}
	pin := &s.b.Pins[x.pin]
	if pin.Placed {
		return pin.Side, pin.At, true
	}
	part := &s.b.Parts[pin.Part]
	return part.Side, part.At, part.Placed
}

func (s *ringSite) covered(x spot) bool {
	return slices.ContainsFunc(s.lids, func(l *board.Lid) bool {
		if x.kind == board.OnPad {
			return l.OverPad(x.pad).Truth == board.True
		}
		return l.OverPin(x.pin).Truth == board.True
	})
}

// where is the place of a probe in words: "bottom at 17.66,34.88 in IP1, beside
// C4407".
func (s *ringSite) where(x spot) string {
	side, at, placed := s.at(x)
	if !placed {
		return "place not known"
	}
	text := fmt.Sprintf("%s at %s,%s", side, millimetres(at.X), millimetres(at.Y))
	if x.kind == board.OnPad && s.b.Pads[x.pad].Group != "" {
		text += " in " + s.b.Pads[x.pad].Group
	}
	if beside := s.beside(x); beside != "" {
		text += ", beside " + beside
	}
	if s.covered(x) {
		text += ", under a cover"
	}
	return text
}

func millimetres(um int32) string { return strconv.FormatFloat(float64(um)/1000, 'f', -1, 64) }

// beside is the nearest part on the same side, other than its own.
func (s *ringSite) beside(x spot) string {
	side, at, _ := s.at(x)
	name, near := "", 10_000.0
	for i := range s.b.Parts {
		p := &s.b.Parts[i]
		if !p.Placed || p.Side != side || x.kind == board.OnPin && s.b.Pins[x.pin].Part == board.PartID(i) {
			continue
		}
		if d := math.Hypot(float64(p.At.X)-float64(at.X), float64(p.At.Y)-float64(at.Y)); d < near {
			name, near = p.Name, d
		}
	}
	return name
}
