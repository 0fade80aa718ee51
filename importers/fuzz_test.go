package importers

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/tools/txtar"

	"netlore/store/board"
	"netlore/store/sheet"
)

// FuzzWritten checks that whatever is read from a file of others can be said
// in a sheet, and comes back from it: nothing that an importer takes makes
// an import fail later on.
func FuzzWritten(f *testing.F) {
	f.Add([]byte(heron))
	f.Add([]byte(placed))
	f.Add([]byte(parts))
	for _, record := range []string{
		"378GND            L00 X0250 X+012700Y-003050 X+013100 Y-002000\n",
		"378GND            L02 X0 X+012700Y-003050 X+013100 Y-002000\n",
		"389BOARD_EDGE          X0100 X0Y0 X0 Y0\n",
		"389BOARD_EDGE          X0Y0 X9000 Y9000 X0\n",
		"307GND              VIA         D0100PA01X+031000Y+009000               S0L02L02\n",
		"307GND              VIA         D0100PA01X+031000Y+009000               S0L03L01\n",
		"317GND              VIA         D0000PA00X+013100Y-003050X0000Y0450     S3\n",
		"378GND            L01 X0250 X+012700Y-003050 X+001000 Y-003050\n327GND              C2    -1          A02X+012700Y-003050\n307GND              VIA         D0100PA01X+012700Y-003050X0400          S0L02L01\n",
		"367                             D0000UA00X+001500Y+001500X2700Y0000     S0\n",
		"327a#b..c\"d         C:1   -1..2       A01X+012700Y-003050X0600Y0500R090 S0\n",
		"380SIG_A          A01 X+005400Y+062000 C 9999E+9 0090E+0 0110E+0 C900\n" +
			"080SIG_B          A01 X+009900Y+062000 X+007650Y+062000 X0000Y0500 L04\n",
	} {
		f.Add([]byte("P  UNITS CUST 1\n327GND              C1    -1          A01X+001000Y-003050\n" + record + "999\n"))
	}
	files, err := filepath.Glob("table/testdata/*.txt")
	if err != nil || len(files) == 0 {
		f.Fatal("no cases of tables:", err)
	}
	for _, file := range files {
		a, err := txtar.ParseFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(a.Files[0].Data)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		if len(text) > 64<<10 {
			return
		}
		r, err := Import(t.Context(), []Input{file("in", string(text))}, Options{})
		if err == nil {
			checkWritten(t, r)
		}
	})
}

func checkWritten(t *testing.T, r *Result) {
	t.Helper()
	written := sheet.Write(&sheet.Content{Board: r.Board, Knowledge: r.Knowledge})
	parsed, complaints := sheet.Parse("written.lore", written)
	if len(complaints) > 0 {
		t.Fatalf("%v\n%s", complaints, written)
	}
	back, complaints := sheet.Read(parsed)
	if len(complaints) > 0 {
		t.Fatalf("%v\n%s", complaints, written)
	}
	if got, want := sizes(back.Board, back.Knowledge), sizes(r.Board, r.Knowledge); got != want {
		t.Errorf("came back as %v, was %v\n%s", got, want, written)
	}
	if !bytes.Equal(written, sheet.Write(back)) {
		t.Errorf("is written in another way when it has been read:\n%s", written)
	}
	if got, want := pieces(back.Board), pieces(r.Board); got != want {
		t.Errorf("its copper hangs together as\n%sand did as\n%s%s", got, want, written)
	}
}

// pieces are the pieces of copper of a board and how many pins and pads are in each.
func pieces(b *board.Board) string {
	var text strings.Builder
	for _, x := range b.Copper().Pieces {
		fmt.Fprintln(&text, x.Name, x.Basis, len(x.Pins), len(x.Pads))
	}
	return text.String()
}

// sizes counts what an import gave. Vias, holes, tracks, readings and expected values
// that are alike in all they say are one in a sheet, so of them it is only
// counted whether there are any.
func sizes(b *board.Board, k *board.Knowledge) [9]int {
	return [9]int{len(b.Parts), len(b.Nets), len(b.Pins), len(b.Pads), min(len(b.Vias), 1), min(len(b.Holes), 1),
		min(len(b.Tracks), 1), min(len(k.Readings), 1), min(len(k.Expected), 1)}
}

// The real boards come back from their sheets, too.
func TestRealBoardsAreWritten(t *testing.T) {
	dir := boardsDir(t)
	for _, name := range []string{"oc-gbc/oc-gbc.ipc", "oc-debug/oc-debug.ipc", "minnow-max/minnow-max.ipc", "eagle-sample/eagle-sample.ipc",
		"rpga-feather/rpga-feather.ipc", "thunderscope/bom/TS-PCIe_MP_BOM.csv", "oc-gbc/placement/PIN1.txt"} {
		text, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Skipf("no collection of boards with %s beside the sources", name)
		}
		checkWritten(t, imported(t, Options{}, file(name, string(text))))
	}
}
