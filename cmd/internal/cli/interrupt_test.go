//go:build unix

package cli

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"netlore/store"
)

// TestBaseInUse asks and adds from another process while this one holds the
// base: both are told which process it is.
func TestBaseInUse(t *testing.T) {
	benchWithBase(t)
	before := contents(t)
	held, err := store.Open(t.Context(), "base", store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, args := range []string{"boards", "add wren.lore", "ask parts", "remove Wren"} {
		if err := os.WriteFile("wren.lore", []byte(wren), 0o644); err != nil {
			t.Fatal(err)
		}
		code, complaints := process(t, append([]string{"--base", "base", "--wait", "20ms"}, strings.Fields(args)...)...)
		if code != exitInUse {
			t.Errorf("%s: exit code %d, want %d", args, code, exitInUse)
		}
		if pid := fmt.Sprintf("the knowledge base in base is in use by process %d since ", os.Getpid()); !strings.Contains(complaints, pid) {
			t.Errorf("%s: %q is missing in\n%s", args, pid, complaints)
		}
		if hint := "  help: try again when it is done, or wait longer with --wait 30s\n"; !strings.HasSuffix(complaints, hint) {
			t.Errorf("%s: no hint in\n%s", args, complaints)
		}
	}
	if err := held.Close(); err != nil {
		t.Fatal(err)
	}
	sound(t, before)
}

// process runs netlore as a process of its own.
func process(t *testing.T, args ...string) (code int, complaints string) {
	t.Helper()
	var e bytes.Buffer
	cmd := exec.Command("netlore", args...)
	cmd.Stderr = &e
	cmd.Run()
	return cmd.ProcessState.ExitCode(), e.String()
}

// TestInterruptedImport ends imports of a large board with a signal, at points
// from before the first write to near the end. What was in the base stays, and
// of the new board there is all or nothing, whatever the exit code says.
func TestInterruptedImport(t *testing.T) {
	benchWithBase(t)
	parts, shares := 12_000, []float64{0, 0.05, 0.1, 0.3, 0.6, 0.9}
	if testing.Short() {
		shares = []float64{0.05, 0.6}
	}
	if raced {
		parts = 3000
	}
	largeNetlist(t, "large.d356", parts)
	before := contents(t)
	if err := os.Rename("base", "first"); err != nil {
		t.Fatal(err)
	}
	freshBase(t)
	after, took := undisturbed(t)
	for _, signal := range []syscall.Signal{syscall.SIGINT, syscall.SIGKILL} {
		stopped := 0
		for _, share := range shares {
			freshBase(t)
			state := interrupted(t, signal, time.Duration(share*float64(took)))
			if signal == syscall.SIGINT && !state.Exited() {
				t.Errorf("SIGINT ended it by force: %s", state)
			}
			want := before
			if contents(t) == after {
				want = after
			} else {
				stopped++
			}
			sound(t, want)
			if code := state.ExitCode(); code == exitOK != (want == after) && code != -1 {
				t.Errorf("%s after %.0f %%: exit code %d, but the board is in the base: %v", signal, 100*share, code, want == after)
			}
		}
		if stopped == 0 {
			t.Errorf("%s never stopped an import", signal)
		}
		if code, _, complaints := command(t, "", addLarge...); code != exitOK {
			t.Fatalf("added again: exit code %d: %s", code, complaints)
		}
		sound(t, after)
	}
}

var addLarge = []string{"--base", "base", "add", "large.d356", "--board", "wren-large"}

// freshBase makes the base what it was at first.
func freshBase(t *testing.T) {
	t.Helper()
	if err := os.RemoveAll("base"); err != nil {
		t.Fatal(err)
	}
	if err := os.CopyFS("base", os.DirFS("first")); err != nil {
		t.Fatal(err)
	}
}

// undisturbed adds the large board, and tells what the base then lists and how
// long the writing took.
func undisturbed(t *testing.T) (string, time.Duration) {
	t.Helper()
	cmd, reported := startImport(t)
	reported()
	start := time.Now()
	if err := cmd.Wait(); err != nil {
		t.Fatal(err)
	}
	return contents(t), time.Since(start)
}

// startImport starts an import; reported returns when the file has been read
// and the writing is next.
func startImport(t *testing.T) (cmd *exec.Cmd, reported func()) {
	t.Helper()
	cmd = exec.Command("netlore", addLarge...)
	complaints, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	cmd.Env = append(os.Environ(), "NETLORE_AUTHOR=bench-1", "NETLORE_NOW=2026-03-16T09:00:00Z")
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	return cmd, func() {
		line, err := bufio.NewReader(complaints).ReadString('\n')
		if !strings.Contains(line, "records") {
			t.Errorf("instead of its report it says %q, %v", line, err)
		}
	}
}

func interrupted(t *testing.T, signal syscall.Signal, after time.Duration) *os.ProcessState {
	t.Helper()
	cmd, reported := startImport(t)
	reported()
	time.Sleep(after)
	cmd.Process.Signal(signal)
	cmd.Wait()
	return cmd.ProcessState
}

// largeNetlist writes a netlist of so many parts with one pin each.
func largeNetlist(t testing.TB, name string, parts int) {
	t.Helper()
	file, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	w := bufio.NewWriter(file)
	w.WriteString(d356Head)
	for i := range parts {
		fmt.Fprintf(w, "327NET%-11d   C%-5d-1          A01X+%06dY+%06dX0500Y0600R000 S0\n", i%500, i+1, 1000*(i%900), 100*(i/900))
	}
	w.WriteString("999\n")
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	if err := file.Close(); err != nil {
		t.Fatal(err)
	}
}

// TestInterruptWhileWaitingForInput sends SIGINT to commands that wait for
// standard input, or for somebody to write to a named pipe, which may never
// come: they end at once.
func TestInterruptWhileWaitingForInput(t *testing.T) {
	benchWithBase(t)
	before := contents(t)
	if err := syscall.Mkfifo("pipe", 0o600); err != nil {
		t.Fatal(err)
	}
	var all sync.WaitGroup
	for _, args := range []string{"add -", "check -", "ask", "add pipe", "fmt pipe", "ask -f pipe"} {
		// A signal that comes before the program has begun ends it as usual; then
		// it is sent later.
		all.Go(func() {
			code, complaints := -1, ""
			for pause := 200 * time.Millisecond; code == -1 && pause < 10*time.Second; pause *= 2 {
				code, complaints = waiting(t, pause, args)
			}
			if code != exitInterrupted || complaints != "netlore: stopped\n" {
				t.Errorf("%s: exit code %d: %s", args, code, complaints)
			}
		})
	}
	all.Wait()
	sound(t, before)
}

// waiting runs a command that waits for input, and interrupts it after a pause.
func waiting(t *testing.T, pause time.Duration, args string) (int, string) {
	t.Helper()
	cmd := exec.Command("netlore", append([]string{"--base", "base"}, strings.Fields(args)...)...)
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	var complaints bytes.Buffer
	cmd.Stderr = &complaints
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	io.WriteString(in, "# waiting\n")
	time.Sleep(pause)
	cmd.Process.Signal(os.Interrupt)
	late := time.AfterFunc(10*time.Second, func() { cmd.Process.Kill() })
	cmd.Wait()
	if !late.Stop() {
		t.Errorf("%s: still there 10 s after SIGINT", args)
	}
	return cmd.ProcessState.ExitCode(), complaints.String()
}

// TestNamedPipes reads pipes, which can be read only once: what a file is, is
// told by the same bytes that are then used.
func TestNamedPipes(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, c := range []struct{ text, args, says string }{
		{d356Head + d356Record + "999\n", "add pipe", "board wren: "},
		{wren, "add pipe", "board Wren rev 1: "},
		{placements + "C1,10uF,0402,1,2,top\n", "add pipe --board Finch", "board Finch: "},
		{wren, "check pipe", "1 sheet: 0 errors"},
		{"count parts", "ask --on Finch -f pipe", "count\n"},
	} {
		if err := syscall.Mkfifo("pipe", 0o600); err != nil {
			t.Fatal(err)
		}
		written := make(chan error)
		go func() { written <- os.WriteFile("pipe", []byte(c.text), 0o600) }()
		code, out, complaints := command(t, "", append([]string{"--base", "base"}, strings.Fields(c.args)...)...)
		if code != exitOK || !strings.HasPrefix(out, c.says) {
			t.Errorf("%s: exit code %d: %s%s", c.args, code, out, complaints)
		}
		if err := <-written; err != nil {
			t.Error(err)
		}
		if err := os.Remove("pipe"); err != nil {
			t.Fatal(err)
		}
	}
}

// TestCancelledBetweenReadingAndAdding stops an import when its report is
// written: nothing is added.
func TestCancelledBetweenReadingAndAdding(t *testing.T) {
	benchWithBase(t)
	before := contents(t)
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	env := Env{In: strings.NewReader(d356Head + d356Record + "999\n"), Out: io.Discard, Err: writerFunc(func(p []byte) {
		if bytes.Contains(p, []byte("records")) {
			cancel()
		}
	}), Getenv: func(string) string { return "" }, Now: time.Now}
	if code := Run(ctx, env, []string{"--base", "base", "add", "-"}); code != exitInterrupted {
		t.Errorf("exit code %d, want %d", code, exitInterrupted)
	}
	sound(t, before)
}

type writerFunc func([]byte)

func (f writerFunc) Write(p []byte) (int, error) { f(p); return len(p), nil }
