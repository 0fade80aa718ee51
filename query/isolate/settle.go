package isolate

import (
	"context"

	"netlore/query/isolate/sequence"
)

// Settle proposes what tells best for its cost which of two observations that
// conflict was wrong, the best first. It asks of two worlds, that A was right and B
// wrong or the other way round, with the faults as likely as in each,
//
//	P(f | A right) ∝ P(f | seen) right(A, f) (1 - right(B, f))
//
// and so on, how well a test tells them apart. Bits and Mean are of that question.
func (c *Case) Settle(x Conflict, s State, b Bench) ([]Proposal, error) {
	p := c.Chances()
	k := c.candidates(p, s, &b)
	problem := sequence.Problem{Prior: make([]float64, 2), Sure: b.sure(), Bits: worth, Setups: k.setups()}
	var in [2][]float64
	for w, o := range [2][2]int{{x.A, x.B}, {x.B, x.A}} {
		in[w] = make([]float64, len(k.faults))
		for f := range p {
			q := p[f] * c.right[o[0]][f] * (1 - c.right[o[1]][f])
			in[w][k.of[f]] += q
			problem.Prior[w] += q
		}
	}
	for i := range k.all {
		problem.Tests = append(problem.Tests, ofWorlds(&k.all[i].tells, in, problem.Prior))
	}
	planner, err := sequence.New(problem)
	if err != nil {
		return nil, err
	}
	choice := planner.Next(context.Background(), planner.Start(k.mode()), planner.Usual())
	return k.proposals(c, p, choice.Tests), nil
}

// ofWorlds is a test of faults as one of two worlds, in which each fault has some
// weight.
func ofWorlds(t *sequence.Test, in [2][]float64, sums []float64) sequence.Test {
	var p [2][]float64
	for w := range p {
		p[w] = make([]float64, t.Outcomes)
		if sums[w] == 0 {
			p[w][0] = 1
			continue
		}
		for f, x := range in[w] {
			for _, row := range t.Rows[t.Class[f]] {
				p[w][row.Outcome] += x / sums[w] * row.P
			}
		}
		for o := range p[w] {
			p[w][o] = min(p[w][o], 1) // a sum may be beyond it by a rounding
		}
	}
	world := sequence.Dense(t.Cost, p[:])
	world.On = t.On
	return world
}
