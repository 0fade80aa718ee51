package record

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"

	"netlore/query/diag"
)

func TestLines(t *testing.T) {
	long := strings.Repeat("x", MaxLine+10)
	for name, c := range map[string]struct {
		text string
		want []string
		cut  int // number of the line that is cut, or 0
	}{
		"empty":              {"", nil, 0},
		"no end":             {"a\nb", []string{"a", "b"}, 0},
		"LF":                 {"a\n\nb\n", []string{"a", "", "b"}, 0},
		"CRLF":               {"a\r\n\r\nb\r\n", []string{"a", "", "b"}, 0},
		"lone CR":            {"a\rb\r\rc\r", []string{"a", "b", "", "c"}, 0},
		"mixed":              {"a\rb\r\nc\nd", []string{"a", "b", "c", "d"}, 0},
		"too long, at first": {long + "\nb\n", []string{long[:MaxLine], "b"}, 1},
		"too long, at last":  {"a\n" + long, []string{"a", long[:MaxLine]}, 2},
		"just fits":          {long[:MaxLine-1] + "\nb", []string{long[:MaxLine-1], "b"}, 0},
		"very long":          {strings.Repeat(long, 5) + "\nb", []string{long[:MaxLine], "b"}, 1},
	} {
		t.Run(name, func(t *testing.T) {
			for _, in := range []io.Reader{strings.NewReader(c.text), iotest.HalfReader(strings.NewReader(c.text))} {
				var got []string
				l := NewLineReader(in)
				for l.Next() {
					got = append(got, string(l.Line()))
					if l.Cut() != (l.Number() == c.cut) {
						t.Errorf("line %d cut: %v", l.Number(), l.Cut())
					}
				}
				if diff := cmp.Diff(c.want, got); diff != "" || l.Err() != nil {
					t.Errorf("(-want +got):\n%s%v", diff, l.Err())
				}
			}
		})
	}
}

func TestLinesTellTheReadError(t *testing.T) {
	torn := errors.New("torn")
	l := NewLineReader(io.MultiReader(strings.NewReader("a\nb"), iotest.ErrReader(torn)))
	n := 0
	for l.Next() {
		n++
	}
	if !errors.Is(l.Err(), torn) || n != 2 {
		t.Errorf("%d lines, error %v", n, l.Err())
	}
}

func TestWatch(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	var done []int64
	in := Watch(ctx, iotest.OneByteReader(strings.NewReader("abcdef")), func(n int64) {
		if done = append(done, n); n == 3 {
			cancel()
		}
	})
	got, err := io.ReadAll(in)
	if string(got) != "abc" || !errors.Is(err, context.Canceled) || !cmp.Equal(done, []int64{1, 2, 3}) {
		t.Errorf("read %q, %v, progress %v", got, err, done)
	}
}

func TestReportBalances(t *testing.T) {
	r := Report{File: "h.ipc", Lines: 3}
	a, b := r.Kind("327", "surface pad"), r.Kind("C", "comments")
	if again := r.Kind("327", ""); again != a {
		t.Error("a kind was made twice")
	}
	a.See()
	a.See()
	b.See()
	a.Use()
	for name, step := range map[int]func(){1: func() { a.Use() }, 2: func() { b.Explain(3, "a comment") }} {
		if r.Balanced() == nil {
			t.Errorf("balanced with %d to go", name)
		}
		step()
	}
	if err := r.Balanced(); err != nil {
		t.Error(err)
	}
	r.Lines++
	if err := r.Balanced(); err == nil || err.Error() != "h.ipc: 4 lines read, 3 of them counted by kind" {
		t.Errorf("a lost line: %v", err)
	}
	a.Explained++
	a.Seen++
	if err := r.Balanced(); err == nil || !strings.Contains(err.Error(), "by reasons for 0") {
		t.Errorf("an explanation without reason: %v", err)
	}
}

func TestReasonsKeepTheFirstLines(t *testing.T) {
	var c Count
	for line := 1; line <= 50; line++ {
		c.Explain(line, [2]string{"odd", "even"}[line%2])
	}
	if len(c.Reasons) != 2 || c.Reasons[0].Count != 25 || len(c.Reasons[0].Lines) != 20 || c.Reasons[0].Lines[19] != 39 {
		t.Errorf("%+v", c.Reasons[0])
	}
}

func TestNotesAreFewOfACode(t *testing.T) {
	r := Report{File: "h.ipc"}
	for i := range 30 {
		r.Add(diag.Diagnostic{Code: "D1", Line: i + 1})
		r.Add(diag.Diagnostic{Code: fmt.Sprintf("E%d", i)})
	}
	if len(r.Notes) != 50 || !cmp.Equal(r.Left, []Left{{"D1", 10}}) || r.Notes[0].File != "h.ipc" || !r.Full("D1") || r.Full("E1") {
		t.Errorf("%d notes, left %v", len(r.Notes), r.Left)
	}
}

func TestInputsOpenAgain(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.ipc")
	if err := os.WriteFile(path, []byte("abc"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, in := range []Input{File(path), Text("a", []byte("abc"))} {
		for range 2 {
			r, err := in.Open()
			if err != nil {
				t.Fatal(err)
			}
			got, err := io.ReadAll(r)
			if string(got) != "abc" || err != nil || r.Close() != nil {
				t.Errorf("%s: %q, %v", in.Name, got, err)
			}
		}
	}
}
