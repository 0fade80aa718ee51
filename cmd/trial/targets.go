package main

import (
	"fmt"
	"math"
)

// noise is by how many standard errors a mean may be beyond what is wanted: less is
// chance in all but one of 700 cases.
const noise = 3

// missed says in what it is not as good as it is to be, beyond chance; that it takes as
// long as halving is no chance.
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
	sure, second := map[float64]float64{}, map[float64]float64{} // by how often observations are wrong
	for _, s := range t.series {
		x := count(s.jobs)
		if x.jobs == 0 || s.factor > 1 {
			continue
		}
		if over := x.planOfListed.of() - x.list.of()/3; over > noise*x.planOfListed.err() {
			miss("%s, %s wrong: %.0f minutes, a third of the list is %.0f", s.name, wrongText(s.wrong), x.planOfListed.of(), x.list.of()/3)
		}
		if len(s.device.Pads) > 0 && x.saved.of() <= 0 {
			miss("%s, %s wrong: %.0f minutes, by halving %.0f", s.name, wrongText(s.wrong), x.plan.of(), x.half.of())
		}
		sure[s.wrong] += float64(x.sure)
		second[s.wrong] += float64(x.second)
	}
	for _, wrong := range wrongs {
		// Of n that are right with 95 % each, so many are at least.
		if n := sure[wrong]; second[wrong] < .95*n-noise*math.Sqrt(n*.95*.05)-1 {
			miss("%s wrong: of %.0f jobs in which one suspect is said to be sure, it is first or second in %.0f", wrongText(wrong), n, second[wrong])
		}
	}
	return all
}
