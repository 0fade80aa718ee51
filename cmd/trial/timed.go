package main

import (
	"bytes"
	"context"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"strconv"
	"time"

	"netlore/query/isolate"
	"netlore/query/isolate/play"
)

// timed is how long plans of one device took, each alone on the machine as far as
// this program goes, in order; and what each allocated.
type timed struct {
	name      string
	took      []time.Duration
	megabytes float64
}

// playTime plans along some jobs, one plan at a time.
func (t *trial) playTime(ctx context.Context) error {
	for i := range t.subjects {
		x := timed{name: t.subjects[i].name}
		for seed := range uint64(min(t.faults, 5)) {
			if err := x.along(ctx, &t.subjects[i], t.seed+seed); err != nil {
				return err
			}
		}
		slices.Sort(x.took)
		t.timed = append(t.timed, x)
	}
	return nil
}

// along plays one job for the time its plans take.
func (x *timed) along(ctx context.Context, s *subject, seed uint64) error {
	c, err := isolate.NewCase(s.device, s.faults, isolate.CommonPractice())
	if err != nil {
		return err
	}
	bad := play.Draw(rand.New(rand.NewPCG(seed, 1)), s.faults)
	chooser := &play.Chooser{Bench: tools(), Plans: true}
	j := play.Job{Bench: play.Hide(s.device, s.faults[bad], .02, rand.New(rand.NewPCG(seed, 2))), Case: c, Bad: bad, Costs: isolate.UsualCosts(), Chooser: chooser}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	if _, err := j.Play(ctx); err != nil {
		return err
	}
	runtime.ReadMemStats(&after)
	n, took := float64(len(x.took)), chooser.Took()
	x.took = append(x.took, took...)
	x.megabytes = (x.megabytes*n + float64(after.TotalAlloc-before.TotalAlloc)/1e6) / (n + float64(len(took)))
	return nil
}

// peak is the most memory that this process has had, in kB; 0 where that is not
// told.
func peak() int {
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	for line := range bytes.Lines(status) {
		if rest, ok := bytes.CutPrefix(line, []byte("VmHWM:")); ok {
			kb, _ := strconv.Atoi(string(bytes.Fields(rest)[0]))
			return kb
		}
	}
	return 0
}
