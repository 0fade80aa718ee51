package isolate

import (
	"math"

	"netlore/store/board"
)

// How much warmth comes through a board to its other side, how often that is
// noticed where it is as warm as what is seen in the open, and how much wider it
// spreads there than it is known to in front: common practice, without a source.
const (
	throughBoard = .05
	noticed      = .25
	spreads      = 3
)

// behind is how likely the warmth of each fault is noticed on the other side of its
// board, if that can be seen: a short under a cover, or between two boards, shows
// there if it shows at all.
func (c *Case) behind(h *Heat, flows []float64) []float64 {
	s := c.rates.sense(h.With)
	chance := noticed * s.seen(h.Feed, throughBoard)
	b := make([]float64, len(flows))
	for f := range b {
		for i := range c.faults[f].Sites {
			x := &c.faults[f].Sites[i]
			if x.there(&h.State) && c.device.IsBackOpen(&x.Spot, &h.State) {
				b[f] = flows[f] * chance
			}
		}
	}
	return b
}

// IsBackOpen reports whether the other side of the board can be seen behind a spot,
// as far as is known: it does not face another board, or the boards are apart.
func (d *Device) IsBackOpen(s *Spot, state *State) bool {
	return s.Side != board.SideUnknown && (s.Inside || state.Apart || !d.CanPart())
}

// matchesBehind is how well what was seen on the other side of the board is a site
// of a fault.
func (c *Case) matchesBehind(f *Fault, h *Heat, radius float64) float64 {
	best := 0.0
	for i := range f.Sites {
		x := &f.Sites[i]
		back := x.Spot
		back.Side = otherSide(back.Side)
		if away := back.away(h.Spot) / (spreads * radius); x.there(&h.State) && !math.IsInf(away, 1) {
			best = max(best, math.Exp(-away*away/2))
		}
	}
	return best
}

func otherSide(s board.Side) board.Side {
	switch s {
	case board.Top:
		return board.Bottom
	case board.Bottom:
		return board.Top
	}
	return board.SideUnknown
}
