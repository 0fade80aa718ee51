package cli

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/mattn/go-runewidth"
)

// person is somebody at a terminal who does something else before typing the
// next line.
type person struct {
	lines  []string
	before func()
}

func (p *person) Read(text []byte) (int, error) {
	p.before()
	if len(p.lines) == 0 {
		return 0, io.EOF
	}
	n := copy(text, p.lines[0]+"\n")
	p.lines = p.lines[1:]
	return n, nil
}

// TestTalk asks at the prompt. While it waits for a line the base is free:
// somebody else adds a part each time, and the next answer counts it.
func TestTalk(t *testing.T) {
	benchWithBase(t)
	parts := 1
	add := func() {
		parts++
		text := fmt.Sprintf("netlore 1\nboard Wren rev 1\npart C%d 1uF\n", parts)
		if code, _, complaints := command(t, text, "--base", "base", "--wait", "0s", "add", "-"); code != exitOK {
			t.Errorf("part %d cannot be added at the prompt: %s", parts, complaints)
		}
	}
	var out, complaints bytes.Buffer
	env := Env{In: &person{[]string{"count parts", "prats", "", "help", "count parts", "quit", "never asked"}, add},
		Out: &out, Err: &complaints, InTerminal: true, OutTerminal: true, Getenv: func(string) string { return "" }, Now: time.Now}
	if code := Run(context.Background(), env, []string{"--base", "base", "ask"}); code != exitOK {
		t.Errorf("exit code %d: %s", code, &complaints)
	}
	if n := strings.Count(out.String(), prompt); n != 6 {
		t.Errorf("it asked %d times, want 6:\n%s", n, &out)
	}
	first, last := strings.Index(out.String(), "\n    2\n"), strings.LastIndex(out.String(), "\n    6\n")
	if first < 0 || last < first {
		t.Errorf("it does not count two parts and then six:\n%s", &out)
	}
	if !strings.Contains(out.String(), "A question asks for things") || !strings.Contains(complaints.String(), `"prats" is no noun`) {
		t.Errorf("it says\n%s%s", &out, &complaints)
	}
}

// TestTalkEnds ends the input at the prompt, as ^D does: the shell's own prompt
// must not stand on the same line.
func TestTalkEnds(t *testing.T) {
	benchWithBase(t)
	var out bytes.Buffer
	env := Env{In: strings.NewReader("prats\n"), Out: &out, Err: io.Discard, InTerminal: true, OutTerminal: true,
		Getenv: func(string) string { return "" }, Now: time.Now}
	if code := Run(context.Background(), env, []string{"--base", "base", "ask"}); code != exitOK || !strings.HasSuffix(out.String(), prompt+"\n") {
		t.Errorf("exit code %d, it says\n%s", code, &out)
	}
}

// TestOutputThatFails writes to a disk that is full. No command may end as if
// its answer had been read.
func TestOutputThatFails(t *testing.T) {
	benchWithBase(t)
	for _, line := range []string{"boards", "--json boards", "show Wren", "--json show Wren", "history Wren", "--json history Wren", "export Wren", "ask parts",
		"ask --as json parts", "ask --as csv parts", "ask --as markdown parts", "verify", "demo", "help", "help words", "help ask", "explain Q10", "quote x", "completion bash"} {
		var complaints bytes.Buffer
		env := Env{In: strings.NewReader(""), Out: fullDisk{}, Err: &complaints, Getenv: func(string) string { return "" }, Now: time.Now}
		code := Run(context.Background(), env, append([]string{"--base", "base"}, strings.Fields(line)...))
		if code != exitInput || !strings.Contains(complaints.String(), "the output cannot be written: no space left on device") {
			t.Errorf("%s: exit code %d: %s", line, code, &complaints)
		}
	}
}

type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) {
	return 0, &fs.PathError{Op: "write", Path: "/dev/stdout", Err: syscall.ENOSPC}
}

// Help is read on terminals of 80 columns.
func TestHelpFitsTheTerminal(t *testing.T) {
	topics := [][]string{{"help"}}
	for _, c := range newRoot(&app{}).Commands() {
		topics = append(topics, []string{"help", c.Name()})
	}
	for _, topic := range topics {
		code, out, complaints := command(t, "", topic...)
		if code != exitOK {
			t.Errorf("%s: exit code %d: %s", topic, code, complaints)
		}
		for line := range strings.Lines(out) {
			if w := runewidth.StringWidth(strings.TrimRight(line, "\n")); w > helpWidth {
				t.Errorf("%s: %d columns: %s", topic, w, line)
			}
		}
	}
}
