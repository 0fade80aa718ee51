package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"netlore/query/isolate"
	"netlore/store/board"
)

// tables are what a run prints, without what was measured by a clock.
func tables(t *testing.T, args ...string) string {
	t.Helper()
	var out bytes.Buffer
	if err := try(t.Context(), args, &out, io.Discard); err != nil {
		t.Fatal(err)
	}
	text, _, ok := strings.Cut(out.String(), "| planning, one at a time")
	if !ok {
		t.Errorf("no times in\n%s", out.String())
	}
	return text
}

// TestDemonstration: some faults of the demonstration, with the targets; and the
// same tables again.
func TestDemonstration(t *testing.T) {
	faults := "8"
	if testing.Short() {
		faults = "2"
	}
	args := []string{"-faults", faults, "-only", "Heron", "-check"}
	first := tables(t, args...)
	for _, want := range []string{"tape and readings alone", "down the list", "log-loss", "95 to 100 %", "| a part |"} {
		if !strings.Contains(first, want) {
			t.Errorf("nothing of %q in\n%s", want, first)
		}
	}
	if again := tables(t, args...); again != first {
		t.Errorf("first\n%s\nthen\n%s", first, again)
	}
}

// TestInterrupted: what was found until then is printed, and said to be a part.
func TestInterrupted(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	var out bytes.Buffer
	err := try(ctx, []string{"-faults", "50", "-only", "Heron"}, &out, &stopper{after: "wrong", stop: stop})
	if !errors.Is(err, context.Canceled) || !strings.HasPrefix(out.String(), "Interrupted") || !strings.Contains(out.String(), " of 50 |") {
		t.Errorf("%v\n%s", err, out.String())
	}
}

// stopper stops when something is told for the first time.
type stopper struct {
	after string
	stop  func()
}

func (s *stopper) Write(p []byte) (int, error) {
	if strings.Contains(string(p), s.after) {
		s.stop()
	}
	return len(p), nil
}

// TestMissed: the targets can be missed.
func TestMissed(t *testing.T) {
	if got := new(trial).missed(); len(got) != 0 {
		t.Errorf("of nothing %q", got)
	}
	s := &series{subject: &subject{name: "X", device: heronOf(t)}, factor: 1}
	for range 100 {
		j := job{done: true, list: 100, listed: true}
		j.plan.Minutes, j.half.Minutes, j.plan.Sure, j.plan.Place = 90, 10, true, 5
		s.jobs = append(s.jobs, j)
	}
	x := trial{series: []*series{s}, tapes: []taped{{name: "Y", devices: 1, solved: 1, took: 2, least: 1}}}
	got := strings.Join(x.missed(), "\n")
	for _, want := range []string{"Y: tape", "a third of the list is 33", "by halving 10", "in 0"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not in %q", want, got)
		}
	}
}

// TestRail: which rail of a netlist is tried.
func TestRail(t *testing.T) {
	b := board.NewBuilder(board.Ref{Name: "X"})
	rail, gnd, signal := b.Net("A"), b.Net("GND_1"), b.Net("B")
	for _, c := range []struct {
		part string
		nets []board.NetID
	}{{"C1", []board.NetID{rail, gnd}}, {"C2", []board.NetID{rail, gnd}}, {"R1", []board.NetID{signal, rail}}, {"R4", []board.NetID{signal, rail}}, {"R2", []board.NetID{signal, gnd}}} {
		part := b.Part(c.part)
		for i, net := range c.nets {
			b.Connect(b.Pin(part, string(rune('1'+i))), net)
		}
	}
	s, err := boardSubject(t.Context(), "X", b.Build())
	if err != nil || s.name != "X, A" || len(s.device.Parts) != 5 || len(s.device.Source) == 0 {
		t.Errorf("%+v, %v", s, err)
	}
	if _, err := boardSubject(t.Context(), "Y", board.NewBuilder(board.Ref{Name: "Y"}).Build()); err == nil {
		t.Error("a board without pins has a rail")
	}
}

// TestFolder: a folder without a netlist is told of and left out.
func TestFolder(t *testing.T) {
	dir := t.TempDir()
	if err := os.MkdirAll(filepath.Join(dir, "a"), 0o755); err != nil {
		t.Fatal(err)
	}
	var told bytes.Buffer
	all, err := realBoards(t.Context(), dir, &told)
	if err != nil || len(all) != 0 || !regexp.MustCompile("^a is left out: it holds no netlist").MatchString(told.String()) {
		t.Errorf("%v, %v, %q", all, err, told.String())
	}
}

func heronOf(t *testing.T) *isolate.Device {
	t.Helper()
	s, err := heronStack(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return s.device
}
