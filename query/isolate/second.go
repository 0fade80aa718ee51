package isolate

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// mostTouched is of how many parts that were taken off or replaced it is taken into
// account that another fault was there besides: the last ones.
const mostTouched = 12

// Seconds are the faults of a device whose steps took parts off, or put new ones in
// their place; touched are these in order, renewed those with a new one. Where a
// part was bad and has gone, another fault may be left, and a new part may be bad as
// well:
//
//	weight(p and f) = weight(p) Second weight(f) / Σ weight(f')
//	weight(p and the new p) = weight(p) NewBad
//
// over one part, one bridge or one zone f; and p alone has what that leaves of its
// weight. The parts have to be among those of the device.
func Seconds(all []Fault, touched, renewed []int, p Priors) []Fault {
	touched = lastOf(touched, mostTouched)
	sum := 0.0
	for i := range all {
		if all[i].canBeSecond() {
			sum += all[i].Weight
		}
	}
	var more []Fault
	for k, part := range touched {
		for i := range all {
			if f := &all[i]; f.Kind == Single && f.Sites[0].Part == part {
				more = append(more, f.withSeconds(all, touched[:k], p.Second/sum)...)
				if slices.Contains(renewed, part) {
					more = append(more, f.withNew(p.NewBad))
				}
			}
		}
	}
	for i := range all {
		if f := &all[i]; f.Kind == Single && slices.Contains(touched, f.Sites[0].Part) {
			f.Weight *= max(0, 1-p.Second-ifElse(slices.Contains(renewed, f.Sites[0].Part), p.NewBad, 0))
		}
	}
	return append(all, more...)
}

// lastOf are the last of a list, each once.
func lastOf(list []int, most int) (last []int) {
	for _, x := range slices.Backward(list) {
		if !slices.Contains(last, x) && len(last) < most {
			last = append(last, x)
		}
	}
	slices.Reverse(last)
	return last
}

func (f *Fault) canBeSecond() bool { return f.Kind == Single || f.Kind == Bridge || f.Kind == Zone }

// withSeconds are a part and each other fault, but for those that are paired
// already.
func (f *Fault) withSeconds(all []Fault, paired []int, share float64) (pairs []Fault) {
	part := f.Sites[0].Part
	for i := range all {
		g := &all[i]
		if !g.canBeSecond() || g.Kind == Single && (g.Sites[0].Part == part || slices.Contains(paired, g.Sites[0].Part)) {
			continue
		}
		pairs = append(pairs, Fault{Kind: g.Kind, Pads: g.Pads, Second: i + 1, Sites: []Site{g.Sites[0], f.Sites[0]}, Weight: f.Weight * share * g.Weight})
	}
	return pairs
}

// withNew is a part and the new one in its place.
func (f *Fault) withNew(chance float64) Fault {
	renewed := f.Sites[0]
	renewed.New = true
	return Fault{Kind: Single, Sites: []Site{f.Sites[0], renewed}, Weight: f.Weight * chance}
}

// there reports whether a site is there in a state: a part goes when it is taken
// off, or a new one takes its place.
func (x *Site) there(s *State) bool {
	if x.Part == None {
		return true
	}
	renewed := len(s.New) > 0 && slices.Contains(s.New, x.Part)
	return x.New == renewed && (len(s.Off) == 0 || !slices.Contains(s.Off, x.Part))
}

// left are the sites of a fault that are there in a state.
func (f *Fault) left(s *State) []Site {
	if !slices.ContainsFunc(f.Sites, func(x Site) bool { return !x.there(s) }) {
		return f.Sites
	}
	return slices.DeleteFunc(slices.Clone(f.Sites), func(x Site) bool { return !x.there(s) })
}

// in is a fault as far as it is still to be found in a state; of one that is found
// it is all.
func (f *Fault) in(s *State) Fault {
	left := *f
	if left.Sites = f.left(s); len(left.Sites) == 0 {
		left.Sites = f.Sites
	}
	switch {
	case len(left.Sites) == 0 || left.Sites[0].Part == None:
	case len(left.Sites) == 1:
		left.Kind = Single
	default:
		left.Kind = Several
	}
	return left
}

