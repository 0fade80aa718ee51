package lsp_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"netlore/cmd/internal/lsp"
	"netlore/store/sheet"
)

// bigSheet is a board of 5,000 parts, each on ground and on one of 2,500 nets,
// all with places: 17,500 lines.
func bigSheet() string {
	r := rand.New(rand.NewPCG(1, 1))
	var s strings.Builder
	s.WriteString("netlore 1\nboard Big rev 1 size 120x80mm\n\ncover SH1 shield top box 10,10 60,60 lift hot-air 12min risk medium\n\n")
	for i := range 5000 {
		fmt.Fprintf(&s, "part C%d %duF 6.3V 0402 top at %.2f,%.2f\n", i, 1+r.IntN(99), r.Float64()*120, r.Float64()*80)
	}
	s.WriteString("\nnet GND ground\n")
	for i := range 5000 {
		fmt.Fprintf(&s, "  C%d 2\n", i)
	}
	for i := range 2500 {
		fmt.Fprintf(&s, "net N%d signal\n  C%d 1\n  C%d 1\n", i, 2*i, 2*i+1)
	}
	return s.String()
}

// BenchmarkKeystroke types one letter into a sheet of 5,000 parts. What an
// editor waits for before it shows suggestions is "complete"; "complaints" is
// until all that is wrong has been told. The baseline, in the same run, is to
// parse and check the whole sheet, which the check command does.
func BenchmarkKeystroke(b *testing.B) {
	text := bigSheet()
	b.Run("baseline-check", func(b *testing.B) {
		for b.Loop() {
			f, found := sheet.Parse("big", []byte(text))
			if found = append(found, sheet.CheckAll(f)...); len(found) > 0 {
				b.Fatal(found)
			}
		}
	})
	line := strings.Count(text, "\n")
	for _, ask := range []string{"textDocument/completion", "textDocument/hover", "complaints"} {
		b.Run(strings.TrimPrefix(ask, "textDocument/"), func(b *testing.B) {
			c := typist(b, text, ask)
			for version := 2; b.Loop(); version += 2 {
				c.key(version, line, 0, 0, "note on C")
				c.wait(ask, version, fmt.Sprintf(`{"textDocument":{"uri":"untitled:big"},"position":{"line":%d,"character":9}}`, line))
				c.key(version+1, line, 0, 9, "")
				if ask == "complaints" {
					c.wait(ask, version+1, "")
				}
			}
			if ask == "complaints" {
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(2*b.N), "ns/keystroke")
			}
		})
	}
}

// A typing is a client that types into the big sheet.
type typing struct {
	*client
	b *testing.B
}

// typist opens the big sheet. Who waits for an answer types fast, so that
// nothing is checked before the next letter.
func typist(b *testing.B, text, ask string) *typing {
	opt := lsp.Options{Quiet: 150 * time.Millisecond}
	if ask == "complaints" {
		opt.Quiet = 0
	}
	t := &typing{connect(b, opt), b}
	t.ask("initialize", `{"capabilities":`+modern+`}`)
	t.open("untitled:big", text)
	t.complaints("untitled:big", 1)
	return t
}

func (t *typing) key(version, line, from, to int, text string) {
	t.tell("textDocument/didChange", fmt.Sprintf(`{"textDocument":{"uri":"untitled:big","version":%d},"contentChanges":[{"range":{"start":{"line":%d,"character":%d},"end":{"line":%d,"character":%d}},"text":%q}]}`,
		version, line, from, line, to, text))
}

func (t *typing) wait(ask string, version int, params string) {
	if ask == "complaints" {
		t.complaints("untitled:big", version)
		return
	}
	t.told = t.told[:0]
	if len(t.ask(ask, params)) < len("null") {
		t.b.Fatal("nothing is answered")
	}
}
