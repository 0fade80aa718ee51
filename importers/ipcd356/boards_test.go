package ipcd356

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netlore/importers/record"
	"netlore/store/board"
)

// boardFile returns a file of the collection of open-hardware boards that may
// lie beside the sources (or where NETLORE_BOARDS says), and skips without it.
func boardFile(t testing.TB, name string) []byte {
	t.Helper()
	dir, found := os.Getenv("NETLORE_BOARDS"), false
	for at, _ := filepath.Abs("."); dir == ""; at = filepath.Dir(at) {
		beside := filepath.Join(at, "shared", "boards")
		if info, err := os.Stat(beside); err == nil && info.IsDir() {
			dir = beside
		}
		if at == filepath.Dir(at) {
			break
		}
	}
	text, err := os.ReadFile(filepath.Join(dir, name))
	if found = dir != "" && err == nil; !found {
		t.Skipf("no collection of boards with %s beside the sources; set NETLORE_BOARDS to its folder", name)
	}
	return text
}

// realBoards is what the files hold, counted independently with grep and awk:
// records by code, distinct texts in the net field, designators as cut, pins
// (distinct pairs of designator and pin), vias (designator VIA, without
// continuations), aliases. NoNet is how many of the net texts are only ways to
// say that a pin is on no net: N/C or a blank field, and in one file the names
// that end in the pin's own name and occur once, such as IOT_51A-PAD42).
var realBoards = []struct {
	file                            string
	codes                           map[string]int
	nets, noNet, refs, pins, vias   int
	aliases, layers                 int
	partsApart, pinsApart, barePads int // what the count by cut name misses
}{
	{file: "oc-gbc/oc-gbc.ipc", codes: map[string]int{"017": 1002, "317": 6147, "327": 8529, "367": 18, "999": 1},
		nets: 1742, noNet: 1, refs: 2421, pins: 8596, vias: 6078, aliases: 322, layers: 10, partsApart: 1, pinsApart: 2},
	{file: "oc-debug/oc-debug.ipc", codes: map[string]int{"017": 340, "317": 715, "327": 1292, "367": 13, "999": 1},
		nets: 310, noNet: 1, refs: 337, pins: 1325, vias: 682, aliases: 61, layers: 6, barePads: 12},
	{file: "minnow-max/minnow-max.ipc", codes: map[string]int{"317": 1996, "327": 3763, "367": 4, "999": 1},
		nets: 641, noNet: 1, refs: 881, pins: 3855, vias: 1873, aliases: 28, layers: 10},
	{file: "eagle-sample/eagle-sample.ipc", codes: map[string]int{"089": 1, "317": 30, "327": 75, "389": 1, "999": 1},
		nets: 18, noNet: 1, refs: 21, pins: 91, vias: 14, aliases: 1},
	{file: "rpga-feather/rpga-feather.ipc", codes: map[string]int{"317": 167, "327": 285, "367": 8, "999": 1},
		nets: 97, noNet: 25, refs: 67, pins: 315, vias: 133, layers: 4},
	{file: "rpga-feather/reexport/rpga-feather.d356", codes: map[string]int{"317": 167, "327": 285, "367": 8, "999": 1},
		nets: 97, noNet: 25, refs: 67, pins: 315, vias: 133, layers: 4},
}

func TestRealBoards(t *testing.T) {
	for _, c := range realBoards {
		t.Run(c.file, func(t *testing.T) {
			b, report := reads(t, string(boardFile(t, c.file)), record.Options{File: c.file})
			for code, want := range c.codes {
				if got := report.Of(code).Seen; got != want {
					t.Errorf("%s: %d records, want %d", code, got, want)
				}
			}
			for _, k := range report.Kinds {
				if _, known := c.codes[k.Kind]; !known && k.Kind != "P" && k.Kind != "C" && k.Kind != "P NNAME" && k.Kind != "after 999" {
					t.Errorf("unexpected kind %s", k.Kind)
				}
			}
			for what, n := range map[string][2]int{
				"nets":            {len(b.Nets), c.nets - c.noNet},
				"parts":           {len(b.Parts), c.refs + c.partsApart},
				"pins":            {len(b.Pins), c.pins + c.pinsApart},
				"vias":            {len(b.Vias), c.vias - c.barePads},
				"bare pads":       {len(b.Pads), c.barePads},
				"aliases":         {report.Of("P NNAME").Used, c.aliases},
				"layers":          {int(b.Layers), c.layers},
				"lines not known": {report.Of("other").Seen, 0},
			} {
				if n[0] != n[1] {
					t.Errorf("%d %s, want %d", n[0], what, n[1])
				}
			}
		})
	}
}

// The parts RNTCBIAS3 and RNTCBIAS5 have one name in the netlist. The four
// nets were read off the four records by eye.
func TestRealCutNames(t *testing.T) {
	b, report := reads(t, string(boardFile(t, "oc-gbc/oc-gbc.ipc")), record.Options{})
	for pin, want := range map[string]string{
		"RNTCBI.1": "INTBC_NTC", "RNTCBI.2": "N273827", "RNTCBI~2.1": "EXTBC_NTC", "RNTCBI~2.2": "N265305",
	} {
		if got := netOf(b, pin); got != want {
			t.Errorf("%s is on %s, want %s", pin, got, want)
		}
	}
	if got := coded(report.Notes); got != "D330" {
		t.Errorf("complaints %s", got)
	}
}

// No net of any file is a way to say "no net", and no net of a rail's size is
// made of pins that have nothing in common: the largest net of each board is a
// ground or a supply by its name.
func TestRealBoardsHaveNoNetOfUnconnectedPins(t *testing.T) {
	for _, c := range realBoards {
		t.Run(c.file, func(t *testing.T) {
			b, _ := reads(t, string(boardFile(t, c.file)), record.Options{})
			most := board.NetID(0)
			for i := range b.Nets {
				if unconnected(b.Nets[i].Name) {
					t.Errorf("net %q", b.Nets[i].Name)
				}
				if len(b.PinsOn(board.NetID(i))) > len(b.PinsOn(most)) {
					most = board.NetID(i)
				}
			}
			if name := b.Nets[most].Name; !strings.Contains(name, "GND") && name != "VCC" {
				t.Errorf("the largest net is %s", name)
			}
		})
	}
}

// The exporter's own extents, in its comment block, bound every place.
func TestRealExtent(t *testing.T) {
	b, _ := reads(t, string(boardFile(t, "eagle-sample/eagle-sample.ipc")), record.Options{})
	for i := range b.Pins {
		if !within(b.Pins[i].At, b.Size) {
			t.Errorf("%s at %v is off the board of %v", b.PinName(board.PinID(i)), b.Pins[i].At, b.Size)
		}
	}
}

func within(p board.Point, s board.Size) bool {
	return p.X >= 0 && p.Y >= 0 && p.X <= s.W && p.Y <= s.H
}

func TestRealBoardsAreReadTheSameTwice(t *testing.T) {
	text := boardFile(t, "oc-gbc/oc-gbc.ipc")
	one, first := reads(t, string(text), record.Options{})
	two, second := reads(t, string(text), record.Options{})
	if !equalBoards(one, two) || len(first.Kinds) != len(second.Kinds) {
		t.Error("two readings differ")
	}
}

func BenchmarkRealBoard(b *testing.B) {
	text := boardFile(b, "oc-gbc/oc-gbc.ipc")
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read(b.Context(), bytes.NewReader(text), record.Options{}, record.NewDraft(board.Ref{})); err != nil {
			b.Fatal(err)
		}
	}
}
