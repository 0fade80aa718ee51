package sheet

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestComplete(t *testing.T) {
	tests := map[string]struct {
		text string // the cursor is at |
		want string // the first words suggested
	}{
		"start of a line":          {"netlore 1\n|", "board stack outline cover part"},
		"part of a kind":           {"netlore 1\nco|", "cover continuity"},
		"name":                     {"part |", ""},
		"attributes":               {"via on GND at 1,2 |", "drill round turned layers mask"},
		"what is left":             {"via drill 0.2mm l|", "layers"},
		"values of a word":         {"cover SH1 risk |", "low medium high"},
		"name after a word":        {"pad P1 on |", ""},
		"mode":                     {"expect |", "diode ohms volts amps continuity heat"},
		"modes are positional":     {"reading diode VMAIN 0.4V r|", "red-on-ground"},
		"members with words":       {"branch B on N\n  |", "pad"},
		"members of a job":         {"job 1\n# note\n  1 re|", "reading removed replaced resistance"},
		"number of a step":         {"job 1\n  |", ""},
		"indented line of a board": {"board A\n  |", "rev layers size"},
		"after a comment":          {"part C1 # |", ""},
		"nothing above":            {"  |", ""},
		"unknown kind above":       {"nett A\n  |", ""},
	}
	for name, test := range tests {
		t.Run(name, func(t *testing.T) {
			offset := strings.IndexByte(test.text, '|')
			got := SlotAt(strings.Replace(test.text, "|", "", 1), offset).Words
			var words []string
			for _, s := range got {
				words = append(words, s.Word)
			}
			if n := len(strings.Fields(test.want)); n > 0 && n < len(words) {
				words = words[:n]
			}
			if d := cmp.Diff(test.want, strings.Join(words, " ")); d != "" {
				t.Error(d)
			}
		})
	}
}

// TestCompletedWordsAreRead types each suggestion and looks that it is not
// complained of as unknown.
func TestCompletedWordsAreRead(t *testing.T) {
	for _, head := range []string{"", "part C1 ", "net N ", "pad P ", "cover S ", "reading ohms X ", "expect heat X ", "job 1 ", "via ", "track ", "hole ", "branch B "} {
		slot := SlotAt("netlore 1\n"+head, len("netlore 1\n"+head))
		words := slot.Words
		if slot.At.Start != len("netlore 1\n"+head) || len(words) == 0 {
			t.Errorf("%q: nothing at %d", head, slot.At.Start)
		}
		for _, w := range words {
			_, found := Parse("", []byte("netlore 1\n"+head+w.Word))
			for _, d := range found {
				if d.Code == "S201" || d.Code == "S113" {
					t.Errorf("%s%s: %s", head, w.Word, d.Message)
				}
			}
			if w.Says == "" {
				t.Errorf("%s%s is not described", head, w.Word)
			}
		}
	}
}

func TestCompleteOutsideTheText(t *testing.T) {
	for _, offset := range []int{-1, 0, 5, 99} {
		if at := SlotAt("part ", offset).At; at.Start < 0 || at.End > 5 {
			t.Errorf("offset %d: %v", offset, at)
		}
	}
}

// TestKinds holds the reference data to the reader: each example is canonical.
func TestKinds(t *testing.T) {
	all := Kinds()
	if len(all) != int(lastStatement) {
		t.Errorf("%d kinds described, there are %d", len(all), lastStatement)
	}
	for _, k := range all {
		f, found := Parse("", []byte("netlore 1\n"+k.Example+"\n"))
		if len(found) > 0 {
			t.Errorf("%s: %v", k.Word, found)
			continue
		}
		blocks := f.Blocks()
		if len(blocks) != 1 || blocks[0].Kind != k.Word {
			t.Errorf("%s: the example is %v", k.Word, blocks)
			continue
		}
		if d := cmp.Diff(k.Example+"\n", blocks[0].Text); d != "" {
			t.Errorf("%s: the example is not canonical: %s", k.Word, d)
		}
		for _, a := range k.Attributes {
			if a.Says == "" || a.Takes == "" && a.Word == "" {
				t.Errorf("%s: attribute %q is not described", k.Word, a.Word)
			}
		}
	}
}
