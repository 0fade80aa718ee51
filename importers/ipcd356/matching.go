package ipcd356

import "math"

// matching gives spots to seeds, each to another one, at the least sum of
// square distances: the assignment problem, by the Hungarian method with
// potentials (H. W. Kuhn, 1955). Spots and seeds count from 1 here; 0 is none.
type matching struct {
	spots, seeds []spot
	spotPrice    []int64
	seedPrice    []int64
	holder       []int // by seed: the spot that has it
	from         []int // by seed: the seed before it on the path of least cost
}

// newMatching takes at most as many spots as seeds.
func newMatching(spots, seeds []spot) *matching {
	n, m := len(spots)+1, len(seeds)+1
	return &matching{spots: spots, seeds: seeds, spotPrice: make([]int64, n),
		seedPrice: make([]int64, m), holder: make([]int, m), from: make([]int, m)}
}

// solve returns the seed of each spot, both counted from 0.
func (m *matching) solve() []int {
	for i := range m.spots {
		m.pass(m.search(i + 1))
	}
	seedOf := make([]int, len(m.spots))
	for j, i := range m.holder {
		if j > 0 && i > 0 {
			seedOf[i-1] = j - 1
		}
	}
	return seedOf
}

// search finds the free seed that can be reached from a spot at the least
// cost, where taking a seed from its holder sends that one on.
func (m *matching) search(spot int) int {
	m.holder[0] = spot
	least := make([]int64, len(m.seeds)+1)
	for j := range least {
		least[j] = math.MaxInt64
	}
	done := make([]bool, len(m.seeds)+1)
	at := 0
	for m.holder[at] != 0 {
		done[at] = true
		next, by := m.step(at, least, done)
		for j := range least {
			if done[j] {
				m.spotPrice[m.holder[j]] += by
				m.seedPrice[j] -= by
			} else if least[j] != math.MaxInt64 {
				least[j] -= by
			}
		}
		at = next
	}
	return at
}

// step looks at all seeds from the holder of seed at, and returns the nearest
// that is not done, and how far it is.
func (m *matching) step(at int, least []int64, done []bool) (next int, by int64) {
	spot := m.holder[at]
	by = math.MaxInt64
	for j := 1; j < len(least); j++ {
		if done[j] {
			continue
		}
		if cost := far(m.spots[spot-1], m.seeds[j-1]) - m.spotPrice[spot] - m.seedPrice[j]; cost < least[j] {
			least[j], m.from[j] = cost, at
		}
		if least[j] < by {
			next, by = j, least[j]
		}
	}
	return next, by
}

// pass hands every seed on the path to the free seed at on to the spot before.
func (m *matching) pass(at int) {
	for at != 0 {
		before := m.from[at]
		m.holder[at] = m.holder[before]
		at = before
	}
}
