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

// TestMemoryIsBounded gives files to netlore that are several times larger than
// what it may need of memory. Each is added by a process of its own, for its memory
// is what counts.
func TestMemoryIsBounded(t *testing.T) {
	const (
		mostMB   = 60
		longLine = 256 << 20
		records  = 1_000_000 // 75 MB
	)
	if raced {
		t.Skip("the memory of the race detector cannot be told from ours; the tests without it measure")
	}
	t.Chdir(t.TempDir())
	x := strings.Repeat("x", 70<<10) // more than is looked at to tell the format
	for _, c := range []struct {
		name string
		head io.Reader
		hole int64 // so many zero bytes, which take no room on the disk
		tail string
		code int
		says string
	}{
		{"a long line in a netlist", strings.NewReader(d356Head + d356Record + "327" + x), longLine, "\n999\n",
			exitOK, "in:5:1: warning D313: this line is longer than 64 KiB; the rest of it was skipped"},
		{"a long line in a table", strings.NewReader(placements + "C1,10uF,0402,1,2,top\n" + x), longLine, "\n",
			exitOK, "in:3:1: error T110: this row is longer than 64 KiB"},
		{"a long line of nothing known", strings.NewReader(x), longLine, "\n",
			exitInput, "in: error D105: this text is of no format that can be read"},
		{"many records", io.MultiReader(strings.NewReader(d356Head), io.LimitReader(endless(d356Record), records*int64(len(d356Record)))), 0, "999\n",
			exitOK, fmt.Sprintf("in: IPC-D-356A, %d records, all used", records+4)},
		{"a sheet of 1 GB", strings.NewReader("netlore 1\n"), 1 << 30, "\n",
			exitInput, "netlore: in has 1025 MiB; a sheet has 256 MiB at most"},
	} {
		t.Run(c.name, func(t *testing.T) {
			writeFile(t, "in", c.head, c.hole, c.tail)
			got := addedMB(t, "in", nil, c.code, c.says)
			t.Logf("%.0f MB", got)
			if got > mostMB {
				t.Errorf("it took %.0f MB of memory, want %d at most", got, mostMB)
			}
		})
	}
	// A stream must be kept whole, but not without end.
	t.Run("a stream without end", func(t *testing.T) {
		const says = "netlore: standard input has more than 64 MiB"
		if got := addedMB(t, "-", endless(d356Head+d356Record), exitInput, says); got > 300 {
			t.Errorf("it took %.0f MB of memory, want 300 at most", got)
		}
	})
}

// addedMB adds a file to a new base in a process of its own, checks what it
// says, and returns the most memory that it had.
func addedMB(t *testing.T, name string, in io.Reader, wantCode int, says string) float64 {
	t.Helper()
	var complaints bytes.Buffer
	cmd := exec.Command("netlore", "--base", filepath.Join(t.TempDir(), "base"), "add", name)
	cmd.Stdin, cmd.Stderr = in, &complaints
	peak := peakOf(t, cmd)
	cmd.Run()
	if code := cmd.ProcessState.ExitCode(); code != wantCode {
		t.Errorf("exit code %d, want %d", code, wantCode)
	}
	if !strings.Contains("\n"+complaints.String(), "\n"+says) {
		t.Errorf("%q is missing in\n%.1000s", says, &complaints)
	}
	return peak()
}

// peakMB is the most memory that an ended process had, in MB. The system counts
// what this process had when it started the other, so small numbers are only
// known to be no larger; peakOf tells them.
func peakMB(state *os.ProcessState) float64 {
	unit := 1024.0 // Linux counts in KiB
	if runtime.GOOS == "darwin" {
		unit = 1
	}
	return float64(state.SysUsage().(*syscall.Rusage).Maxrss) * unit / 1e6
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
