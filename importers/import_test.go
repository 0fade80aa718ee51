package importers

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/importers/record"
	"netlore/query/diag"
	"netlore/store/board"
)

// heron is a netlist in which two parts have names cut to the same six
// letters, and the placement that has the whole names. Both are invented.
const (
	heron = "P  JOB   Heron-A\nP  UNITS CUST 1\n" +
		"327SENSE_B          RNTCBI-2          A02X+045250Y+017265\n" +
		"327SENSE_A          RNTCBI-2          A01X+017700Y+089315\n" +
		"327VREF             RNTCBI-1          A01X+017700Y+088945\n" +
		"327VREF             RNTCBI-1          A02X+045250Y+017635\n" +
		"327VREF             C412  -1          A01X+012700Y-003050\n" +
		"327GND              C412  -2          A01X+013300Y-003050\n999\n"
	placed = "Designator,Mid X,Mid Y,Rotation,Layer\n" +
		"RNTCBIAS3,45.25mm,17.45mm,90,bottom\nRNTCBIAS5,17.7mm,89.13mm,90,top\nC412,13mm,-3.05mm,0,top\n"
	parts = "Designator,Quantity,Value,Package\nC412,1,10uF,0402\n\"RNTCBIAS3,RNTCBIAS5\",2,10k,0402\n"
)

func file(name, text string) Input { return record.Text(name, []byte(text)) }

// imported imports files that must be readable and balanced.
func imported(t *testing.T, opt Options, files ...Input) *Result {
	t.Helper()
	r, err := Import(t.Context(), files, opt)
	if err != nil {
		t.Fatalf("Import: %v", err)
	}
	for i := range r.Reports {
		if err := r.Reports[i].Balanced(); err != nil {
			t.Error(err)
		}
		if r.Reports[i].File != files[i].Name {
			t.Errorf("report %d is of %s", i, r.Reports[i].File)
		}
	}
	if err := board.Assemble(r.Board); err != nil {
		t.Errorf("the board is not in order: %v", err)
	}
	return r
}

// pins writes every pin of a board with its net.
func pins(b *board.Board) string {
	var s []string
	for i := range b.Pins {
		net := "-"
		if n := b.Pins[i].Net; n != board.None {
			net = b.Nets[n].Name
		}
		s = append(s, b.PinName(board.PinID(i))+"="+net)
	}
	return strings.Join(s, " ")
}

func TestFilesEnrichOneBoardInAnyOrder(t *testing.T) {
	files := []Input{file("h.ipc", heron), file("place.csv", placed), file("bom.csv", parts)}
	want := "C412.1=VREF C412.2=GND RNTCBIAS3.1=VREF RNTCBIAS3.2=SENSE_B RNTCBIAS5.1=VREF RNTCBIAS5.2=SENSE_A"
	first := imported(t, Options{}, files...).Board
	for _, order := range [][3]int{{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}} {
		b := imported(t, Options{}, files[order[0]], files[order[1]], files[order[2]]).Board
		if got := pins(b); got != want {
			t.Errorf("order %v: %s", order, got)
		}
		if diff := cmp.Diff(first, b, cmp.AllowUnexported(board.Board{})); diff != "" {
			t.Errorf("order %v (-first +now):\n%s", order, diff)
		}
	}
	c := first.Parts[first.FindPart("C412")]
	if c.At != (board.Point{X: 13000, Y: -3050}) || c.Value != (board.Quantity{Coef: 1, Exp: -5, Unit: board.Farad}) || c.Package != "0402" {
		t.Errorf("C412 is %+v", c)
	}
	if first.Name != "Heron-A" {
		t.Errorf("board %q", first.Name)
	}
}

// A parts list alone gives whole names too, where only one fits.
func TestNamesFromAPartsList(t *testing.T) {
	b := imported(t, Options{}, file("h.ipc", strings.ReplaceAll(heron, "C412  ", "CHARGE")), file("bom.csv", "Designator,Value\nCHARGER1,BQ25\n")).Board
	if got := pins(b); !strings.HasPrefix(got, "CHARGER1.1=VREF CHARGER1.2=GND RNTCBI.") {
		t.Error(got)
	}
}

