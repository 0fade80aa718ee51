package sheet

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/store/board"
)

// TestMentions lists the names of one line, each as it is written in the file,
// with what it is the name of.
func TestMentions(t *testing.T) {
	const known = "part C12\npart U3\nnet VMAIN also VSYS\n  C12 1\n  U3 4..7\npad P11\ncover SH1\nbranch B.1 on VMAIN\npart \"A B\"\n"
	tests := map[string]struct{ line, want string }{
		"board":           {"board Heron-A rev 3", "Heron-A board! 3 revision"},
		"stack":           {"stack Heron\n  lower Heron-B rev 2", "Heron stack! lower role! Heron-B board 2 revision"},
		"cover":           {"cover SH1 over C12,C13 lift hot-air", "SH1 cover! C12 part C13 part hot-air way to lift a cover"},
		"over nothing":    {"cover SH1 over nothing", "SH1 cover!"},
		"cover list":      {"cover SH1\n  C12\n  pad P11..P13", "SH1 cover! C12 part P11..P13 pad P11 P11..P13 pad P12 P11..P13 pad P13"},
		"part":            {"part C12 10uF package QFN-9 for audio,radio", "C12 part! QFN-9 package audio function radio function"},
		"chip code":       {"part C12 0402", "C12 part! 0402 package"},
		"pins of a part":  {"part U3\n  A4 top at 1,2", "U3 part! A4 pin of U3!"},
		"net":             {"net VMAIN power 3.8V also VSYS,VB\n  C12 1\n  U3 4..5 7", "VMAIN net! VSYS net VB net C12 part 1 pin of C12 U3 part 4..5 pin 4 of U3 4..5 pin 5 of U3 7 pin of U3"},
		"range of pads":   {"pad P1..P2 on VMAIN in IP1", "P1..P2 pad P1! P1..P2 pad P2! VMAIN net IP1 frame"},
		"branch":          {"branch B.1 on VMAIN\n  pad P11\n  C12 1", "B.1 branch! VMAIN net P11 pad C12 part 1 pin of C12"},
		"join":            {"join lower:P11 upper:\"P 1\" in IP1", "lower role P11 pad in lower upper role \"P 1\" pad P 1 in upper IP1 frame"},
		"join of ranges":  {"join lower:P1..P2 \"the upper\":P3..P4", "lower role P1..P2 pad P1 in lower P1..P2 pad P2 in lower \"the upper\" role the upper P3..P4 pad P3 in the upper P3..P4 pad P4 in the upper"},
		"copper":          {"track on VMAIN layer 1 path 1,2", "VMAIN net"},
		"target by name":  {"expect diode VMAIN 0.4V by bench-2", "VMAIN net bench-2 author"},
		"alias":           {"expect diode VSYS 0.4V", "VSYS net"},
		"pin by name":     {"expect diode C12.1 0.4V", "C12 part 1 pin of C12"},
		"pin by word":     {"expect diode pin \"A B\".\"1.2\" 0.4V", "\"A B\" part A B \"1.2\" pin 1.2 of A B"},
		"unknown":         {"expect diode NOWHERE 0.4V", ""},
		"unknown by word": {"expect diode net NOWHERE 0.4V", "NOWHERE net"},
		"second probe":    {"reading diode VMAIN to pad P11 0.4V meter M1 state off,cold job 7 specimen s-1", "VMAIN net P11 pad M1 meter off state cold state 7 job s-1 specimen"},
		"note":            {"note on SH1,board Heron-A,B.1 \"x\" tagged heat", "SH1 cover Heron-A board B.1 branch heat tag"},
		"range of pins":   {"note on pin U3.4..U3.5 \"x\"", "U3.4..U3.5 part U3 U3.4..U3.5 pin 4 of U3 U3.4..U3.5 part U3 U3.4..U3.5 pin 5 of U3"},
		"continuity":      {"continuity C12.1 P11", "C12 part 1 pin of C12 P11 pad"},
		"job":             {"job 7 of Heron culprit VMAIN outcome repaired by b\n  1 tape P11..P12\n  2 reading diode VMAIN 3mV\n  3 hot SH1", "7 job! Heron device VMAIN net repaired outcome b author P11..P12 pad P11 P11..P12 pad P12 VMAIN net SH1 cover"},
		"role":            {"reading diode lower:VMAIN 0.4V", "lower role VMAIN net in lower"},
		"unreadable":      {"net VMAIN power 3.8F\n  C12 1", ""},
		"odd letters":     {"part \"a\\\"b\"", "\"a\\\"b\" part a\"b!"},
		"decomposed":      {"part cafe\u0301", "cafe\u0301 part café!"},
	}
	content := mustRead(t, "netlore 1\n"+known)
	tell := TellerOf(func(string) *board.Board { return content.Board })
	for name, test := range tests {
		t.Run(name, func(t *testing.T) {
			text := "netlore 1\n" + test.line + "\n"
			f, _ := Parse("", []byte(text))
			var got []string
			for m := range f.Mentions(tell) {
				got = append(got, shown(text, m))
				at, ok := f.MentionAt(m.At.Start, tell)
				if !ok || at.At != m.At || at.Sort != m.Sort && !m.Range {
					t.Errorf("at %d is %v, not %v", m.At.Start, at, m)
				}
			}
			if d := cmp.Diff(test.want, strings.Join(got, " ")); d != "" {
				t.Error(d)
			}
		})
	}
}

