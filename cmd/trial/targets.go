package main

import (
	"fmt"
	"math"
)

// noise is by how many standard errors a mean may be beyond what is wanted: less is
// chance in all but one of 700 cases.
const noise = 3

// missed says in what it is not as good as it is to be, beyond chance.
func (t *trial) missed() (all []string) {
	miss := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
	for _, x := range t.tapes {
		if x.solved > 0 && x.took > 1.15*x.least {
			miss("%s: tape and readings alone take %.3f times the tests of the best plans", x.name, x.took/x.least)
		}
		if x.solved < x.devices && x.ratio.of() > 1.3 {
			miss("%s: tape and readings alone take %.3f tests for a bit", x.name, x.ratio.of())
		}
	}
	sure, second := 0, 0
	for _, s := range t.series {
		x := count(s.jobs)
		if x.jobs == 0 || s.factor > 1 {
			continue
		}
		if over := x.planOfListed.of() - x.list.of()/3; over > noise*x.planOfListed.err() {
			miss("%s, %s wrong: %.0f minutes, a third of the list is %.0f", s.name, wrongText(s.wrong), x.planOfListed.of(), x.list.of()/3)
		}
		if len(s.device.Pads) > 0 && -x.saved.of() > noise*x.saved.err() {
			miss("%s, %s wrong: %.0f minutes, by halving %.0f", s.name, wrongText(s.wrong), x.plan.of(), x.half.of())
		}
		sure, second = sure+x.sure, second+x.second
	}
	// Of n that are right with 95 % each, so many are at least.
	if n := float64(sure); float64(second) < .95*n-noise*math.Sqrt(n*.95*.05)-1 {
		miss("of %d jobs in which one suspect is said to be sure, it is first or second in %d", sure, second)
	}
	return all
}
