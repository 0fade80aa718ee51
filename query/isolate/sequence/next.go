package sequence

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// Effort is how hard to look for a plan. Work is counted in states looked at by a
// test, each of which takes some 2 ns.
type Effort struct {
	Exact int // work for the best plan there is; 0 for none
	Ahead int // steps looked ahead before the base policy goes on; at least 1
	Wide  int // tests tried at each of them; at least 1
	Work  int // for looking ahead
	// Fine is how seldom a belief is come to that the base policy is not
	// followed beyond; 0 is all of them, for small problems without repeats. Else
	// it is where the look ahead begins, which grows finer, for fewer and fewer
	// tests, until the work is done.
	Fine float64
	// Part is how much of the bits that are missing a test tells at least that comes
	// first, where Fine is above 0 and there is one: nobody likes to be sent for next
	// to nothing, be it ever so cheap.
	Part float64
}

// Usual is the effort for a problem: all of it where that is quick, else a look
// ahead that grows finer for as long as there is time. It is meant to take less than
// 0.1 s.
func (pl *Planner) Usual() Effort {
	const work = 6_000_000
	beliefs := work / float64(len(pl.problem.Prior)*len(pl.problem.Tests)+1000)
	e := Effort{Ahead: 2, Wide: 8, Work: work, Exact: work / 2}
	if pl.exact && beliefs > 5000 {
		return e
	}
	e.Fine, e.Part = .1, .02
	if beliefs < 1000 {
		e.Exact = 0 // it would not come to an end
	}
	return e
}

// Ranked is a test and what all costs in the mean if it comes first.
type Ranked struct {
	Test int
	Bits float64 // that it tells in the mean
	Cost float64 // its own, set-ups included
	Mean float64 // of all until nothing is left to ask
}

// Choice is what to do next.
type Choice struct {
	Tests []Ranked // that were looked into, the best first; none if nothing is left to ask
	Mean  float64  // mean cost of the plan that begins with the first of them
	Least float64  // no plan costs less
	Exact bool     // the plan is the best there is: Mean is Least
	// Partial says that the work stopped before all was looked into that was
	// meant to be, by the context or by the Work of the effort.
	Partial bool
	Work    int // states looked at by a test
}

// Next is the test to make next. If the context ends, it is the best that was
// found until then, and said to be partial.
func (pl *Planner) Next(ctx context.Context, b *Belief, e Effort) Choice {
	s := pl.newSearch(ctx)
	if s.isDone(b) {
		end := s.end(b)
		return Choice{Mean: end, Least: end, Exact: true}
	}
	if e.Fine > 0 {
		s.negligible = .03
		s.budget = e.Work / 4
		s.setPace(b, e.Fine/4)
		s.stopped = false
	}
	s.budget = e.Work
	var c Choice
	if e.Fine > 0 {
		c = s.refine(b, e)
	} else {
		c = s.rollout(b, e)
	}
	c.Partial = s.stopped
	c.Least = min(s.least(b), c.Mean)
	c.Work = s.weighed
	if c.Mean <= c.Least*(1+tiny) && e.Fine == 0 {
		c.Exact, c.Least = !c.Partial, c.Mean
	} else if e.Exact > 0 && ctx.Err() == nil {
		s.prove(b, e, &c)
	}
	return c
}

// rollout looks ahead from each promising test.
func (s *search) rollout(b *Belief, e Effort) (c Choice) {
	for _, o := range promising(s.ranked(b), max(e.Wide, 1)) {
		mean := s.lookThrough(b, o, max(e.Ahead, 1), e, 1, math.Inf(1))
		if s.stopped && len(c.Tests) > 0 {
			break
		}
		if math.IsInf(mean, 1) {
			mean = o.cost + s.guess(b, o.rate())
		}
		c.Tests = append(c.Tests, Ranked{o.test, o.bits, o.cost, mean})
	}
	slices.SortStableFunc(c.Tests, func(x, y Ranked) int { return cmp.Compare(x.Mean, y.Mean) })
	c.Mean = c.Tests[0].Mean
	return c
}

