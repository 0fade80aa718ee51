//go:build unix

package cli

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
)

// buildNetlore builds the command as users have it.
func buildNetlore(t testing.TB) string {
	t.Helper()
	binary := filepath.Join(t.TempDir(), "netlore")
	build := exec.Command("go", "build", "-o", binary, "netlore/cmd/netlore")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("go build: %v\n%s", err, out)
	}
	for dir := filepath.Dir(binary); dir != filepath.Dir(os.TempDir()) && dir != os.TempDir(); dir = filepath.Dir(dir) {
		if err := os.Chmod(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	return binary
}

// peakMB is the most memory that an ended process had, in MB. The system counts
// what this process had when it started the other, so small numbers are only
// known to be no larger.
func peakMB(state *os.ProcessState) float64 {
	unit := 1024.0 // Linux counts in KiB
	if runtime.GOOS == "darwin" {
		unit = 1
	}
	return float64(state.SysUsage().(*syscall.Rusage).Maxrss) * unit / 1e6
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

// TestMemoryIsBounded gives files to netlore that are larger than what may be
// kept of them. The process is a real one, for its memory is what counts.
func TestMemoryIsBounded(t *testing.T) {
	binary := buildNetlore(t)
	t.Chdir(t.TempDir())
	const longLine = 1 << 30
	records := 10_000_000
	if testing.Short() {
		records = 200_000
	}
	x := strings.Repeat("x", 70<<10) // more than is looked at to tell the format
	for _, c := range []struct {
		name      string
		head      io.Reader
		hole      int64 // so many zero bytes, which take no room on the disk
		tail      string
		code      int
		says      string
		megabytes float64
	}{
		{"a line of 1 GB in a netlist", strings.NewReader(d356Head + d356Record + "327" + x), longLine, "\n999\n",
			exitOK, "in:5:1: warning D313: this line is longer than 64 KiB; the rest of it was skipped", 60},
		{"a line of 1 GB in a table", strings.NewReader(placements + "C1,10uF,0402,1,2,top\n" + x), longLine, "\n",
			exitOK, "in:3:1: error T110: this row is longer than 64 KiB", 60},
		{"a line of 1 GB of nothing known", strings.NewReader(x), longLine, "\n",
			exitInput, "in: error D105: this text is of no format that can be read", 60},
		{"many records", io.MultiReader(strings.NewReader(d356Head), io.LimitReader(endless(d356Record), int64(records*len(d356Record)))), 0, "999\n",
			exitOK, fmt.Sprintf("in: IPC-D-356A, %d records:", records+4), 60},
		{"a sheet of 1 GB", strings.NewReader("netlore 1\n"), longLine, "\n",
			exitInput, "netlore: in is larger than 256 MiB, the most a sheet can be", 700},
	} {
		t.Run(c.name, func(t *testing.T) {
			writeFile(t, "in", c.head, c.hole, c.tail)
			var complaints bytes.Buffer
			cmd := exec.Command(binary, "--base", filepath.Join(t.TempDir(), "base"), "add", "in")
			cmd.Stderr = &complaints
			cmd.Run()
			if code := cmd.ProcessState.ExitCode(); code != c.code {
				t.Errorf("exit code %d, want %d", code, c.code)
			}
			if !strings.Contains("\n"+complaints.String(), "\n"+c.says) {
				t.Errorf("%q is missing in\n%.1000s", c.says, complaints.String())
			}
			most := max(c.megabytes, leastMB(t, binary)+10)
			if got := peakMB(cmd.ProcessState); got > most {
				t.Errorf("it took %.0f MB of memory, want %.0f at most", got, most)
			} else {
				t.Logf("it took %.0f MB of memory", got)
			}
		})
	}
}

// leastMB is what peakMB gives for a command that does next to nothing.
func leastMB(t *testing.T, binary string) float64 {
	t.Helper()
	cmd := exec.Command(binary, "help", "exit-codes")
	if err := cmd.Run(); err != nil {
		t.Fatal(err)
	}
	return peakMB(cmd.ProcessState)
}

// endless gives a text over and over.
type endless string

func (e endless) Read(p []byte) (int, error) {
	n := 0
	for len(p)-n >= len(e) {
		n += copy(p[n:], e)
	}
	return n, nil
}

// writeFile writes a file with a hole in it.
func writeFile(t *testing.T, name string, head io.Reader, hole int64, tail string) {
	t.Helper()
	file, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	w := bufio.NewWriterSize(file, 1<<20)
	if _, err := io.CopyBuffer(struct{ io.Writer }{w}, struct{ io.Reader }{head}, make([]byte, 1<<16)); err != nil {
		t.Fatal(err)
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	if _, err := file.Seek(hole, io.SeekEnd); err != nil {
		t.Fatal(err)
	}
	if _, err := io.WriteString(file, tail); err != nil {
		t.Fatal(err)
	}
	if err := file.Close(); err != nil {
		t.Fatal(err)
	}
}
