package isolate

import (
	"cmp"
	"slices"

	"netlore/query/isolate/sequence"
)

// ends is what it costs to mend each fault of the crowd, of the whole case that it
// was made for: the suspects that it stands for are lifted, or cleaned, one after
// the other, the likeliest first, until the short is gone.
func (k *candidates) ends(c *Case, p []float64) []sequence.End {
	each := k.bench.Costs.price(k.bench.Costs.Mend)
	if each == 0 {
		return nil
	}
	all, lifts := make([]sequence.End, len(k.p)), k.lifted()
	for f, members := range k.members(c, p) {
		fault, e := &k.faults[f], &all[f]
		e.By = sequence.None
		if fault.Kind == Single && len(fault.Sites) == 1 {
			if test, ok := lifts[fault.Sites[0].Part]; ok {
				e.By = test
			}
		}
		for i := range fault.Sites {
			e.On |= needs(&fault.Sites[i].Spot)
		}
		e.Mend, e.Vain = mending(members, each*float64(len(fault.Sites)))
	}
	return all
}

// lifted are the tests that lift parts, by part.
func (k *candidates) lifted() map[int]int {
	tests := map[int]int{}
	for i := range k.all {
		if t := &k.all[i]; t.Kind == LiftIt {
			tests[t.Part] = i
		}
	}
	return tests
}

// mending is what it costs to mend suspects, as likely as that, one after the other, until the one that
// is bad is mended, and if none of them is.
func mending(members []float64, each float64) (mend, vain float64) {
	sum := 0.0
	for _, p := range members {
		vain += each
		mend += p * vain
		sum += p
	}
	if sum == 0 {
		return 0, vain
	}
	return mend / sum, vain
}

// members are how likely the suspects are that each fault of the crowd stands for,
// the likeliest first. Nobody mends what is not known.
func (k *candidates) members(c *Case, p []float64) [][]float64 {
	all, at := make([][]float64, len(k.p)), map[[2]int]int{}
	for f := range c.faults {
		crowd := int(k.of[f])
		if c.faults[f].Kind == Elsewhere {
			continue
		}
		key := [2]int{crowd, c.what[f]}
		i, ok := at[key]
		if !ok {
			i = len(all[crowd])
			at[key] = i
			all[crowd] = append(all[crowd], 0)
		}
		all[crowd][i] += p[f]
	}
	for _, list := range all {
		slices.SortFunc(list, func(x, y float64) int { return cmp.Compare(y, x) })
	}
	return all
}
