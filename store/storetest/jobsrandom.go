package storetest

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

// jobModel is the job 1 as a list of lines.
type jobModel struct {
	closed bool
	steps  []string // without their numbers
}

func (m *jobModel) sheet() string {
	var s strings.Builder
	s.WriteString(`job 1 of Plover "dead" opened 2026-03-02`)
	if m.closed {
		s.WriteString(" closed 2026-03-03 culprit C1 outcome repaired")
	}
	s.WriteString(" by bench-1\n")
	for i, step := range m.steps {
		fmt.Fprintf(&s, "  %d %s\n", i+1, step)
	}
	return s.String()
}

// change does one thing, chosen by a number below 10, to the model and to the
// base. It returns the error that the base gives, and the one that it should.
func (m *jobModel) change(b *bench, what int, step string, at int) (err, want error) {
	ctx := context.Background()
	if m.closed {
		want = store.ErrJobClosed
	}
	switch {
	case what < 4:
		if !m.closed {
			m.steps = append(m.steps, step)
		}
		_, err = b.base.Log(ctx, "1", step, "bench-1")
	case what == 4:
		switch {
		case !m.closed && len(m.steps) == 0:
			want = store.ErrNoStep
		case !m.closed:
			m.steps = m.steps[:len(m.steps)-1]
		}
		_, err = b.base.Undo(ctx, "1", "bench-1")
	case what == 5:
		m.closed = true
		day := time.Date(2026, 3, 3, 0, 0, 0, 0, time.UTC)
		_, err = b.base.CloseJob(ctx, "1", store.Closing{Closed: day, Culprits: []board.Target{{Name: "C1"}}, Outcome: "repaired"}, "bench-1")
	case what == 6:
		if want = nil; !m.closed {
			want = store.ErrJobOpen
		}
		m.closed = false
		_, err = b.base.ReopenJob(ctx, "1", "bench-1")
	default:
		return m.fromSheet(b, what, step, at), nil
	}
	return err, want
}

// fromSheet adds a sheet that has one step more, says all once more, or corrects
// a step.
func (m *jobModel) fromSheet(b *bench, what int, step string, at int) error {
	text, mode := m.sheet(), store.Union
	switch {
	case what == 7:
		m.steps = append(m.steps, step)
		text = fmt.Sprintf("job 1\n  %d %s\n", len(m.steps), step)
	case what == 8 && len(m.steps) > 0:
		at %= len(m.steps)
		m.steps[at] = step
		text, mode = fmt.Sprintf("job 1\n  %d %s\n", at+1, step), store.Correct
	}
	_, err := b.base.Add(context.Background(), store.Addition{Subject: stack, Author: "bench-1", Mode: mode,
		Files: []*sheet.File{b.parse("more.lore", "netlore 1\nstack Plover\n"+text)}})
	return err
}

// testJobsAtRandom does whatever can be done to a job in any order, beside a list
// of lines to which the same is done.
func testJobsAtRandom(t *testing.T, b *bench) {
	b.addAll(store.Addition{Subject: stack, Files: []*sheet.File{b.parse("stack.lore", ploverStack)}, Author: "bench-1"})
	opened := time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)
	b.openJob(board.Job{Of: "Plover", Symptom: "dead", Opened: opened, By: "bench-1"}, store.Private{})
	m := jobModel{}
	rnd := rand.New(rand.NewPCG(7, 1042))
	for n := range 80 {
		err, want := m.change(b, rnd.IntN(10), fmt.Sprintf(`note when 2026-03-02T10:00Z "%d"`, n), rnd.IntN(100))
		if !errors.Is(err, want) {
			t.Fatalf("after %d changes: %v, want %v", n, err, want)
		}
		if d := cmp.Diff(m.sheet(), b.job("1")); d != "" {
			t.Fatalf("after %d changes: %s", n, d)
		}
	}
	b.base = b.reopen()
	if d := cmp.Diff(m.sheet(), b.job("1")); d != "" || len(m.steps) < 5 {
		t.Errorf("%d steps: %s", len(m.steps), d)
	}
	b.verify()
}
