package play

import (
	"context"
	"fmt"
	"slices"

	"netlore/query/isolate"
	"netlore/query/trace"
)

// Outcome is what came of a job.
type Outcome struct {
	Tests   int
	Minutes float64 // until it is repaired, harm included

	// When no test was left to make for the first time:
	Sure  bool // one suspect was said to be sure
	Place int  // that of what is bad among the suspects, from 0

	Said []Said // before each test, and at the end
}

// Said is what was said of the suspects at some time.
type Said struct {
	True    float64   // the chance of what is bad
	Entropy float64   // in bits
	Brier   float64   // Σ (p - is)² over all suspects
	Chances []float64 // of all suspects of at least Told, the likeliest first
	Is      int       // which of Chances is that of what is bad, -1 if none
}

// Told is the least chance that is kept of what was said.
const Told = .01

// most is how many tests a job may take; none comes near it.
const most = 100

// Job is a job on a bench.
type Job struct {
	*Bench
	Case    *isolate.Case
	Bad     int // the fault of the case that is true
	Costs   isolate.Costs
	Chooser *Chooser
}

// job is one that is under way.
type job struct {
	*Job
	at    *isolate.Case
	state isolate.State
	path  string
	tried map[int]bool // suspects, by their first fault
	out   Outcome
}

// Play plays a job until what is bad is repaired: it makes the tests that are
// chosen, then repairs the likeliest suspect; if that was not it, it goes on.
func (j *Job) Play(ctx context.Context) (Outcome, error) {
	p := &job{Job: j, at: j.Case, tried: map[int]bool{}}
	p.observe(p.Answer(&isolate.Test{Kind: isolate.FeedIt, At: j.Source}))
	stopped := false
	for !p.isRepaired() {
		test, err := j.Chooser.choose(ctx, p.at, p.state, p.path)
		if err == nil {
			err = ctx.Err()
		}
		if err != nil {
			return p.out, err
		}
		if !stopped {
			p.say()
		}
		if test != nil && p.out.Tests < most {
			p.make(test)
			continue
		}
		if !stopped {
			stopped = true
			p.stop()
		}
		if !p.repair() {
			break // what is bad is in no list
		}
	}
	if !stopped { // a part was lifted for a test, and it was the one
		p.say()
		p.stop()
	}
	return p.out, nil
}

func (p *job) observe(o isolate.Observation) {
	p.at = p.at.With(o)
	switch o := o.(type) {
	case *isolate.Heat:
		p.path += fmt.Sprintf("%v %d %.3f %.3f;", o.Seen, o.Part, o.Spot.X, o.Spot.Y)
	case *isolate.Stain:
		p.path += fmt.Sprint(o.Seen, ";")
	case *isolate.Short:
		p.path += fmt.Sprint(o.Seen, ";")
	}
}

// make makes a test, and pays for it.
func (p *job) make(x *isolate.Test) {
	p.out.Tests++
	p.out.Minutes += price(p.Costs, p.Costs.Of(x.Kind))
	p.set(&x.State)
	p.observe(p.Answer(x))
}

// set brings the device to a state, and pays for that. A part that the rail goes
// through is put back after a test, any other stays off.
func (p *job) set(to *isolate.State) {
	if to.Loose && !p.state.Loose {
		p.out.Minutes += price(p.Costs, p.Costs.Unsolder)
	}
	for _, lid := range to.Lids {
		if !slices.Contains(p.state.Lids, lid) {
			p.out.Minutes += price(p.Costs, p.Covers[lid].Off)
		}
	}
	off := slices.DeleteFunc(slices.Clone(to.Off), func(i int) bool { return p.Parts[i].Tie != trace.None })
	p.state = isolate.State{Loose: p.state.Loose || to.Loose, Apart: to.Apart, Lids: to.Lids, Off: off}
}

// price is what a step costs in minutes, harm included.
func price(c isolate.Costs, x isolate.Cost) float64 { return x.Minutes + x.Risk*c.Harm }

// isRepaired reports whether the short is gone for good.
func (p *job) isRepaired() bool {
	if p.tried[p.Bad] {
		return true
	}
	for _, s := range p.Fault.Sites {
		if s.Part == isolate.None || !slices.Contains(p.state.Off, s.Part) {
			return false
		}
	}
	return true
}

// say notes what is said now.
func (p *job) say() {
	x := Said{Entropy: p.at.Entropy(), Is: -1}
	for _, s := range p.at.Suspects() {
		is := slices.Contains(s.Faults, p.Bad)
		if is {
			x.True = s.P
			x.Brier += (1 - s.P) * (1 - s.P)
		} else {
			x.Brier += s.P * s.P
		}
		if s.P >= Told {
			if is {
				x.Is = len(x.Chances)
			}
			x.Chances = append(x.Chances, s.P)
		}
	}
	p.out.Said = append(p.out.Said, x)
}

func (p *job) stop() {
	all := p.at.Suspects()
	p.out.Sure = all[0].P >= .95
	p.out.Place = slices.IndexFunc(all, func(s isolate.Suspect) bool { return slices.Contains(s.Faults, p.Bad) })
}

// repair repairs the likeliest suspect that was not repaired yet: what is on its
// way is opened, its parts are lifted, its copper or its pads are cleaned.
func (p *job) repair() bool {
	for _, s := range p.at.Suspects() {
		f := p.at.Fault(s.Faults[0])
		if p.isTried(s.Faults, f) {
			continue
		}
		for _, i := range s.Faults {
			p.tried[i] = true
		}
		if p.open(f) && !p.isRepaired() {
			still := p.state
			still.Apart = false
			p.observe(&isolate.Short{By: isolate.Draw, At: p.Source, State: still, Seen: true})
		}
		return true
	}
	return false
}

func (p *job) isTried(faults []int, f *isolate.Fault) bool {
	if f.Kind == isolate.Elsewhere || p.tried[faults[0]] {
		return true
	}
	return !slices.ContainsFunc(f.Sites, func(s isolate.Site) bool {
		return s.Part == isolate.None || !slices.Contains(p.state.Off, s.Part)
	})
}

// open repairs a fault and pays for it. It reports whether it lifted a part.
func (p *job) open(f *isolate.Fault) (lifted bool) {
	to := p.state
	for _, s := range f.Sites {
		to.Loose, to.Apart = to.Loose || s.Spot.Inside, to.Apart || s.Spot.Inside
		if s.Spot.Cover != isolate.None && !slices.Contains(to.Lids, s.Spot.Cover) {
			to.Lids = append(slices.Clip(to.Lids), s.Spot.Cover)
		}
		p.out.Minutes += price(p.Costs, p.Costs.Mend)
		if s.Part != isolate.None && !slices.Contains(to.Off, s.Part) {
			to.Off, lifted = append(slices.Clip(to.Off), s.Part), true
		}
	}
	p.set(&to)
	return lifted
}
