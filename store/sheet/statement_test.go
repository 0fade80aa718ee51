package sheet

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestStatements(t *testing.T) {
	text := `netlore 1
board Wren rev 1
  size 20x10mm
outline box 0,0 20,10

# of the supply
net VMAIN power
  C12 1
  # between
  "U 3" A4..A7
  # after
pad P1..P3 on VMAIN
via on VMAIN at 1,2 drill 0.2mm
hole drill 2mm at 1,2
expect diode net VMAIN open
note on VMAIN,P1 "x"
nett X
job 7
  1 tape P1
  2 separated
`
	f, _ := Parse("", []byte(text))
	var got []string
	for _, s := range f.Statements() {
		got = append(got, s.Kind+" | "+s.Title+" | "+text[s.At.Start:s.At.End]+" | "+lastLine(text[s.Whole.Start:s.Whole.End]))
		for _, m := range s.Members {
			got = append(got, "  "+m.Title+" | "+text[m.At.Start:m.At.End]+" | "+text[m.Whole.Start:m.Whole.End])
		}
	}
	want := []string{
		"board | Wren | Wren |   size 20x10mm", "  size 20x10mm | size 20x10mm | size 20x10mm",
		"outline | box 0,0 20,10 | box 0,0 20,10 | outline box 0,0 20,10",
		`net | VMAIN | VMAIN |   "U 3" A4..A7`, "  C12 | C12 | C12 1", `  U 3 | "U 3" | "U 3" A4..A7`,
		"pad | P1..P3 | P1..P3 | pad P1..P3 on VMAIN",
		"via | on VMAIN | on VMAIN | via on VMAIN at 1,2 drill 0.2mm",
		"hole | drill 2mm | drill 2mm | hole drill 2mm at 1,2",
		"expect | diode net VMAIN | diode net VMAIN | expect diode net VMAIN open",
		`note | on VMAIN,P1 | on VMAIN,P1 | note on VMAIN,P1 "x"`,
		"job | 7 | 7 |   2 separated", "  1 tape P1 | 1 tape P1 | 1 tape P1", "  2 separated | 2 separated | 2 separated",
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

func lastLine(s string) string { return s[strings.LastIndexByte(s, '\n')+1:] }

// TestCheckAll finds a join to a pad that its board, in another file, does not
// have.
func TestCheckAll(t *testing.T) {
	var files []*File
	for _, text := range []string{
		"stack S\n  lower A rev 1\n  upper B\njoin lower:P1 upper:P1\njoin lower:P2 upper:P2\n",
		"board A rev 1\nnet GND ground\npad P1 on GND\npad P2\n",
		"board B rev 1\nnet GND ground\npad P1 on GND\n",
		"board C rev 1\nnet X\n",
	} {
		f, found := Parse("f", []byte("netlore 1\n"+text))
		if len(found) > 0 {
			t.Fatal(found)
		}
		files = append(files, f)
	}
	var codes []string
	for _, d := range CheckAll(files...) {
		codes = append(codes, d.Code)
	}
	if d := cmp.Diff([]string{"S404", "S401"}, codes); d != "" {
		t.Error(d)
	}
}
