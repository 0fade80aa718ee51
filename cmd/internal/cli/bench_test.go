//go:build unix

package cli

import (
	"bytes"
	"os/exec"
	"path/filepath"
	"testing"
)

// buildNetlore builds the command as users have it.
func buildNetlore(b *testing.B) string {
	b.Helper()
	binary := filepath.Join(b.TempDir(), "netlore")
	build := exec.Command("go", "build", "-o", binary, "netlore/cmd/netlore")
	if out, err := build.CombinedOutput(); err != nil {
		b.Fatalf("go build: %v\n%s", err, out)
	}
	return binary
}

// BenchmarkAskProcess is what a person waits for: a whole process that asks a
// base with one board. Help is the least that any command takes, in the same
// run. Wanted: 30 ms and 60 MB at most.
func BenchmarkAskProcess(b *testing.B) {
	binary := buildNetlore(b)
	base := filepath.Join(b.TempDir(), "base")
	if out, err := exec.Command(binary, "--base", base, "add", "../../../testdata/heron/heron-b.lore").CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	for _, c := range []struct {
		name string
		args []string
		says string
	}{
		{"help", []string{"help", "exit-codes"}, "stopped by the user"},
		{"ask", []string{"--base", base, "ask", "hidden parts on VMAIN"}, "61 of 61 parts"},
	} {
		b.Run(c.name, func(b *testing.B) {
			most := 0.0
			for b.Loop() {
				cmd := exec.Command(binary, c.args...)
				out, err := cmd.Output()
				if err != nil || !bytes.Contains(out, []byte(c.says)) {
					b.Fatalf("%v: %s", err, out)
				}
				most = max(most, peakMB(cmd.ProcessState))
			}
			b.ReportMetric(float64(b.Elapsed().Microseconds())/1000/float64(b.N), "ms/op")
			b.ReportMetric(most, "peak-MB")
			b.ReportMetric(0, "ns/op")
		})
	}
}
