package sheet

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/store/board"
)

// TestSlot tells at | what names can stand there.
func TestSlot(t *testing.T) {
	tests := map[string]struct {
		text string
		want string // what is replaced, then the sorts of names, then words
	}{
		"name of a part":        {"part |", "[] part"},
		"net of a pad":          {"pad P1 on V|", "[V] net"},
		"in the middle":         {"pad P1 on V|MA top", "[VMA] net"},
		"in quotation marks":    {"pad P1 on \"V M|", "[\"V M] net"},
		"list":                  {"net N also A,B|", "[B] net"},
		"list with a blank":     {"net N also A, |", "[] net"},
		"functions":             {"part C1 for audio,|", "[] function"},
		"part under a cover":    {"cover SH1\n  C|", "[C] part"},
		"pad under a cover":     {"cover SH1\n  pad P|", "[P] pad"},
		"part on a net":         {"net N\n  |", "[] part"},
		"pin on a net":          {"net N\n  U3 |", "[] pin of U3"},
		"more pins":             {"net N\n  \"U 3\" A4 A|", "[A] pin of U 3"},
		"pin of a part":         {"part U3\n# x\n  1 top\n  |", "[] pin of U3"},
		"branch":                {"branch B on N\n  |", "[] part: pad"},
		"role":                  {"stack S\n  lower |", "[] board"},
		"join":                  {"join lower:P1 |", "[] pad place, role first"},
		"target":                {"expect diode V|", "[V] net pad part cover branch place"},
		"target after its kind": {"expect diode net V|", "[V] net place"},
		"pin as a target":       {"note on C1, pin |", "[] part place"},
		"target with a kind":    {"note on p|", "[p] net pad part cover branch place: part pin pad"},
		"second probe":          {"reading diode V to |", "[] net pad part cover branch place: board part pin net pad cover branch"},
		"author":                {"note on V \"x\" by |", "[] author"},
		"step":                  {"job 7\n  1 tape |", "[] net pad part cover branch place: board part pin net pad cover branch"},
		"half of a draw":        {"job 7\n  1 draw l|", "[l] role"},
		"no half of a draw":     {"job 7\n  1 draw 2A |", "[]: by when"},
		"gone":                  {"job 7\n  1 tape P1 g|", "[g]: gone"},
		"chance of":             {"chance ta|", "[ta]: tape"},
		"share":                 {"chance tape m|", "[m]: miss"},
		"device":                {"job 7 of |", "[] board stack"},
		"mode":                  {"expect d|", "[d]: diode"},
		"no name":               {"part C1 at |", "[]"},
		"comment":               {"part C1 # on |", "[]"},
		"hash in a list":        {"net N also A,#|", "[#] net"},
		"kind":                  {"pa|", "[pa]: part pad"},
		"nothing above":         {"  |", "[]"},
		"words after a list":    {"net N also A |", "[]: ground power signal for"},
	}
	for name, test := range tests {
		t.Run(name, func(t *testing.T) {
			text := "netlore 1\n" + test.text
			s := SlotAt(strings.Replace(text, "|", "", 1), strings.IndexByte(text, '|'))
			if d := cmp.Diff(test.want, slotText(strings.Replace(text, "|", "", 1), s)); d != "" {
				t.Error(d)
			}
		})
	}
}

// TestFirstLine suggests what a sheet starts with.
func TestFirstLine(t *testing.T) {
	if s := SlotAt("ne", 2); len(s.Words) != 2 || s.Words[0].Word != "netlore 1" || s.Words[1].Word != "net" {
		t.Error(s.Words)
	}
}

func slotText(text string, s Slot) string {
	got := "[" + text[s.At.Start:s.At.End] + "]"
	for _, n := range s.Names {
		got += " " + n.String()
	}
	if s.Of != "" {
		got += " of " + s.Of
	}
	if s.Place {
		got += " place"
	}
	if s.RoleFirst {
		got += ", role first"
	}
	if len(s.Words) > 0 {
		got += ":"
	}
	for _, w := range s.Words {
		got += " " + w.Word
	}
	return got
}

// TestSlotsAgreeWithMentions types the demonstration board name by name: where
// a name stands, a name of its sort could be completed.
func TestSlotsAgreeWithMentions(t *testing.T) {
	for _, name := range []string{"heron-b", "heron-b-readings", "heron"} {
		src, err := os.ReadFile("../../testdata/heron/" + name + ".lore")
		if err != nil {
			t.Fatal(err)
		}
		f, _ := Parse("", src)
		tell := func(board.Target) board.TargetKind { return board.OnNet }
		for m := range f.Mentions(tell) {
			if m.Sort == RoleSort && !m.Declares {
				continue
			}
			s := SlotAt(string(src), m.At.End)
			if ok := strings.Contains(fmt.Sprint(s.Names), m.Sort.String()); !ok && m.Sort != PinSort && m.Sort != PackageSort && m.Sort != DeviceSort {
				t.Fatalf("%s: %q is a %s, but here can stand %v", name, src[m.At.Start:m.At.End], m.Sort, s.Names)
			}
		}
	}
}

func FuzzSlot(f *testing.F) {
	for _, s := range []string{"part C1 for a,", "join lower:P1 \"", "job 1\n  1 tape P1,", "net N\n  \"a b\" 1",
		"note on P1. \"x\"", "note on P1..P2 \"x\"", "note on U3.4..U3.7 \"x\""} {
		f.Add("netlore 1\n"+s, len(s)+10)
	}
	f.Fuzz(func(t *testing.T, text string, offset int) {
		s := SlotAt(text, offset)
		if s.At.Start < 0 || s.At.Start > s.At.End || s.At.End > len(text) {
			t.Fatalf("%v of %d bytes", s.At, len(text))
		}
		for _, w := range s.Words {
			if !strings.HasPrefix(w.Word, s.Typed) {
				t.Errorf("%q suggests %q", s.Typed, w.Word)
			}
		}
		file, _ := Parse("", []byte(text))
		for m := range file.Mentions(func(board.Target) board.TargetKind { return board.OnPin }) {
			if m.At.Start < 0 || m.At.Start >= m.At.End || m.At.End > len(text) || m.Name == "" {
				t.Fatalf("%v of %d bytes", m, len(text))
			}
		}
		for _, s := range file.Statements() {
			if s.At.Start < s.Whole.Start || s.At.End > s.Whole.End || s.Title == "" && s.Kind == "" {
				t.Fatalf("%v", s)
			}
		}
	})
}
