package sheet

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// sampleSheets are sheets from the demo and from the conformance suite, as
// text, valid or not.
func sampleSheets(t testing.TB) map[string][]byte {
	t.Helper()
	samples := map[string][]byte{"generated": boardSheet(60)}
	for _, pattern := range []string{"../../testdata/heron/*.lore", "../../testdata/sheet/*/*.txtar"} {
		names, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			for i, part := range bytes.SplitAfter(text, []byte("--\n")) {
				if len(part) < 64<<10 && bytes.HasPrefix(part, []byte("netlore")) {
					samples[name+string(rune('a'+i))] = part
				}
			}
		}
	}
	if len(samples) < 20 {
		t.Fatalf("%d samples only", len(samples))
	}
	return samples
}

// TestAsIs compares the quick way with the long one. With two blanks between
// the words no line can be taken as it is, and all are decoded and printed.
func TestAsIs(t *testing.T) {
	lines, taken := 0, 0
	for name, text := range sampleSheets(t) {
		f, _ := Parse(name, text)
		wide, _ := Parse(name, widened(f))
		if d := cmp.Diff(string(wide.Canonical()), string(f.Canonical())); d != "" {
			t.Errorf("%s: (- long way, + quick way)\n%s", name, d)
		}
		g := gather(f)
		for i := range f.lines {
			if l := &f.lines[i]; l.state == statementLine || l.state == memberLine {
				lines++
				if _, ok := g.asIs(f, l); ok {
					taken++
				}
			}
		}
	}
	if taken*2 < lines {
		t.Errorf("only %d of %d lines are taken as they are", taken, lines)
	}
}

// widened is a file with two blanks between the words of all lines that could
// be read, but for very long ones.
func widened(f *File) []byte {
	if f.raw {
		return []byte(f.text)
	}
	var s bytes.Buffer
	for i := range f.lines {
		l := &f.lines[i]
		if l.state != statementLine && l.state != memberLine || len(f.lineText(l)) > MaxLine/2 {
			s.WriteString(f.lineText(l) + "\n")
			continue
		}
		if l.state == memberLine {
			s.WriteString("  ")
		}
		for _, t := range f.lineTokens(l) {
			s.WriteString(f.tokenText(t))
			if t.marks&comma != 0 {
				s.WriteString(",")
			}
			s.WriteString("  ")
		}
		s.WriteString(f.comment(l) + "\n")
	}
	return s.Bytes()
}

func TestCanonicalNumber(t *testing.T) {
	for text, want := range map[string]bool{
		"0": true, "12": true, "12.3": true, "0.005": true, "-4.25": true, "100": true,
		"-0": false, "012": false, "12.30": false, "12.": false, ".5": false, "+1": false, "1.2345": false, "": false, "1.2.3": false, "1e3": false,
	} {
		if got := canonicalNumber(text); got != want {
			t.Errorf("%q: %v", text, got)
		}
		if n, ok := thousandths(text); want && (!ok || string(appendThousandths(nil, n)) != text) {
			t.Errorf("%q is printed as %s", text, appendThousandths(nil, n))
		}
	}
}
