//go:build unix

package cli

import (
	"bufio"
	"bytes"
	"context"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"netlore/store"
	"netlore/store/board"
)

// TestReadKilled kills netlore read with SIGKILL after some verdicts: each that
// was told is in the base.
func TestReadKilled(t *testing.T) {
	dir := heronBase(t)
	cmd := exec.Command("netlore", "--base", "base", "read", "--job", "1042")
	cmd.Dir = dir
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go io.WriteString(in, strings.Repeat("lower:P62 0.487\n", 1000))
	told := bufio.NewReader(out)
	last := ""
	for range 3 {
		line, err := told.ReadString('\n')
		if err != nil {
			t.Fatal(err)
		}
		last, _, _ = strings.Cut(line, " ")
	}
	cmd.Process.Kill()
	cmd.Wait()
	code, shown, complaints := command(t, "", "--base", filepath.Join(dir, "base"), "export", "job", "1042")
	_, number, _ := strings.Cut(last, ".")
	if code != exitOK || number == "" || !strings.Contains(shown, "\n  "+number+" reading diode lower:P62 0.487V") {
		t.Errorf("%s was told, and is not there:\n%s%s", last, shown, complaints)
	}
}

// TestReadLetsOthersIn enters readings without a pause, longer than the base is
// kept open, while another adds a step of its own.
func TestReadLetsOthersIn(t *testing.T) {
	dir := heronBase(t)
	base := filepath.Join(dir, "base")
	lines, typed := io.Pipe()
	var out, complaints bytes.Buffer
	env := Env{In: lines, Out: &out, Err: &complaints, Getenv: func(string) string { return "" }, Now: time.Now}
	ended := make(chan int, 1)
	go func() { ended <- Run(t.Context(), env, []string{"--base", base, "read", "--job", "1042"}) }()
	entered, logged := 1, false
	if _, err := io.WriteString(typed, "lower:P62 0.487\n"); err != nil {
		t.Fatal(err)
	}
	other := make(chan int, 1)
	go func() {
		code, _, complaints := command(t, "", "--base", base, "job", "log", "1042", `note "somebody else"`)
		t.Log(complaints)
		other <- code
	}()
	for !logged {
		if _, err := io.WriteString(typed, "lower:P62 0.487\n"); err != nil {
			t.Fatal(err)
		}
		entered++
		select {
		case code := <-other:
			if logged = true; code != exitOK {
				t.Error("the other one did not get the base")
			}
		default:
		}
	}
	typed.Close()
	if code := <-ended; code != exitOK {
		t.Error(code, complaints.String())
	}
	_, shown, _ := command(t, "", "--base", base, "export", "job", "1042")
	if told := strings.Count(out.String(), "matching"); told != entered || strings.Count(shown, "reading diode lower:P62 0.487V") < entered || !strings.Contains(shown, "somebody else") {
		t.Errorf("%d were entered, %d told:\n%s", entered, told, shown)
	}
}

// BenchmarkRead is from a reading that is accepted to its verdict, which is told
// when it is on disk, beside a line that is added to a file and synced, in the
// same run. Accepted one by one, each opens the base anew, as where a person
// types, and it is closed when the verdict has been told; in a burst it stays
// open. Wanted: 15 ms at most.
func BenchmarkRead(b *testing.B) {
	b.Run("append", func(b *testing.B) {
		file, err := os.Create(filepath.Join(b.TempDir(), "log"))
		if err != nil {
			b.Fatal(err)
		}
		defer file.Close()
		for b.Loop() {
			if _, err := file.WriteString("reading diode lower:P62 0.487V\n"); err != nil {
				b.Fatal(err)
			}
			if err := file.Sync(); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("accept", func(b *testing.B) { benchmarkAccept(b, true) })
	b.Run("burst", func(b *testing.B) { benchmarkAccept(b, false) })
}

func benchmarkAccept(b *testing.B, anew bool) {
	base := filepath.Join(b.TempDir(), "base")
	env := Env{In: strings.NewReader(""), Out: io.Discard, Err: io.Discard, Getenv: func(string) string { return "" }, Now: time.Now}
	if code := Run(b.Context(), env, []string{"--base", base, "add", "../../../testdata/heron"}); code != exitOK {
		b.Fatal("exit code", code)
	}
	var out bytes.Buffer
	env.Out = &out
	a := &app{Env: env, output: &output{to: &out}, baseDir: base, wait: time.Second}
	e, err := newEntry(a, enterOptions{job: "1042", mode: "diode"}, "")
	if err != nil {
		b.Fatal(err)
	}
	ctx := context.Background()
	if err := a.reading(ctx, func(base *store.Base) error { return e.prepare(ctx, base, "") }); err != nil {
		b.Fatal(err)
	}
	on := board.Target{Kind: board.OnPad, Role: "lower", Name: "P62"}
	said := meterValue{is: board.MustQuantity("0.487V")}
	closing := time.Duration(0)
	for b.Loop() {
		if err := e.save(ctx, on, said); err != nil {
			b.Fatal(err)
		}
		if anew { // behind the person's back
			b.StopTimer()
			start := time.Now()
			if err := e.hold.end(); err != nil {
				b.Fatal(err)
			}
			closing += time.Since(start)
			b.StartTimer()
		}
	}
	b.ReportMetric(float64(closing.Nanoseconds())/float64(b.N), "ns-closing/op")
	if err := e.hold.end(); err != nil || !strings.Contains(out.String(), "matching") {
		b.Error("no verdict was told:", err)
	}
}
