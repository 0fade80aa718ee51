package run

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"netlore/query/check"
	"netlore/query/isolate"
	"netlore/query/plan"
	"netlore/query/readings"
	"netlore/query/trace"
	"netlore/query/words"
	"netlore/store/board"
)

// Isolation is a job that is to be led to what is bad.
type Isolation struct {
	Job *board.Job
	// Rail is a net, or a place on it, that is shorted to ground; zero for the one
	// that the job tells of.
	Rail board.Target
	// Every lists all suspects, also those that are hardly it.
	Every bool
	// More says how the others are listed, where some are left out.
	More string
	// Tools are what there is to look for a short with; nil for UsualTools.
	Tools []string
}

// The tools that not every shop has.
const (
	ThermalCamera = "camera"
	FreezerSpray  = "spray"
	Milliohmmeter = "milliohms"
)

// UsualTools are taken to be there unless it is said what is.
var UsualTools = []string{ThermalCamera, FreezerSpray}

// has reports whether a tool is there.
func (i *Isolation) has(tool string) bool {
	if i.Tools == nil {
		return slices.Contains(UsualTools, tool)
	}
	return slices.Contains(i.Tools, tool)
}

// ErrNoRail is that a job does not tell which rail is shorted.
var ErrNoRail = errors.New("the job does not tell which rail is shorted to ground: no reading in it is on a power net")

// ErrGround is that what is said to be shorted is ground.
var ErrGround = errors.New("that is ground, which cannot be shorted to itself")

// isolation is a job on the bench, with what was seen so far.
type isolation struct {
	*bench
	job    *board.Job
	net    memberThing // that is shorted
	rail   string      // its name
	steps  []told      // of the job
	seen   []int       // of each observation of the case, its step
	at     *isolate.Case
	bits   [][]float64 // see spoke
	before float64     // bits that were missing before anything was seen
	state  isolate.State
	faults []isolate.Fault
	simple int // how many of the faults are not made by isolate.Seconds
	odds   *odds
	badIn  [][]string // of each part, the closed jobs in which it was bad
	tools  isolate.Bench
}

// isolating sets up a job, and tells each step with the case as it is after it; each
// may be nil.
func isolating(ctx context.Context, scope *check.Scope, i Isolation, each func(x *isolation, step int, c *isolate.Case)) (*isolation, error) {
	return newAssembly(scope, plan.Options{}, &brake{ctx: ctx, pace: 256}).isolating(ctx, i, each)
}

func (w *assembly) isolating(ctx context.Context, i Isolation, each func(x *isolation, step int, c *isolate.Case)) (*isolation, error) {
	supply := w.usualSupply()
	net, ok := w.railNet(i)
	if !ok {
		return nil, ErrNoRail
	}
	if w.site(net.member).b.Nets[net.id].Kind == board.Ground {
		return nil, ErrGround
	}
	x := &isolation{job: i.Job, net: net, rail: w.site(net.member).b.Nets[net.id].Name}
	x.bench = newBench(w, w.copperOf(supply, net), supply)
	var touched []int
	x.steps, x.state, touched = x.log(i.Job)
	if i.has(Milliohmmeter) {
		x.addPoints(x.state)
	}
	x.odds = oddsOf(w.scope.Chances, historyOf(i.Job))
	for part := range x.device.Parts {
		x.device.Parts[part].Mode, _ = x.odds.mode(x.device.Parts[part].Class)
	}
	var counts []float64
	counts, x.badIn = x.culprits()
	simple := isolate.Faults(&x.device, x.odds.priors, counts)
	x.simple, x.faults = len(simple), isolate.Seconds(simple, touched, x.state.New, x.odds.priors)
	c, err := isolate.NewCase(&x.device, x.faults, x.odds.rates)
	if err != nil {
		return nil, err
	}
	x.before = c.Entropy()
	x.tools = isolate.Bench{Costs: isolate.UsualCosts(), Feed: x.injection(), Camera: i.has(ThermalCamera), Spray: i.has(FreezerSpray), Milliohms: i.has(Milliohmmeter)}
	for n, t := range x.steps {
		if t.about != nil {
			c.Observe(t.about)
			x.seen = append(x.seen, n)
		}
		if each != nil {
			each(x, n, c.In(t.state))
		}
	}
	if !slices.ContainsFunc(x.steps, func(t told) bool { return showsIt(t.about) }) {
		w.remark("no step shows that " + x.rail + " is shorted, it is taken to be: read it against ground first, and log that")
	}
	x.at = c.In(x.state)
	return x, ctx.Err()
}

// showsIt reports whether the short itself was seen in an observation.
func showsIt(o isolate.Observation) bool {
	switch o := o.(type) {
	case *isolate.Short:
		return o.Seen
	case *isolate.Heat:
		return o.Seen
	case *isolate.Gradient:
		return true
	}
	return false
}

// spoke is what an observation says of a fault, in bits. It is worked out of all
// faults at once, for whole lists are asked of it.
func (x *isolation) spoke(observation, fault int) float64 {
	if x.bits == nil {
		x.bits = make([][]float64, len(x.seen))
	}
	if x.bits[observation] == nil {
		x.bits[observation] = x.at.Spoken(observation)
	}
	return x.bits[observation][fault]
}

