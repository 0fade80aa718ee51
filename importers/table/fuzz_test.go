package table

import (
	"context"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/tools/txtar"

	"netlore/importers/record"
	"netlore/store/board"
)

// FuzzRead feeds any bytes. Whatever they are, the reader comes to an end, every
// row is accounted for, complaints have codes that are explained and places
// that exist, and what was read can be built into a board of printable names.
func FuzzRead(f *testing.F) {
	files, err := filepath.Glob("testdata/*.txt")
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range files {
		a, err := txtar.ParseFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(section(a, "in.csv"), uint8(0))
	}
	f.Add([]byte("\xff\xfeD\x00e\x00s\x00,\x00v\x00"), uint8(1))
	f.Add([]byte("sep=;\nRef;Value;Description\n\"C1\n\";1\xb5F;\"\"\"\"\n"), uint8(2))
	f.Add([]byte("Ref,X,Y\nC1-C4096,1e17,-9e-18\nR1,99999999999999999999,0\n"), uint8(3))
	f.Fuzz(func(t *testing.T, text []byte, length uint8) {
		if len(text) > 64<<10 {
			return
		}
		began := time.Now()
		opt := record.Options{File: "in.csv", Length: record.Length(length % 4)}
		got := readText(t, opt, string(text))
		if time.Since(began) > 5*time.Second {
			t.Error("too slow")
		}
		lines := strings.Count(strings.ReplaceAll(string(text), "\r", "\n"), "\n") + 1
		for _, d := range got.report.Notes {
			if _, ok := Explain(d.Code); !ok || d.Message == "" || d.Line > lines || d.Column > d.Before+len(d.Excerpt)+1 {
				t.Errorf("%+v", d)
			}
		}
		checkNames(t, got.board)
		if Sniff(text) == record.Certain {
			t.Error("no table is certain")
		}
		if _, err := Places(context.Background(), strings.NewReader(string(text)), opt); (err == nil) != (got.err == nil) {
			t.Errorf("places: %v, reading: %v", err, got.err)
		}
	})
}

func checkNames(t *testing.T, b *board.Board) {
	t.Helper()
	for _, p := range b.Parts {
		if !goodName(p.Name) || len(p.Text) > maxText || strings.ContainsAny(p.Text+p.Package, "\n\r\t") {
			t.Errorf("part %+v", p)
		}
	}
	for _, p := range b.Pins {
		if !goodName(p.Name) {
			t.Errorf("pin %+v", p)
		}
	}
	for _, n := range b.Nets {
		if !goodName(n.Name) {
			t.Errorf("net %+v", n)
		}
	}
	for _, p := range b.Pads {
		if !goodName(p.Name) {
			t.Errorf("pad %+v", p)
		}
	}
}
