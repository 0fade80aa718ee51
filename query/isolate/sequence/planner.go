package sequence

import (
	"iter"
	"math"
)

// tiny is less information, in bits, or probability than counts.
const tiny = 1e-12

// Planner is a problem made ready. Any number of goroutines may use it.
type Planner struct {
	problem Problem
	sure    float64
	facts   []fact // of each test
	exact   bool   // no test errs
	classes int    // most rows and most outcomes of a test
	floor   floor
}

// fact is what is worked out of a test once.
type fact struct {
	exact   bool
	entropy []float64 // of each row
	mends   []int32   // states
}

// New makes a problem ready. What is wrong with it is an *InvalidError.
func New(p Problem) (*Planner, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	pl := &Planner{problem: p, sure: p.Sure, exact: true, facts: make([]fact, len(p.Tests))}
	if pl.sure == 0 {
		pl.sure = 1
	}
	for i := range p.Tests {
		t := &p.Tests[i]
		f := fact{exact: t.isExact()}
		for _, row := range t.Rows {
			f.entropy = append(f.entropy, rowEntropy(row))
		}
		pl.facts[i] = f
		pl.exact = pl.exact && f.exact
		pl.classes = max(pl.classes, len(t.Rows), t.Outcomes)
	}
	for state := range p.Ends {
		if by := p.Ends[state].By; by != None {
			pl.facts[by].mends = append(pl.facts[by].mends, int32(state))
		}
	}
	pl.floor = pl.newFloor()
	return pl, nil
}

func rowEntropy(row []Chance) (h float64) {
	for _, c := range row {
		h -= xlgx(c.P)
	}
	return h
}

// Start is the belief before any test, with some set-ups made.
func (pl *Planner) Start(mode Mode) *Belief {
	b := &Belief{mode: mode}
	for s := range pl.problem.Prior {
		b.states = append(b.states, int32(s))
	}
	b.w = pl.problem.Prior
	start, err := b.after(func(int32) float64 { return 1 })
	if err != nil {
		return b // cannot be: New has looked at the weights
	}
	return start
}

// Cost is what a test costs from a mode, with what it takes to set up. It is
// +Inf if that cannot be done.
func (pl *Planner) Cost(test int, mode Mode) float64 {
	t := &pl.problem.Tests[test]
	cost := t.Cost
	for i, missing := 0, t.On&^mode; missing != 0; i, missing = i+1, missing>>1 {
		if missing&1 == 1 {
			cost += pl.problem.Setups[i].Make
		}
	}
	for i, there := 0, t.Off&mode; there != 0; i, there = i+1, there>>1 {
		if there&1 == 1 {
			cost += pl.problem.Setups[i].Undo
		}
	}
	return cost
}

// After is the belief after an outcome of a test. It is ErrImpossible if the
// outcome comes in none of the states that are left.
func (pl *Planner) After(b *Belief, test, outcome int) (*Belief, error) {
	t := &pl.problem.Tests[test]
	n, err := b.after(func(s int32) float64 { return t.p(outcome, s) })
	if err != nil {
		return nil, err
	}
	n.mode = b.mode&^t.Off | t.On
	if pl.isKept(test) {
		n.made = b.withMade(test, len(pl.problem.Tests))
	}
	return n, nil
}

// Prospect is what a test is expected to do.
type Prospect struct {
	Bits     float64   // that it tells in the mean
	Cost     float64   // set-ups included
	Outcomes []float64 // how likely each is
}

// Try tells what a test is expected to do, whether or not it was made before.
func (pl *Planner) Try(b *Belief, test int) Prospect {
	s := pl.newScratch()
	bits := s.information(b, test)
	out := append([]float64(nil), s.out[:pl.problem.Tests[test].Outcomes]...)
	return Prospect{bits, pl.Cost(test, b.mode), out}
}

// IsDone reports whether nothing more is asked: one state is sure, or no test
// that can be made tells anything.
func (pl *Planner) IsDone(b *Belief) bool { return pl.newScratch().isDone(b) }

func (pl *Planner) isSure(b *Belief) bool {
	_, p := b.Top()
	return p >= pl.sure-tiny
}

// scratch is room to work in, for one goroutine.
type scratch struct {
	*Planner
	mass, out []float64
}

func (pl *Planner) newScratch() *scratch {
	return &scratch{pl, make([]float64, pl.classes), make([]float64, pl.classes)}
}

// information is what a test tells in the mean. It leaves in out how likely each
// outcome is.
func (s *scratch) information(b *Belief, test int) float64 {
	t := &s.problem.Tests[test]
	mass, out := s.mass[:len(t.Rows)], s.out[:t.Outcomes]
	clear(mass)
	clear(out)
	for i, state := range b.states {
		mass[t.Class[state]] += b.w[i]
	}
	noise := 0.0
	for r, m := range mass {
		if m == 0 {
			continue
		}
		noise += m * s.facts[test].entropy[r]
		for _, c := range t.Rows[r] {
			out[c.Outcome] += m * c.P
		}
	}
	return max(Entropy(out)-noise, 0)
}

// option is a test that can be made and tells something.
type option struct {
	test       int
	bits, cost float64
	spares     float64 // what mending would cost that it mends, in the mean
}

// rate is what it tells per cost.
func (o option) rate() float64 { return o.bits / o.pays(o.cost) }

// pays is what is paid of a cost for what is told: what has to be mended in the end
// is no cost of the test that mends it. But nothing comes for next to nothing.
func (o option) pays(cost float64) float64 { return max(cost-o.spares, cost/20) }

// order is the rate without its last digits, so that rounding does not decide
// which of several like tests comes first.
func (o option) order() float32 { return float32(o.rate()) }

// useful are the tests that can be made and tell something, in order.
func (s *scratch) useful(b *Belief) iter.Seq[option] {
	return func(yield func(option) bool) {
		for i := range s.problem.Tests {
			if b.isMade(i) {
				continue
			}
			bits := s.information(b, i)
			if bits <= max(s.problem.Bits, tiny) {
				continue
			}
			if cost := s.Cost(i, b.mode); !math.IsInf(cost, 1) && !yield(option{i, bits, cost, s.spares(b, i)}) {
				return
			}
		}
	}
}

// isKept reports whether it is kept in mind that a test was made.
func (pl *Planner) isKept(test int) bool {
	f := &pl.facts[test]
	return !f.exact && !pl.problem.Tests[test].Repeats || len(f.mends) > 0
}

// isDone reports whether nothing more is asked.
func (s *scratch) isDone(b *Belief) bool {
	if s.isSure(b) {
		return true
	}
	for range s.useful(b) {
		return false
	}
	return true
}
