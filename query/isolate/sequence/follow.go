package sequence

import (
	"cmp"
	"math"
	"slices"
)

// follow is what the base policy costs from a belief, which takes the test that
// tells most per cost. A belief that is come to more seldom than fine is not
// followed; there it is a guess. The test before told so many bits per cost.
func (s *search) follow(b *Belief, reach, fine, rate float64) float64 {
	switch {
	case s.isSure(b):
		return s.end(b)
	case reach < fine:
		return s.guessAt(b, reach, rate)
	}
	key := ""
	if fine == 0 {
		key = s.keyOf(b)
		if cost, ok := s.base[key]; ok {
			return cost
		}
	}
	if !s.spend(s.toRank(b)) {
		return s.guessAt(b, reach, rate)
	}
	first, ok := s.first(b, s.useful(b))
	if !ok {
		return s.end(b)
	}
	cost := s.followThrough(b, first, reach, fine)
	if fine == 0 && !s.stopped {
		s.base[key] = cost
	}
	return cost
}

// followThrough is follow for a given first test.
func (s *search) followThrough(b *Belief, first option, reach, fine float64) float64 {
	cost := first.cost
	s.spend(s.toFollow(b))
	for _, c := range s.children(b, first.test) {
		cost += c.p * s.follow(c.Belief, reach*c.p, fine, first.rate())
	}
	return cost
}

// guess is what the rest will cost: as much a bit as by the base policy from the
// beginning, if that is known, else as by a test that tells so many per cost; and what
// it takes to mend it.
func (s *search) guess(b *Belief, rate float64) float64 {
	missing := Entropy(s.grouped(b))
	if missing <= tiny {
		return s.end(b)
	}
	tests := missing / rate
	if s.pace != nil {
		tests = missing * (s.pace.tests + s.pace.setups*s.toSetUp(b.mode))
	}
	mends, _ := s.mends(b)
	return max(s.floor.cheapest, tests) + mends
}

// guessAt is a guess that is kept in mind as one, by how seldom it is come to.
func (s *search) guessAt(b *Belief, reach, rate float64) float64 {
	cost := s.guess(b, rate)
	s.guessed += reach * cost
	return cost
}

// pace is what each missing bit costs in the mean by the base policy: in tests, and
// in set-ups for each cost of those that are not made.
type pace struct{ tests, setups float64 }

// setPace follows the base policy to a depth, and once more with all set-ups made
// that can be.
func (s *search) setPace(b *Belief, fine float64) {
	missing, toSetUp := Entropy(s.grouped(b)), s.toSetUp(b.mode)
	ready := *b
	for i, u := range s.problem.Setups {
		if !math.IsInf(u.Make, 1) {
			ready.mode |= 1 << i
		}
	}
	mends, _ := s.mends(&ready)
	free := max(s.follow(&ready, 1, fine, 1)-mends, 0)
	p := pace{tests: free / missing}
	if toSetUp > 0 {
		mends, _ := s.mends(b)
		p.setups = max(s.follow(b, 1, fine, 1)-mends-free, 0) / missing / toSetUp
	}
	s.pace = &p
}

// toSetUp is what all set-ups cost that are not made and can be.
func (s *search) toSetUp(mode Mode) (sum float64) {
	for i, u := range s.problem.Setups {
		if mode>>i&1 == 0 && !math.IsInf(u.Make, 1) {
			sum += u.Make
		}
	}
	return sum
}

// look is what the best plan costs that looks some steps ahead: it tries the
// most promising tests at each step, and goes on by the base policy. The test
// before told so many bits per cost.
func (s *search) look(b *Belief, steps int, e Effort, reach, rate float64) float64 {
	if steps == 0 || reach < e.Fine || s.isSure(b) || !s.spend(s.toRank(b)) {
		return s.follow(b, reach, e.Fine, rate)
	}
	few := promising(s.ranked(b), e.Wide)
	if len(few) == 0 {
		return s.end(b)
	}
	best := s.followThrough(b, few[0], reach, e.Fine)
	for _, o := range few {
		if cost := s.lookThrough(b, o, steps, e, reach, best); !s.stopped {
			best = min(best, cost)
		}
	}
	return best
}

// lookThrough is look for plans that begin with a test. It gives up above a limit.
func (s *search) lookThrough(b *Belief, o option, steps int, e Effort, reach, limit float64) float64 {
	cost := o.cost
	s.spend(s.toFollow(b))
	for _, c := range s.children(b, o.test) {
		if cost >= limit || s.stopped {
			return limit
		}
		cost += c.p * s.look(c.Belief, steps-1, e, reach*c.p, o.rate())
	}
	return cost
}

// promising are the tests that tell most per cost, and no two of them that cost
// and tell as much: those mostly split alike.
func promising(ranked []option, wide int) (few []option) {
	for _, o := range ranked {
		if len(few) == wide {
			break
		}
		if last := len(few) - 1; last >= 0 && same(few[last], o) {
			continue
		}
		few = append(few, o)
	}
	return few
}

// preparing are the tests that tell most of those that need set-ups which none of
// some others need, one for all that need the same: for its cost alone none of them
// may be promising, but the tests after it need the set-up no more.
func (s *search) preparing(b *Belief, ranked, others []option, most int) (few []option) {
	for _, o := range ranked {
		needs := s.missing(o.test, b.mode)
		is := func(x option) bool { return s.missing(x.test, b.mode) == needs }
		if slices.ContainsFunc(others, is) || needs == 0 {
			continue
		}
		if i := slices.IndexFunc(few, is); i < 0 {
			few = append(few, o)
		} else if o.bits > few[i].bits {
			few[i] = o
		}
	}
	slices.SortStableFunc(few, func(x, y option) int { return cmp.Compare(y.bits, x.bits) })
	return few[:min(most, len(few))]
}

// missing is what has to be made or undone for a test.
func (s *search) missing(test int, mode Mode) Mode {
	t := &s.problem.Tests[test]
	return t.On&^mode | t.Off&mode
}

func same(a, b option) bool {
	return a.cost == b.cost && a.bits-b.bits <= tiny && b.bits-a.bits <= tiny
}
