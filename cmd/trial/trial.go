package main

import (
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"runtime"
	"sync"
	"sync/atomic"
	"time"

	"netlore/query/isolate"
	"netlore/query/isolate/inject"
	"netlore/query/isolate/play"
)

// subject is a device that is tried.
type subject struct {
	name   string
	device *isolate.Device
	free   *isolate.Device // as one sees it who ignores what covers cost
	faults []isolate.Fault
}

func newSubject(name string, d *isolate.Device) subject {
	if d == nil {
		return subject{}
	}
	return subject{name, d, play.Free(d), isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil)}
}

// stacks are random ones.
func stacks(seed uint64, sizes ...play.Size) (all []subject) {
	for i, s := range sizes {
		r := rand.New(rand.NewPCG(seed, uint64(1000+i)))
		all = append(all, newSubject(fmt.Sprintf("stack of %d parts, %d pads", s.Parts, s.Pads), play.Stack(r, s)))
	}
	return all
}

// Sizes of stacks, all of whose parts are on the rail.
var sizes = []play.Size{{Parts: 300, Pads: 30, Branches: 8}, {Parts: 1000, Pads: 100, Branches: 25}, {Parts: 5000, Pads: 300, Branches: 80}}

// series are jobs on one device.
type series struct {
	*subject
	wrong  float64 // how often what is seen is wrong
	factor float64 // by which weights are wrong
	told   bool    // the rates are as they are, and not the usual ones
	jobs   []job
}

// job is the same fault, found by plan, by halving and by the list.
type job struct {
	done       bool
	kind       isolate.Kind
	plan, half play.Outcome
	list       float64 // minutes
	listed     bool    // the list leads to it
}

func tools() isolate.Bench {
	return isolate.Bench{Costs: isolate.UsualCosts(), Feed: inject.Injection{Volts: 1, Amps: 2, Path: .05}, Camera: true}
}

// play plays jobs on all processors. If the context ends, the others are not done.
func (s *series) play(ctx context.Context, seed uint64, jobs int, progress io.Writer) error {
	s.jobs = make([]job, jobs)
	x, err := s.players(seed)
	if err != nil {
		return err
	}
	var next atomic.Int64
	var wg sync.WaitGroup
	failed := make([]error, runtime.GOMAXPROCS(0))
	tell := newTeller(progress, fmt.Sprintf("%s, %g %% wrong", s.name, 100*s.wrong), jobs)
	for worker := range failed {
		wg.Go(func() {
			for failed[worker] == nil && ctx.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= jobs {
					return
				}
				s.jobs[i], failed[worker] = x.one(ctx, s, seed+uint64(i))
				tell.one()
			}
		})
	}
	wg.Wait()
	tell.end()
	for _, err := range failed {
		if err != nil && ctx.Err() == nil {
			return err
		}
	}
	return nil
}

// players are what all jobs of a series share.
type players struct {
	rates               isolate.Rates
	truth               []isolate.Fault
	known, unknown      *isolate.Case
	planning, unplanned *play.Chooser
}

func (s *series) players(seed uint64) (x players, err error) {
	x.rates, x.truth = isolate.CommonPractice(), s.faults
	if s.told {
		x.rates = play.Errs(s.wrong)
	}
	if s.factor > 1 {
		x.truth = play.Skew(rand.New(rand.NewPCG(seed, 99)), s.device, s.faults, s.factor)
	}
	x.planning, x.unplanned = &play.Chooser{Bench: tools(), Plans: true}, &play.Chooser{Bench: tools()}
	if x.known, err = isolate.NewCase(s.device, s.faults, x.rates); err != nil {
		return x, err
	}
	x.unknown, err = isolate.NewCase(s.free, s.faults, x.rates)
	return x, err
}

// one plays one job.
func (x *players) one(ctx context.Context, s *series, seed uint64) (j job, err error) {
	bad := play.Draw(rand.New(rand.NewPCG(seed, 1)), x.truth)
	f := s.faults[bad]
	j.kind = f.Kind
	on := func() *play.Bench { return play.Hide(s.device, f, s.wrong, rand.New(rand.NewPCG(seed, 2))) }
	costs := isolate.UsualCosts()
	planned := play.Job{Bench: on(), Case: x.known, Bad: bad, Costs: costs, Chooser: x.planning}
	if j.plan, err = planned.Play(ctx); err != nil {
		return j, err
	}
	halved := play.Job{Bench: on(), Case: x.unknown, Bad: bad, Costs: costs, Chooser: x.unplanned}
	if j.half, err = halved.Play(ctx); err != nil {
		return j, err
	}
	j.list, j.listed = play.DownTheList(s.device, &f, costs)
	j.done = true
	return j, nil
}

// teller tells how far jobs are, no more than once a second.
type teller struct {
	w    io.Writer
	what string
	all  int
	mu   sync.Mutex
	last time.Time
	n    int
}

func newTeller(w io.Writer, what string, all int) *teller {
	return &teller{w: w, what: what, all: all, last: time.Now()}
}

func (t *teller) one() {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.n++
	if now := time.Now(); now.Sub(t.last) > time.Second {
		t.last = now
		fmt.Fprintf(t.w, "\r%s: %d of %d ", t.what, t.n, t.all)
	}
}

func (t *teller) end() { fmt.Fprintf(t.w, "\r%s: %d of %d\n", t.what, t.n, t.all) }
