package sheet

import (
	"bytes"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// FuzzParse holds every text to the promises of canonical form: it is found
// without a panic, it is its own canonical form, it says the same, and it has
// all comments and all lines that could not be read.
func FuzzParse(f *testing.F) {
	for _, text := range sampleSheets(f) {
		if len(text) < 4<<10 {
			f.Add(text)
		}
	}
	f.Add([]byte("netlore 1\n  x\n# a\npart C1\n\t# b\n  1 #c\nnett\n  y\n# end"))
	f.Add([]byte("netlore 1.9\r\npart P1..P3 new 7 # odd\r\npad P1..P3 at 1 , 2\r\n"))
	f.Add([]byte("netlore 1\njob 7\n  1 draw lower 0.1A\n  2 draw \"lower\" 2A\n  3 tape P1..P4 gone\n  4 joined still"))
	f.Add([]byte("\ufeffnetlore 1\ncover C over A,B\n  pad P1..P2 # c\ncover C over nothing"))
	f.Fuzz(func(t *testing.T, text []byte) {
		first, found := Parse("fuzz", text)
		for _, d := range found {
			if _, ok := Explain(d.Code); !ok {
				t.Errorf("code %s is not explained", d.Code)
			}
		}
		canonical := first.Canonical()
		second, _ := Parse("fuzz", canonical)
		if d := cmp.Diff(string(canonical), string(second.Canonical())); d != "" {
			t.Fatalf("canonical text changes when it is made canonical\n%s", d)
		}
		if first.raw {
			return
		}
		if d := cmp.Diff(texts(first.Blocks()), texts(second.Blocks())); d != "" {
			t.Errorf("canonical text says something else\n%s", d)
		}
		if d := cmp.Diff(keptTexts(first), keptTexts(second)); d != "" {
			t.Errorf("comments or unread lines are lost\n%s", d)
		}
	})
}

func texts(blocks []Block) []string {
	var all []string
	for _, b := range blocks {
		all = append(all, b.Key+"|"+b.Text)
	}
	return all
}

// keptTexts lists the comments and the unread lines of a file, sorted.
func keptTexts(f *File) []string {
	var all []string
	for i := range f.lines {
		switch l := &f.lines[i]; l.state {
		case keptLine, keptMember, orphanLine:
			all = append(all, f.lineText(l))
		default:
			if c := f.comment(l); c != "" {
				all = append(all, c)
			}
		}
	}
	slices.Sort(all)
	return all
}

// FuzzRead holds reading to its promises: no panic; what is written says what
// was read; a file read with itself, or in two halves, says the same.
func FuzzRead(f *testing.F) {
	for _, text := range sampleSheets(f) {
		if len(text) < 4<<10 {
			f.Add(text, uint16(len(text)/2))
		}
	}
	f.Add([]byte("netlore 1\nstack S\n  a A\n  b B rev 1\njoin a:P1..P3 b:P1..P3\nnote on a:P1..P3 \"x\""), uint16(30))
	f.Fuzz(func(t *testing.T, text []byte, cut uint16) {
		file, found := Parse("fuzz", text)
		if found.HasErrors() || file.minor > 0 {
			return
		}
		c, contradictions := Read(file)
		Check(c, file)
		if contradictions.HasErrors() {
			return
		}
		written := Write(c)
		again, found := Parse("written", written)
		if found.HasErrors() {
			t.Fatalf("what is written cannot be read: %v\n%s", found, written)
		}
		if d := cmp.Diff(string(written), string(again.Canonical())); d != "" {
			t.Errorf("what is written is not canonical\n%s", d)
		}
		back, _ := Read(again)
		if d := cmp.Diff(string(written), string(Write(back))); d != "" {
			t.Errorf("what is written says something else\n%s", d)
		}
		first, second := halves(file, int(cut))
		both, _ := Read(second, first, file)
		if d := cmp.Diff(string(written), string(Write(both))); d != "" {
			t.Errorf("the halves say something else than the whole\n%s", d)
		}
	})
}

// halves cuts a file at the start of the statement after a byte offset.
func halves(f *File, at int) (first, second *File) {
	var parts [2]bytes.Buffer
	half := 0
	for i := range f.lines {
		l := &f.lines[i]
		if int(l.start) > at && l.state == statementLine {
			half = 1
		}
		if l.state != headerLine {
			parts[half].WriteString(f.lineText(l) + "\n")
		}
	}
	first, _ = Parse("first", []byte("netlore 1\n"+parts[0].String()))
	second, _ = Parse("second", []byte("netlore 1\n"+parts[1].String()))
	return first, second
}