func TestNameOfTheBoard(t *testing.T) {
	if b := imported(t, Options{}, file("some/dir/kite.csv", placed)).Board; b.Name != "kite" {
		t.Errorf("by the file: %q", b.Name)
	}
	b := imported(t, Options{Board: board.Ref{Name: "Heron-A", Revision: "4"}}, file("h.ipc", heron)).Board
	if b.Ref.String() != "Heron-A rev 4" {
		t.Errorf("by the caller: %q", b.Ref)
	}
}

// One import says everything that is wrong with its files, and reads none.
func TestAllUnreadableFilesAreTold(t *testing.T) {
	_, err := Import(t.Context(), []Input{
		file("h.ipc", heron), file("a.pdf", "%PDF-1.7"), file("b.lore", "netlore 1\n"), file("c.ipc", ""),
		record.File(filepath.Join(t.TempDir(), "gone.ipc")),
	}, Options{})
	var l diag.List
	if !errors.As(err, &l) || len(l) != 4 {
		t.Fatalf("error %v", err)
	}
	var s strings.Builder
	for _, d := range l {
		fmt.Fprintln(&s, filepath.Base(d.File), d.Code, d.Message)
	}
	want := "a.pdf D103 this is a PDF, not a text file with a board\n" +
		"b.lore D104 this is a netlore sheet, which is not imported but read as it is\n" +
		"c.ipc D101 the file is empty\n" +
		"gone.ipc D107 the file cannot be read: no such file or directory\n"
	if diff := cmp.Diff(want, s.String()); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if _, err := Import(t.Context(), nil, Options{}); err == nil {
		t.Error("no files are no error")
	}
}

func TestTwoNetlistsAreTold(t *testing.T) {
	r := imported(t, Options{}, file("a.ipc", heron), file("b.ipc", strings.ReplaceAll(heron, "GND", "AGND")))
	if len(r.Notes) != 1 || r.Notes[0].Code != "D108" {
		t.Errorf("notes %v", r.Notes)
	}
	if got := pins(r.Board); !strings.Contains(got, "C412.2=GND") || r.Reports[1].Of("327").Explained != 1 {
		t.Errorf("%s, %+v", got, r.Reports[1].Of("327"))
	}
}

func TestUnusableFileEndsTheImport(t *testing.T) {
	r, err := Import(t.Context(), []Input{file("place.csv", placed), file("h.ipc", "P  JOB x\nP  UNITS CUST 1\nP  VER IPC-D-356\n999\n")}, Options{})
	var d diag.Diagnostic
	if !errors.As(err, &d) || d.Code != "D342" || d.File != "h.ipc" || r.Board != nil {
		t.Errorf("error %v", err)
	}
}

func TestProgressAndCancel(t *testing.T) {
	var last int64
	opt := Options{Progress: func(n int64) {
		if n < last {
			t.Errorf("progress goes back from %d to %d", last, n)
		}
		last = n
	}}
	imported(t, opt, file("place.csv", placed), file("h.ipc", heron))
	if want := int64(len(placed) + len(heron)); last != want {
		t.Errorf("%d bytes told, want %d", last, want)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := Import(ctx, []Input{file("h.ipc", heron)}, Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v", err)
	}
}

func TestFileThatFailsWhenRead(t *testing.T) {
	opened := 0
	in := Input{Name: "h.ipc", Open: func() (io.ReadCloser, error) {
		if opened++; opened > 1 {
			return nil, os.ErrPermission
		}
		return io.NopCloser(strings.NewReader(heron)), nil
	}}
	if _, err := Import(t.Context(), []Input{in}, Options{}); !errors.Is(err, os.ErrPermission) || !strings.HasPrefix(err.Error(), "h.ipc: ") {
		t.Errorf("error %v", err)
	}
}

func TestExplainKnowsEveryImporter(t *testing.T) {
	for _, code := range []string{"D101", "D330", "T102"} {
		if text, ok := Explain(code); !ok || text == "" {
			t.Errorf("%s is not explained", code)
		}
	}
	if _, ok := Explain("X1"); ok {
		t.Error("X1 is explained")
	}
	for _, im := range Importers() {
		if im.Name == "" || im.Doc == "" || im.Sniff == nil || im.Read == nil {
			t.Errorf("%+v", im)
		}
	}
}