// finer is by how much the look ahead grows finer each time.
const finer = 3

// contender is a test that may come first.
type contender struct {
	option
	mean    float64
	guessed float64 // how much of the mean is a guess
	base    bool    // the base policy takes it
}

// doubtful is what it costs if nothing speaks for it but what was followed. What the
// base policy takes has the benefit of the doubt.
func (c *contender) doubtful() float64 {
	if c.base {
		return c.mean
	}
	return c.mean + c.guessed
}

// refine looks ahead from each promising test, from all of them as far; then from
// the better half of them again, further, and so on. What the base policy takes
// stays among them.
func (s *search) refine(b *Belief, e Effort) (c Choice) {
	all := s.contenders(b, e)
	for left := len(all); left > 0 && !s.stopped; left = (left + 1) / 2 {
		s.again(b, e, all[:left])
		if e.Fine /= finer; left == 1 {
			break
		}
	}
	for _, x := range all {
		c.Tests = append(c.Tests, Ranked{x.test, x.bits, x.cost, x.mean})
	}
	c.Mean = c.Tests[0].Mean
	return c
}

// contenders are what the base policy takes, the promising tests, and those that
// prepare for others.
func (s *search) contenders(b *Belief, e Effort) (all []contender) {
	wide := max(e.Wide, 2)
	ranked := s.telling(b, e.Part)
	first, _ := s.first(b, slices.Values(ranked))
	few := []option{first}
	for _, o := range promising(ranked, wide) {
		if !same(o, first) {
			few = append(few, o)
		}
	}
	few = append(few, s.preparing(b, ranked, few, wide/2)...)
	for i, o := range few {
		mean := o.cost + s.guess(b, o.rate())
		all = append(all, contender{option: o, mean: mean, guessed: mean, base: i == 0})
	}
	return all
}

// again looks ahead from some tests, and brings them in order unless it was
// stopped before the last of them.
func (s *search) again(b *Belief, e Effort, all []contender) {
	next := slices.Clone(all)
	for i := range next {
		x := &next[i]
		s.guessed = 0
		x.mean = s.lookThrough(b, x.option, 1, e, 1, math.Inf(1))
		if x.guessed = s.guessed; s.stopped {
			return
		}
	}
	slices.SortStableFunc(next, func(x, y contender) int { return cmp.Compare(x.doubtful(), y.doubtful()) })
	copy(all, next)
	// Only the first half is looked at again.
	half := (len(all) + 1) / 2
	if i := slices.IndexFunc(all, func(x contender) bool { return x.base }); i >= half {
		base := all[i]
		copy(all[half:i+1], all[half-1:i])
		all[half-1] = base
	}
}

// prove looks for the best plan there is.
func (s *search) prove(b *Belief, e Effort, c *Choice) {
	s.weighed, s.budget, s.stopped, s.negligible = 0, e.Exact, false, 0
	limit := math.Inf(1)
	if e.Fine == 0 && !c.Partial {
		limit = c.Mean * (1 - tiny)
	}
	var best option
	found := limit
	for _, o := range s.ranked(b) {
		if cost := s.through(b, o, found); cost < found {
			best, found = o, cost
		}
		if s.stopped {
			break
		}
	}
	c.Work += s.weighed
	if s.ctx.Err() != nil {
		c.Partial = true
	}
	c.Exact = !s.stopped
	if found < limit && (c.Exact || found < c.Mean) {
		c.put(Ranked{best.test, best.bits, best.cost, found})
	}
	if c.Exact {
		c.Partial, c.Least = false, c.Mean
	}
}

// put makes a test the first.
func (c *Choice) put(r Ranked) {
	c.Tests = slices.DeleteFunc(c.Tests, func(x Ranked) bool { return x.Test == r.Test })
	c.Tests = slices.Insert(c.Tests, 0, r)
	c.Mean = r.Mean
}
