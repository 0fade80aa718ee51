package store_test

import (
	"fmt"
	"io"
	"strings"
	"testing"

	"netlore/store"
	"netlore/store/board"
)

// withJob makes a base with the job 1 and closes it.
func withJob(t *testing.T, dir string) {
	t.Helper()
	base := openBase(t, dir, store.Options{})
	if id, err := base.OpenJob(t.Context(), board.Job{Symptom: "dead"}, plover, store.Private{}, "bench-1"); id != "1" || err != nil {
		t.Fatal(id, err)
	}
	if err := base.Close(); err != nil {
		t.Fatal(err)
	}
}

// hasSteps looks for reported steps, "3 remark", in job 1, and returns how many
// steps it has.
func hasSteps(t *testing.T, dir, reported string) int {
	t.Helper()
	base := openBase(t, dir, store.Options{ReadOnly: true})
	defer base.Close()
	j, err := base.Job(t.Context(), "1")
	if err != nil {
		t.Fatal(err)
	}
	have := map[string]bool{}
	for i, s := range j.Steps {
		have[fmt.Sprint(s.Number, " ", s.Remark)] = true
		if s.Number != i+1 {
			t.Errorf("step %d has the number %d", i+1, s.Number)
		}
	}
	for line := range strings.Lines(reported) {
		if whole, ok := strings.CutSuffix(line, "\n"); ok && !have[whole] {
			t.Errorf("step %q was reported, and is not there", whole)
		}
	}
	if _, err := base.Verify(t.Context(), nil); err != nil {
		t.Error(err)
	}
	return len(j.Steps)
}

// TestTwoProcessesLogIntoOneJob has two processes enter steps into one job at
// once: all of them are there, each with the number that was reported.
func TestTwoProcessesLogIntoOneJob(t *testing.T) {
	dir := t.TempDir()
	withJob(t, dir)
	const each = 10
	children := []*child{startChild(t, fmt.Sprint("log-", each), dir), startChild(t, fmt.Sprint("log-", each), dir)}
	var reported strings.Builder
	for _, c := range children {
		if _, err := io.Copy(&reported, c.out); err != nil {
			t.Error(err)
		}
		c.end(t)
	}
	if n := hasSteps(t, dir, reported.String()); n != len(children)*each || strings.Count(reported.String(), "\n") != n {
		t.Errorf("%d steps, reported:\n%s", n, reported.String())
	}
}

// TestKilledWhileLogging kills a process with SIGKILL while it enters steps, each
// time after another number of them. What was reported is there.
func TestKilledWhileLogging(t *testing.T) {
	dir := t.TempDir()
	withJob(t, dir)
	var reported strings.Builder
	rounds := 8
	if testing.Short() {
		rounds = 3
	}
	for round := range rounds {
		c := startChild(t, "log-1000", dir)
		for range round {
			line, err := c.out.ReadString('\n')
			if err != nil {
				t.Fatal(err)
			}
			reported.WriteString(line)
		}
		c.cmd.Process.Kill()
		io.Copy(&reported, c.out)
		c.kill()
		hasSteps(t, dir, reported.String())
	}
	if !strings.Contains(reported.String(), "\n") {
		t.Error("nothing was reported")
	}
}
