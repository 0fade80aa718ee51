package lsp_test

import (
	"fmt"
	"strings"
	"testing"

	"netlore/store/board"
	"netlore/store/sheet"
)

// graphs is what the sheets say of each subject, as text of the store's own
// making, line by line.
func graphs(t *testing.T, texts map[string]string) map[string][]string {
	t.Helper()
	var files []*sheet.File
	for uri, text := range texts {
		f, found := sheet.Parse(uri, []byte(text))
		if len(found) > 0 {
			t.Fatal(found)
		}
		files = append(files, f)
	}
	all := map[string][]string{}
	for _, u := range sheet.Unite(files...) {
		c := u.Content()
		all[u.Subject().Stack+u.Subject().Board.String()] = wires(c)
	}
	return all
}

// wires lists which pin is on which net, which pad, and under which cover a
// part is: the graph of a board without the order of its names.
func wires(c *sheet.Content) []string {
	counts := map[string]int{}
	if b := c.Board; b != nil {
		for i := range b.Pins {
			net := "-"
			if n := b.Pins[i].Net; n != board.None {
				net = b.Nets[n].Name
			}
			counts["pin "+b.PinName(board.PinID(i))+" on "+net]++
		}
		for i := range b.Pads {
			counts[fmt.Sprintf("pad %s on net %d pads in %s", b.Pads[i].Name, len(b.PadsOn(b.Pads[i].Net)), b.Pads[i].Group)]++
		}
		for i := range b.Covers {
			hidden := 0
			for p := range b.Parts {
				if b.CoversPart(board.CoverID(i), board.PartID(p)).Truth == board.True {
					hidden++
				}
			}
			counts[fmt.Sprintf("cover %s hides %d", b.Covers[i].Name, hidden)]++
		}
		for i := range b.Branches {
			counts[fmt.Sprintf("branch %s of %s: %d pins, %d pads", b.Branches[i].Name, b.Nets[b.Branches[i].Net].Name, len(b.Branches[i].Pins), len(b.Branches[i].Pads))]++
		}
	}
	if c.Stack != nil {
		for _, j := range c.Stack.Joins {
			counts[fmt.Sprintf("join %s:%s %s:%s in %s", j.A.Role, j.A.Pad, j.B.Role, j.B.Pad, j.Via)]++
		}
	}
	var all []string
	for line, n := range counts {
		all = append(all, fmt.Sprintf("%d %s", n, line))
	}
	return all
}

// sameButFor looks that two graphs are equal when one name is read as the
// other.
func sameButFor(t *testing.T, was, is map[string][]string, old, new string) {
	t.Helper()
	for subject := range was {
		if len(was[subject]) != len(is[subject]) {
			t.Errorf("%s: %d facts were known, now %d", subject, len(was[subject]), len(is[subject]))
		}
		have := map[string]bool{}
		for _, line := range was[subject] {
			have[line] = true
		}
		for _, line := range is[subject] {
			if !have[line] && !have[strings.Replace(line, new, old, 1)] && !have[strings.ReplaceAll(line, new, old)] && !have[swapped(line, new, old)] {
				t.Errorf("%s: %q was not known before %s became %s", subject, line, old, new)
			}
		}
	}
}

// swapped puts the ends of a join in the order that their old names have.
func swapped(line, new, old string) string {
	w := strings.Fields(line)
	if len(w) > 3 && w[1] == "join" {
		w[2], w[3] = w[3], w[2]
	}
	return strings.Replace(strings.Join(w, " "), new, old, 1)
}