// shown is a mention in a few words: as written, its sort, and its name if
// that is not what is written. An exclamation mark says that it is declared.
func shown(text string, m Mention) string {
	written := text[m.At.Start:m.At.End]
	s := written + " " + m.Sort.String()
	if written != m.Name {
		s += " " + m.Name
	}
	if m.Of != "" {
		s += " of " + m.Of
	}
	if m.Role != "" {
		s += " in " + m.Role
	}
	if m.Declares {
		s += "!"
	}
	return s
}

// TestEveryNameHasASort holds the table of sorts to the table of forms.
func TestEveryNameHasASort(t *testing.T) {
	names := []*shape{nameShape, namesShape, rangeShape, pinsShape, chipShape, overShape, endShape, halfShape, targetShape, targetsShape}
	for id, f := range compiled() {
		for slot := range f.attributes {
			a := &f.attributes[slot]
			if has, is := sortsOf()[id][slot] != NoSort, slices.Contains(names, a.shape); has != is {
				t.Errorf("%s, %s: its sort is %v", f.title, a.what(), sortsOf()[id][slot])
			}
		}
	}
}

// TestMentionsKnowAllNames reads the demonstration boards: the parts, nets,
// pads, covers and branches that Read finds are those that are mentioned.
func TestMentionsKnowAllNames(t *testing.T) {
	for _, name := range []string{"heron-a", "heron-b"} {
		src, err := os.ReadFile("../../testdata/heron/" + name + ".lore")
		if err != nil {
			t.Fatal(err)
		}
		f, _ := Parse(name, src)
		content, _ := Read(f)
		b := content.Board
		got, want := map[string]bool{}, map[string]bool{}
		for m := range f.Mentions(TellerOf(func(string) *board.Board { return b })) {
			if m.Structure && m.Sort.OfBoard() && m.Sort != FrameSort && m.Sort != FunctionSort {
				got[fmt.Sprint(m.Sort, " ", m.Of, " ", m.Name)] = true
			}
		}
		for _, p := range b.Parts {
			want["part  "+p.Name] = true
		}
		for i := range b.Pins {
			want["pin "+b.Parts[b.Pins[i].Part].Name+" "+b.Pins[i].Name] = true
		}
		for _, n := range b.Nets {
			for _, name := range append(n.Aliases, n.Name) {
				want["net  "+name] = true
			}
		}
		for _, p := range b.Pads {
			want["pad  "+p.Name] = true
		}
		for _, c := range b.Covers {
			want["cover  "+c.Name] = true
		}
		for _, x := range b.Branches {
			want["branch  "+x.Name] = true
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Error(d)
		}
	}
}
