package sequence

import "iter"

// The base policy takes the test that tells most per cost. What a test costs that
// needs set-ups is not its own alone: after it, others need them no more. So of the
// tests that need the same, some are taken together, and each tells less than the
// one before it, by a factor that stands for what they tell alike.
const (
	together = 5
	less     = .7
)

// bundle is the tests that tell most per cost of those that need the same set-ups.
type bundle struct {
	needs Mode
	setup float64
	best  [together]option // by what they tell for their own cost
	n     int
}

// add puts a test in its place.
func (g *bundle) add(o option) {
	at := g.n
	for at > 0 && o.rate() > g.best[at-1].rate() {
		at--
	}
	if at == together {
		return
	}
	g.n = min(g.n+1, together)
	copy(g.best[at+1:g.n], g.best[at:])
	g.best[at] = o
}

// rate is what the first of the tests tell per cost, of as many as tell most.
func (g *bundle) rate() (best float64) {
	bits, cost, worth := 0.0, g.setup, 1.0
	for _, o := range g.best[:g.n] {
		bits, cost, worth = bits+worth*o.bits, cost+o.pays(o.cost), worth*less
		best = max(best, bits/cost)
		if g.needs == 0 {
			break
		}
	}
	return best
}

// first is the test of the base policy, the first of several.
func (s *search) first(b *Belief, all iter.Seq[option]) (best option, ok bool) {
	s.bundles = s.bundles[:0]
	for o := range all {
		s.bundle(o, b.mode)
	}
	top := float32(0)
	for i := range s.bundles {
		g := &s.bundles[i]
		if rate := float32(g.rate()); rate > top {
			top, best, ok = rate, g.best[0], true
			best.cost += g.setup
		}
	}
	return best, ok
}

// bundle puts a test with those that need the same.
func (s *search) bundle(o option, mode Mode) {
	needs, own := s.missing(o.test, mode), s.problem.Tests[o.test].Cost
	setup := o.cost - own
	o.cost = own
	for i := range s.bundles {
		if s.bundles[i].needs == needs {
			s.bundles[i].add(o)
			return
		}
	}
	s.bundles = append(s.bundles, bundle{needs: needs, setup: setup})
	s.bundles[len(s.bundles)-1].add(o)
}