// railNet is the net that is shorted: the one that is said, else the first on which
// the job has a reading that shows a short, else the first power net that it has
// a reading on.
func (w *assembly) railNet(i Isolation) (memberThing, bool) {
	if i.Rail != (board.Target{}) {
		return w.netAt(i.Rail)
	}
	var power []memberThing
	for k := range i.Job.Steps {
		s := &i.Job.Steps[k]
		if s.Kind != board.StepReading && s.Kind != board.StepResistance && s.Kind != board.StepInject || len(s.On) == 0 {
			continue
		}
		net, ok := w.netAt(s.On[0])
		if !ok || w.site(net.member).b.Nets[net.id].Kind == board.Ground {
			continue
		}
		meter := board.FindMeter(w.scope.Meters, s.Meter)
		limit := readings.ShortLimit(s.Mode, &meter)
		if s.Kind == board.StepReading && s.Value.SameUnit(limit) && s.Value.Compare(limit) <= 0 {
			return net, true
		}
		if w.site(net.member).b.Nets[net.id].Kind == board.Power {
			power = append(power, net)
		}
	}
	if power == nil {
		return memberThing{}, false
	}
	return power[0], true
}

// netAt is the net of what a target names.
func (w *assembly) netAt(t board.Target) (memberThing, bool) {
	for member := range w.scope.Members {
		s := w.site(member)
		found, ok := s.find(t)
		if !ok || !s.isHere(t) {
			continue
		}
		if found.noun == words.Nets {
			return memberThing{member, found}, true
		}
		if net := s.netOf(found); net != board.None {
			return memberThing{member, thing{words.Nets, int32(net)}}, true
		}
	}
	return memberThing{}, false
}

// copperOf is the copper of a net on all boards that it goes to by joined pads.
func (w *assembly) copperOf(s *trace.Supply, net memberThing) []trace.Place {
	parts := map[trace.TieID]bool{}
	for t := range trace.TieID(s.Ties()) {
		parts[t] = s.Crossing(t).Part != board.None
	}
	r := s.Reach(s.Net(nil, net.member, board.NetID(net.id)), trace.Ties{All: true, Cut: parts})
	var all []trace.Place
	for p := range trace.Place(s.Places()) {
		if r.Has(p) && s.Stop(p) != trace.Stops {
			all = append(all, p)
		}
	}
	return all
}

// culprits is how often each part was what was bad in another job, and in which.
func (x *isolation) culprits() (counts []float64, jobs [][]string) {
	counts, jobs = make([]float64, len(x.parts)), make([][]string, len(x.parts))
	for _, j := range x.site(0).jobs() { // those of all members
		if j.ID == x.job.ID || j.Closed.IsZero() || j.Of != x.job.Of {
			continue
		}
		for _, t := range j.Culprits {
			for _, part := range x.here(t) {
				if at, ok := x.partAt[part]; ok {
					counts[at] += 1 / float64(len(j.Culprits))
					jobs[at] = append(jobs[at], j.ID)
				}
			}
		}
	}
	return counts, jobs
}

// histories are words of a symptom that tell what happened to a device.
var histories = []struct {
	words []string
	is    isolate.History
}{
	{strings.Fields("water liquid wet stream rain river lake sea spill spilled spilt coffee tea beer juice wash washed pool puddle snow mud sweat steam"), isolate.Liquid},
	{strings.Fields("drop dropped fall fell fallen crash crashed bent hit kicked impact"), isolate.Drop},
}

// historyOf is what the words of a symptom tell of what happened. A battery that
// drains was not in the rain: words count as a whole, and not after "no".
func historyOf(j *board.Job) isolate.History {
	said := wordsIn(j.Symptom)
	for _, h := range histories {
		for i, w := range said {
			if slices.Contains(h.words, w) && !denied(said[:i]) {
				return h.is
			}
		}
	}
	return isolate.NoHistory
}

// wordsIn are the words of a text, in small letters.
func wordsIn(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// remarks say what the case rests on, and what is wrong with it.
func (x *isolation) remarks() []string {
	all := []string{fmt.Sprintf("%s to ground · %.1f bits still to find out, %.1f before anything was seen", x.rail, x.at.Entropy(), x.before)}
	all = append(all, x.verdict()...)
	if x.at.IsRuledOut() {
		all = append(all, x.ruledOut()...)
	}
	if c, ok := x.at.Conflict(); ok {
		a, b := x.steps[x.seen[c.A]].step, x.steps[x.seen[c.B]].step
		all = append(all, fmt.Sprintf("steps %d (%s) and %d (%s) hardly go together: make one of them again", a.Number, said(a), b.Number, said(b)))
		if settle, err := x.at.Settle(c, x.state, x.tools); err == nil && len(settle) > 0 {
			all = append(all, "what else tells which of them is wrong: "+x.testName(&settle[0]))
		}
	}
	for _, t := range x.steps {
		if t.cannot != "" {
			all = append(all, fmt.Sprintf("step %d (%s) cannot be: %s", t.step.Number, said(t.step), t.cannot))
		}
		if t.why != "" {
			all = append(all, fmt.Sprintf("step %d (%s) tells nothing here: %s", t.step.Number, said(t.step), t.why))
		}
	}
	return append(all, x.assembly.remarks...)
}
