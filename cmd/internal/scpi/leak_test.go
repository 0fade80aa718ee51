package scpi_test

import (
	"context"
	"runtime"
	"strings"
	"testing"
	"time"

	"netlore/cmd/internal/scpi/scpitest"
)

// TestNothingIsLeft goes through all that can fail and looks for goroutines of
// the client that are still there.
func TestNothingIsLeft(t *testing.T) {
	b := newBench(t, 100*time.Millisecond)
	for i := range 50 {
		b.Fault("READ?", []scpitest.Fault{scpitest.Silent(), scpitest.HangUp(), scpitest.Flood(9000), scpitest.Twice("x"), scpitest.Well()}[i%5])
		ctx, cancel := context.WithCancel(t.Context())
		b.Ask(ctx, read)
		cancel()
	}
	b.Reader.Close()
	b.Unplug()
	for try := 0; ; try++ {
		left := goroutines("netlore/cmd/internal/scpi.")
		if len(left) == 0 {
			return
		}
		if try == 200 {
			t.Fatalf("%d goroutines are left:\n%s", len(left), strings.Join(left, "\n\n"))
		}
		time.Sleep(10 * time.Millisecond)
	}
}

// goroutines are the stacks that a package occurs in.
func goroutines(pkg string) []string {
	all := make([]byte, 1<<20)
	all = all[:runtime.Stack(all, true)]
	var found []string
	for stack := range strings.SplitSeq(string(all), "\n\n") {
		if strings.Contains(stack, pkg) {
			found = append(found, stack)
		}
	}
	return found
}
