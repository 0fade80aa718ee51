package importers

import (
	"os"
	"path/filepath"
	"testing"

	"netlore/importers/record"
	"netlore/store/board"
)

// A board's netlist with its placement: every name of the placement is a part
// with pins of the netlist, and the other way round. The numbers of parts were
// counted independently with grep in the placements (lines with a designator);
// how many names are longer than six letters, likewise.
func TestRealNetlistWithPlacement(t *testing.T) {
	dir := boardsDir(t)
	for _, c := range []struct {
		netlist, placement string
		parts, pins        int
	}{
		{"oc-gbc/oc-gbc.ipc", "oc-gbc/placement/BODY CENTER.txt", 2422, 8598},
		{"oc-gbc/oc-gbc.ipc", "oc-gbc/placement/SYMBOL ORIGIN.txt", 2422, 8598},
		{"oc-gbc/oc-gbc.ipc", "oc-gbc/placement/PIN1.txt", 2422, 8598},
		{"oc-debug/oc-debug.ipc", "oc-debug/placement/BODY CENTER.txt", 337, 1325},
		{"minnow-max/minnow-max.ipc", "minnow-max/placement/MinnowMax_RevA1_XY.derived.csv", 881, 3855},
	} {
		t.Run(c.placement, func(t *testing.T) {
			b := readBoard(t, filepath.Join(dir, c.placement), filepath.Join(dir, c.netlist))
			if len(b.Parts) != c.parts || len(b.Pins) != c.pins {
				t.Errorf("%d parts and %d pins, want %d and %d", len(b.Parts), len(b.Pins), c.parts, c.pins)
			}
			placed := 0
			for i := range b.Parts {
				if b.Parts[i].Placed {
					placed++
				}
			}
			if placed != c.parts {
				t.Errorf("%d parts have a place", placed)
			}
		})
	}
}

func readBoard(t *testing.T, paths ...string) *board.Board {
	t.Helper()
	var files []Input
	for _, p := range paths {
		if _, err := os.Stat(p); err != nil {
			t.Skipf("no collection of boards with %s beside the sources", p)
		}
		files = append(files, record.File(p))
	}
	r := imported(t, Options{}, files...)
	for _, report := range r.Reports {
		t.Logf("%s: %d lines, notes %v, left %v", filepath.Base(report.File), report.Lines, report.Notes, report.Left)
	}
	return r.Board
}

// The two parts whose names were cut to RNTCBI have their true names, sides
// and nets again. Names and places are in the placement: RNTCBIAS3 on the
// bottom at 4525, 1745 mil, RNTCBIAS5 on top at 1770, 8913 mil.
func TestRealCutNamesAreRestored(t *testing.T) {
	dir := boardsDir(t)
	b := readBoard(t, filepath.Join(dir, "oc-gbc/oc-gbc.ipc"), filepath.Join(dir, "oc-gbc/placement/BODY CENTER.txt"))
	for name, want := range map[string]struct {
		side board.Side
		at   board.Point
		nets [2]string
	}{
		"RNTCBIAS3": {board.Bottom, board.Point{X: 114935, Y: 44323}, [2]string{"EXTBC_NTC", "N265305"}},
		"RNTCBIAS5": {board.Top, board.Point{X: 44958, Y: 226390}, [2]string{"INTBC_NTC", "N273827"}},
	} {
		id := b.FindPart(name)
		if id == board.None {
			t.Fatalf("no part %s", name)
		}
		p := b.Parts[id]
		if p.Side != want.side || p.At != want.at {
			t.Errorf("%s is on side %v at %v", name, p.Side, p.At)
		}
		for i, pin := range []string{"1", "2"} {
			at := b.FindPin(id, pin)
			if at == board.None || b.Nets[b.Pins[at].Net].Name != want.nets[i] {
				t.Errorf("%s.%s is not on %s", name, pin, want.nets[i])
			}
		}
	}
	if b.FindPart("RNTCBI") != board.None || b.FindPart("RNTCBI~2") != board.None {
		t.Error("a cut name is left")
	}
}
