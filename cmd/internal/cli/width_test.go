package cli

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/mattn/go-runewidth"
)

// TestAnswersFitTheTerminal looks at tables as technicians do: on terminals of
// 80, 100 and 160 columns, of the questions that fill them most. A row stays a
// row, for columns are compared by eye.
func TestAnswersFitTheTerminal(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, args := range [][]string{{"demo", "--to", "heron"}, {"--base", "base", "add", "heron"}} {
		if code, _, complaints := command(t, "", args...); code != exitOK {
			t.Fatal(complaints)
		}
	}
	for _, line := range []string{
		"branches of VMAIN", "hidden parts on VMAIN", "possibly hidden parts on VMAIN", "covers", "notes", "jobs",
		"readings on VMAIN", "expected", "power nets", "pads on lower:VMAIN", "pins of lower:U300",
		"suspects in job 1042", "hidden suspects in job 1042", "possibly hidden suspects in job 1042 with kind = copper or other", "tests for job 1042",
	} {
		for _, width := range []int{80, 100, 160} {
			out := onTerminal(t, width, "--base", "base", "ask", line)
			rows := strings.Split(out, "\n")
			for _, row := range rows {
				if w := runewidth.StringWidth(row); w > width {
					t.Errorf("%s: %d columns in a terminal of %d:\n%s", line, w, width, row)
				}
			}
			if !strings.Contains(out, "──") {
				t.Errorf("%s on %d columns is no table:\n%.400s", line, width, out)
			}
		}
	}
	for _, args := range [][]string{{"boards"}, {"show", "Heron"}, {"show", "Heron-B"}} {
		out := onTerminal(t, 80, append([]string{"--base", "base"}, args...)...)
		for row := range strings.SplitSeq(out, "\n") {
			if w := runewidth.StringWidth(row); w > 80 {
				t.Errorf("%s: %d columns in a terminal of 80:\n%s", args, w, row)
			}
		}
	}
}

// onTerminal is what a command prints on a terminal of so many columns.
func onTerminal(t *testing.T, width int, args ...string) string {
	t.Helper()
	var out, complaints bytes.Buffer
	env := Env{In: strings.NewReader(""), Out: &out, Err: &complaints, Getenv: func(string) string { return "" }, Now: time.Now,
		OutTerminal: true, Width: width, ErrWidth: width}
	if code := Run(t.Context(), env, args); code != exitOK {
		t.Fatalf("%q: exit code %d: %s", args, code, &complaints)
	}
	return out.String()
}
