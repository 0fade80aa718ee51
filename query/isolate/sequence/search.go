package sequence

import (
	"cmp"
	"context"
	"encoding/binary"
	"math"
	"slices"
)

// search is a look for a plan that is under way.
type search struct {
	*scratch
	ctx     context.Context
	weighed int // states looked at by a test
	budget  int // and how many may be
	stopped bool
	known   map[string]bound
	base    map[string]float64 // what the base policy costs
	pace    *pace
	guessed float64 // how much of what was found is a guess
	key     []byte
	at      []int // of each outcome, its child
	groups  []group
	weights weights
	bundles []bundle
	order   []int // in which states are mended
	// negligible is how much weight all states may have together that are left out
	// of a belief, each of them less than its share.
	negligible float64
}

// bound is what is known of the least cost from a belief: it is Low, or no less.
type bound struct {
	low   float64
	exact bool
}

func (pl *Planner) newSearch(ctx context.Context) *search {
	return &search{scratch: pl.newScratch(), ctx: ctx, known: map[string]bound{}, base: map[string]float64{}, at: make([]int, pl.classes)}
}

// What is done with a belief, in states looked at by a test: all tests are ranked,
// or one is followed to its outcomes, which takes about as long as ten.
func (s *search) toRank(b *Belief) int   { return len(b.states) * len(s.problem.Tests) }
func (s *search) toFollow(b *Belief) int { return len(b.states) * 10 }

// spend counts work, and reports whether there is enough left for it.
func (s *search) spend(states int) bool {
	before := s.weighed
	s.weighed += states
	if s.weighed > s.budget || s.weighed>>16 != before>>16 && s.ctx.Err() != nil {
		s.stopped = true
	}
	return !s.stopped
}

// keyOf is the same for beliefs from which all costs are the same. Where tests
// are exact, what states are left says how likely each is.
func (s *search) keyOf(b *Belief) string {
	s.key = binary.LittleEndian.AppendUint64(s.key[:0], uint64(b.mode))
	for i, state := range b.states {
		s.key = binary.LittleEndian.AppendUint32(s.key, uint32(state))
		if !s.exact {
			s.key = binary.LittleEndian.AppendUint64(s.key, uint64(b.w[i]/tiny+0.5))
		}
	}
	s.key = append(s.key, 0xff)
	for _, word := range b.made {
		s.key = binary.LittleEndian.AppendUint64(s.key, word)
	}
	return string(s.key)
}

// child is a belief after an outcome.
type child struct {
	*Belief
	p   float64
	low float64 // what it costs from there at least
	sum float64 // of its weights
}

// whole brings the weights to the sum of 1.
func (c *child) whole() {
	for i := range c.w {
		c.w[i] /= c.sum
	}
}

// children are the beliefs after the outcomes of a test that can come.
func (s *search) children(b *Belief, test int) []child {
	t := &s.problem.Tests[test]
	s.information(b, test)
	all, at := s.rooms(b, t)
	for i, state := range b.states {
		for _, c := range t.Rows[t.Class[state]] {
			if s.out[c.Outcome] <= 0 {
				continue // too small a number
			}
			n := &all[at[c.Outcome]]
			if w := b.w[i] * c.P / n.p; w >= s.negligible/float64(len(b.states)) {
				n.states, n.w = append(n.states, state), append(n.w, w)
				n.sum += w
			}
		}
	}
	made := b.made
	if s.isKept(test) {
		made = b.withMade(test, len(s.problem.Tests))
	}
	for i := range all {
		all[i].made = made
		if s.negligible > 0 {
			all[i].whole()
		}
	}
	return all
}

// rooms are beliefs without states yet, one for each outcome that can come, with
// room for all states that are possible then; and of each outcome, which is its.
func (s *search) rooms(b *Belief, t *Test) (all []child, at []int) {
	at = s.at[:t.Outcomes]
	clear(at)
	sum := 0
	for _, state := range b.states {
		for _, c := range t.Rows[t.Class[state]] {
			at[c.Outcome]++
			sum++
		}
	}
	states, w := make([]int32, sum), make([]float64, sum)
	all = make([]child, 0, 2)
	for o, p := range s.out[:t.Outcomes] {
		n := at[o]
		if at[o] = len(all); p > 0 {
			all = append(all, child{Belief: &Belief{mode: b.mode&^t.Off | t.On, states: states[:0:n], w: w[:0:n]}, p: p})
		}
		states, w = states[n:], w[n:]
	}
	return all, at
}

// ranked are the useful tests, those that tell most per cost first.
func (s *search) ranked(b *Belief) []option {
	all := slices.Collect(s.useful(b))
	slices.SortStableFunc(all, func(x, y option) int { return cmp.Compare(y.order(), x.order()) })
	return all
}

// telling are those that tell some part of what is missing, all of them if none does.
func (s *search) telling(b *Belief, part float64) []option {
	all := s.ranked(b)
	least := part * b.Entropy()
	few := slices.DeleteFunc(slices.Clone(all), func(o option) bool { return o.bits < least })
	if len(few) == 0 {
		return all
	}
	return few
}

// solve is the least cost from a belief, if that is below a limit. Else it is no
// more than the least cost, and no less than the limit.
func (s *search) solve(b *Belief, limit float64) float64 {
	if s.isSure(b) {
		return s.end(b)
	}
	key := s.keyOf(b)
	have, seen := s.known[key]
	if seen && (have.exact || have.low >= limit) {
		return have.low
	}
	if !s.spend(s.toRank(b)) {
		return math.Inf(1)
	}
	tests := s.ranked(b)
	if len(tests) == 0 {
		end := s.end(b)
		s.known[key] = bound{end, true}
		return end
	}
	least := max(s.least(b), have.low)
	found := bound{least, false}
	if least < limit {
		found = s.best(b, tests, limit, least)
	}
	if !s.stopped {
		s.known[key] = found
	}
	return found.low
}

// best looks at each test in turn.
func (s *search) best(b *Belief, tests []option, limit, least float64) bound {
	found, lowest := limit, math.Inf(1)
	for _, o := range tests {
		cost := s.through(b, o, found)
		if cost < found {
			found = cost
		}
		lowest = min(lowest, cost)
		if found <= least*(1+tiny) || s.stopped {
			break
		}
	}
	if found < limit {
		return bound{found, true}
	}
	return bound{max(lowest, least), false}
}

// through is solve for plans that begin with a test.
func (s *search) through(b *Belief, o option, limit float64) float64 {
	cost := o.cost
	if cost >= limit {
		return cost
	}
	if !s.spend(s.toFollow(b)) {
		return math.Inf(1)
	}
	children := s.children(b, o.test)
	for i := range children {
		c := &children[i]
		c.low = s.lowOf(c.Belief)
		cost += c.p * c.low
	}
	for i := range children {
		c := &children[i]
		if cost >= limit {
			return cost
		}
		rest := cost - c.p*c.low
		cost = rest + c.p*s.solve(c.Belief, (limit-rest)/c.p)
		if s.stopped {
			return math.Inf(1)
		}
	}
	return cost
}

// lowOf is what a belief costs at least, as far as that is known.
func (s *search) lowOf(b *Belief) float64 {
	if s.isSure(b) {
		return s.end(b)
	}
	if have, ok := s.known[s.keyOf(b)]; ok {
		return have.low
	}
	return s.least(b)
}
