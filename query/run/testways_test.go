package run_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"netlore/query/run"
	"netlore/store/board"
	"netlore/store/sheet"
)

// logged is a job with more steps, read as a sheet has them.
func logged(t *testing.T, job *board.Job, steps ...string) *board.Job {
	t.Helper()
	j := *job
	j.Steps = slices.Clone(job.Steps)
	for _, text := range steps {
		n := 1
		if len(j.Steps) > 0 {
			n = j.Steps[len(j.Steps)-1].Number + 1
		}
		file, list := sheet.Parse("", fmt.Appendf(nil, "netlore 1\n\njob 1 of Heron\n  %d %s\n", n, text))
		content, more := sheet.Read(file)
		if list = append(list, more...); list.HasErrors() {
			t.Fatalf("%s: %v", text, list)
		}
		j.Steps = append(j.Steps, content.Knowledge.Jobs[0].Steps...)
	}
	return &j
}

func texts(w run.Way) (all []string) {
	for _, s := range w.Steps {
		all = append(all, s.Text)
	}
	return all
}

// TestWaysSayWhatWasForeseen logs each way in which each proposed test may come out,
// and finds as much left to find out as the planner foresaw for it: what a button
// logs is understood as the test that was proposed. The planner's own account is
// the reference.
func TestWaysSayWhatWasForeseen(t *testing.T) {
	scope := heronScope(t)
	job := jobOf(t, scope, "1042")
	bare := *job
	bare.Steps = nil
	kinds := map[string]int{}
	for _, c := range []struct {
		job   *board.Job
		tools []string
	}{
		{job, nil},
		{job, []string{run.FreezerSpray}},
		{logged(t, job, "inject lower:VMAIN 1V 2A", "hot nothing"), nil},
		{logged(t, job, "cover-off lower:J7"), []string{}},
		{logged(t, job, "tape lower:P97..P99 still"), []string{}},
		{logged(t, &bare, "reading diode upper:VMAIN 3mV"), []string{}},
	} {
		ways, now, err := run.ForeseenOf(t.Context(), scope, run.Isolation{Job: c.job, Tools: c.tools})
		if err != nil || len(ways) == 0 {
			t.Fatalf("%d ways, %v", len(ways), err)
		}
		for _, w := range ways {
			kind := strings.Fields(w.Test)[0]
			kinds[kind]++
			bits, err := run.MissingOf(t.Context(), scope, run.Isolation{Job: logged(t, c.job, texts(w.Way)...), Tools: c.tools})
			if err != nil {
				t.Fatalf("%q: %v", texts(w.Way), err)
			}
			near := 1e-9
			if kind == "lift" {
				near = .15 // a part that was touched may hide a second short from then on
			}
			if math.Abs(bits-w.Bits) > near {
				t.Errorf("%s: %q leaves %.6f bits of %.6f, but %.6f were foreseen", w.Test, texts(w.Way), bits, now, w.Bits)
			}
		}
	}
	for _, kind := range []string{"feed", "read", "look", "tape", "lift"} {
		if kinds[kind] == 0 {
			t.Errorf("no test that begins with %q was tried", kind)
		}
	}
}