// key is the same for faults that are one suspect in a state. Number is which of
// all faults it is.
func (f *Fault) key(number int, s *State) string {
	if f.Second > 0 {
		number = f.Second - 1
	}
	var names []string
	rest := f.left(s)
	if len(rest) == 0 && len(f.Sites) > 0 {
		rest = f.Sites
		names = append(names, "found")
	}
	switch f.Kind {
	case Bridge:
		names = append(names, fmt.Sprint("bridge", f.Pads))
	case Zone, Elsewhere:
		names = append(names, fmt.Sprint("fault", number))
	}
	for _, x := range rest {
		if x.Part != None {
			names = append(names, fmt.Sprint("part", x.Part, x.New))
		}
	}
	slices.Sort(names)
	return strings.Join(names, " ")
}

// In is the case of a device in some state: suspects are then what is still to be
// found, and what was found, but is more than one thing, is one.
func (c *Case) In(s State) *Case {
	in := *c
	in.state = s
	in.what = make([]int, 0, len(c.faults))
	of := map[string]int{}
	for i := range c.faults {
		key := c.faults[i].key(i, &s)
		if _, ok := of[key]; !ok {
			of[key] = len(of)
		}
		in.what = append(in.what, of[key])
	}
	in.whats = len(of)
	return &in
}

// Fault is one of the faults, as far as it is still to be found.
func (c *Case) Fault(f int) *Fault {
	left := c.faults[f].in(&c.state)
	return &left
}

// IsFound reports whether nothing of a fault is left in the device.
func (c *Case) IsFound(f int) bool {
	return len(c.faults[f].Sites) > 0 && len(c.faults[f].left(&c.state)) == 0
}

// ahead is the case as far as tests to come go: sites that have gone tell no more,
// and faults that differ in these only are one.
func (c *Case) ahead(s *State) *Case {
	if len(s.Off)+len(s.New) == 0 {
		return c
	}
	all := c.In(*s)
	small := *all
	small.faults, small.what, small.sum, small.seen, small.right = nil, nil, nil, nil, nil
	of := map[string]int{}
	for f, p := range all.Chances() {
		left := all.faults[f].left(s)
		key := fmt.Sprint(all.what[f], all.faults[f].Kind, left)
		n, ok := of[key]
		if !ok {
			n = len(of)
			of[key] = n
			fault := all.faults[f]
			fault.Sites = left
			small.faults = append(small.faults, fault)
			small.what = append(small.what, all.what[f])
			small.sum = append(small.sum, 0)
		}
		small.sum[n] += p
	}
	for n, p := range small.sum {
		small.sum[n] = math.Log(p)
	}
	small.locate()
	return &small
}

// Verdict is whether the parts that were taken off or replaced explain the short.
type Verdict struct {
	// Explained is how likely they do, and nothing more is shorted; Second, how
	// likely one of them was bad and something else is as well.
	Explained, Second float64
	Fault             int // the likeliest that explains all, None if there is none
	Left              int // the likeliest second one, None if there is none
}

// Verdict tells whether what was found explains the short. It reports false if
// nothing was taken off or replaced.
func (c *Case) Verdict() (v Verdict, ok bool) {
	v.Fault, v.Left = None, None
	if len(c.state.Off)+len(c.state.New) == 0 {
		return v, false
	}
	p := c.Chances()
	likelier := func(f, than int) bool { return than == None || cmp.Compare(p[f], p[than]) > 0 }
	for f := range p {
		left := len(c.faults[f].left(&c.state))
		switch {
		case c.IsFound(f):
			v.Explained += p[f]
			if likelier(f, v.Fault) {
				v.Fault = f
			}
		case left < len(c.faults[f].Sites) && c.foundOne(&c.faults[f]):
			v.Second += p[f]
			if likelier(f, v.Left) {
				v.Left = f
			}
		}
	}
	return v, true
}

// foundOne reports whether an old part of a fault has gone.
func (c *Case) foundOne(f *Fault) bool {
	return slices.ContainsFunc(f.Sites, func(x Site) bool { return !x.New && !x.there(&c.state) })
}
