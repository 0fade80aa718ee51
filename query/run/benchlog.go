package run

import (
	"fmt"
	"slices"

	"netlore/query/isolate"
	"netlore/query/isolate/inject"
	"netlore/query/trace"
	"netlore/store/board"
)

// told is a step of a job, as the isolation takes it.
type told struct {
	step  *board.Step
	about isolate.Observation // nil if it changes the device only, or tells nothing
	why   string              // it tells nothing, though it was to tell something
	// cannot is why it cannot have been made so.
	cannot string
	state  isolate.State // of the device after it
}

// logged follows the steps of a job.
type logged struct {
	*bench
	job      *board.Job
	reads    map[int]board.Reading // by step
	hard     bool                  // the short reads next to nothing; see showsShort
	state    isolate.State
	touched  []int                  // parts that were ever off or replaced, in order
	ohms     []tipped               // readings in milliohms so far
	circuits map[string]*railCopper // by state
	feed     inject.Injection       // of the last injection
	at       []trace.Place          // and where it was fed
}

// log takes the steps of a job, in order. Touched are the parts that are off or new
// in the end, those that were touched last at the end.
func (x *bench) log(job *board.Job) (all []told, state isolate.State, touched []int) {
	l := logged{bench: x, job: job, reads: map[int]board.Reading{}}
	alone := board.Knowledge{Jobs: []board.Job{*job}}
	for _, r := range alone.JobReadings() {
		l.reads[r.Step] = r
	}
	l.hard = l.isHard()
	hands := newHandling(x.assembly, job)
	for i := range job.Steps {
		t, before := told{step: &job.Steps[i]}, fmt.Sprint(l.state)
		t.cannot = hands.take(t.step)
		t.about, t.why = l.take(t.step)
		if t.cannot != "" && t.about != nil && fmt.Sprint(l.state) == before {
			t.about = nil // of what it says that was done nothing could be
			t.cannot += "; what was seen does not count until that is put right"
		}
		t.state = l.state
		all = append(all, t)
	}
	changed := union(l.state.Off, l.state.New)
	return all, l.state, slices.DeleteFunc(l.touched, func(part int) bool { return !slices.Contains(changed, part) })
}

// take takes one step: what was seen, or why it tells nothing.
func (l *logged) take(s *board.Step) (about isolate.Observation, why string) {
	l.change(s)
	switch s.Kind {
	case board.StepDraw:
		about, why = l.draw(s)
	case board.StepReading, board.StepResistance:
		about, why = l.read(s)
	case board.StepInject:
		l.inject(s)
	case board.StepHot:
		about, why = l.warm(s, isolate.Camera)
	case board.StepFreeze:
		about, why = l.warm(s, isolate.FreezeSpray)
	case board.StepLook:
		about, why = l.look(s)
	default:
		if s.Gone || s.Still {
			about = l.after(s)
		}
	}
	return about, why
}

// here are the things that a target names, on each member that has one.
func (w *assembly) here(t board.Target) (all []memberThing) {
	for member := range w.scope.Members {
		s := w.site(member)
		if found, ok := s.find(t); ok && s.isHere(t) {
			all = append(all, memberThing{member, found})
		}
	}
	return all
}
