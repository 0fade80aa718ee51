package table

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"netlore/importers/record"
	"netlore/store/board"
)

// realBoards finds the folder with real boards that nobody here made: the
// environment names it, or it lies beside the project. Tests skip without it.
func realBoards(t testing.TB) string {
	t.Helper()
	if dir := os.Getenv("NETLORE_BOARDS"); dir != "" {
		if _, err := os.Stat(dir); err != nil {
			t.Skipf("no real boards here: NETLORE_BOARDS names %s, which cannot be read", dir)
		}
		return dir
	}
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for parent := filepath.Dir(dir); parent != dir; dir, parent = parent, filepath.Dir(parent) {
		boards := filepath.Join(parent, "shared", "boards")
		if _, err := os.Stat(boards); err == nil {
			return boards
		}
	}
	t.Skip("no real boards here: set NETLORE_BOARDS to the folder that holds them")
	return ""
}

// realTables are all tables among the real boards. The numbers of parts were
// counted beside this reader, with another program: placements 739 of the
// scope, 337 of oc-debug, 881 of minnow-max, 67 of rpga-feather; oc-gbc has 2421
// names of at most six letters in its netlist, which are 2422 whole ones, since
// RNTCBIAS3 and RNTCBIAS5 are cut to one; parts lists 746 and 745.
var realTables = []struct {
	file                  string
	kind                  string
	parts, placed         int
	rows, used            int
	values, volts, bottom int // at least
}{
	{"minnow-max/placement/MinnowMax_RevA1_XY.derived.csv", "placement", 881, 881, 881, 881, 700, 0, 512},
	{"oc-debug/placement/BODY CENTER.txt", "placement", 337, 337, 337, 337, 0, 0, 37},
	{"oc-debug/placement/PIN1.txt", "placement", 337, 337, 337, 337, 0, 0, 37},
	{"oc-debug/placement/SYMBOL ORIGIN.txt", "placement", 337, 337, 337, 337, 0, 0, 37},
	{"oc-gbc/placement/BODY CENTER.txt", "placement", 2422, 2422, 2422, 2422, 0, 0, 1205},
	{"oc-gbc/placement/PIN1.txt", "placement", 2422, 2422, 2422, 2422, 0, 0, 1205},
	{"oc-gbc/placement/SYMBOL ORIGIN.txt", "placement", 2422, 2422, 2422, 2422, 0, 0, 1205},
	{"rpga-feather/placement/positions.csv", "placement", 67, 67, 67, 67, 0, 0, 0},
	{"rpga-feather/reexport/rpga-feather-pos.csv", "placement", 67, 67, 67, 67, 40, 0, 0},
	{"thunderscope/placement/TS-PCIe_Positions.txt", "placement", 739, 739, 739, 739, 650, 0, 1},
	{"thunderscope/placement/TS-USB4_Positions.txt", "placement", 737, 737, 737, 737, 640, 0, 1},
	{"oc-debug/bom/OpenCellular_Connect-1_Debug_Life-3_BoM_v1.2.sheet1.derived.csv", "parts list", 279, 0, 62, 62, 150, 50, 0},
	{"oc-debug/bom/OpenCellular_Connect-1_Debug_Life-3_BoM_v1.2.sheet2.derived.csv", "parts list", 58, 0, 20, 20, 50, 10, 0},
	{"oc-gbc/bom/OpenCellular_Connect-1_GBC_Life-3_BoM_v3.6.sheet1.derived.csv", "parts list", 2096, 0, 366, 363, 1700, 700, 0},
	{"oc-gbc/bom/OpenCellular_Connect-1_GBC_Life-3_BoM_v3.6.sheet2.derived.csv", "parts list", 184, 0, 44, 44, 150, 20, 0},
	{"oc-gbc/bom/OpenCellular_Connect-1_GBC_Life-3_BoM_v3.6.sheet4.derived.csv", "parts list", 17, 0, 24, 14, 8, 0, 0},
	{"rpga-feather/bom/designators.csv", "parts list", 82, 0, 82, 82, 0, 0, 0},
	{"rpga-feather/bom/bom.csv", "parts list", 67, 0, 32, 32, 40, 0, 0},
	{"thunderscope/bom/TS-PCIe_MP_BOM.csv", "parts list", 746, 0, 77, 77, 650, 300, 0},
	{"thunderscope/bom/TS-PCIe_PVT_BOM.csv", "parts list", 746, 0, 77, 77, 650, 300, 0},
	{"thunderscope/bom/TS-USB4_MP_BOM.csv", "parts list", 745, 0, 78, 78, 640, 300, 0},
	{"thunderscope/bom/TS-USB4_PVT_BOM.csv", "parts list", 745, 0, 78, 78, 640, 300, 0},
}

// noTables are files beside them that have no header or name no parts.
var noTables = []string{
	"oc-gbc/bom/OpenCellular_Connect-1_GBC_Life-3_BoM_v3.6.sheet3.derived.csv", // instructions in prose
}

func TestRealTables(t *testing.T) {
	dir := realBoards(t)
	for _, c := range realTables {
		t.Run(c.file, func(t *testing.T) {
			text, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(c.file)))
			if err != nil {
				t.Fatal(err)
			}
			if Sniff(text[:min(len(text), record.HeadSize)]) != record.Likely {
				t.Error("not taken for a table")
			}
			got := readText(t, record.Options{File: filepath.Base(c.file)}, string(text))
			if got.err != nil {
				t.Fatal(got.err)
			}
			rows := got.report.Of(c.kind)
			values, volts, placed, bottom := 0, 0, 0, 0
			for _, p := range got.board.Parts {
				values += one(p.Value.Known())
				volts += one(p.Volts.Known())
				placed += one(p.Placed)
				bottom += one(p.Side == board.Bottom)
			}
			if len(got.board.Parts) != c.parts || placed != c.placed || rows.Seen != c.rows || rows.Used != c.used {
				t.Errorf("%d parts, %d placed, %d of %d rows used; expected %d, %d, %d of %d", len(got.board.Parts), placed, rows.Used, rows.Seen, c.parts, c.placed, c.used, c.rows)
			}
			if values < c.values || volts < c.volts || bottom < c.bottom {
				t.Errorf("%d values, %d volts, %d on the bottom; expected at least %d, %d, %d", values, volts, bottom, c.values, c.volts, c.bottom)
			}
			if got.report.Notes.HasErrors() {
				t.Error(got.report.Notes)
			}
		})
	}
}

func one(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

func TestRealFilesThatAreNoTables(t *testing.T) {
	dir := realBoards(t)
	for _, file := range noTables {
		text, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(file)))
		if err != nil {
			t.Fatal(err)
		}
		got := readText(t, record.Options{File: file}, string(text))
		if got.err == nil || len(got.board.Parts) > 0 {
			t.Errorf("%s: %d parts, error %v", file, len(got.board.Parts), got.err)
		}
	}
}

// TestEveryRealTableIsListed makes sure that no table among the real boards is
// left out above.
func TestEveryRealTableIsListed(t *testing.T) {
	dir := realBoards(t)
	listed := slices.Clone(noTables)
	for _, c := range realTables {
		listed = append(listed, c.file)
	}
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		name, err2 := filepath.Rel(dir, path)
		folder := filepath.Base(filepath.Dir(path))
		table := filepath.Ext(path) == ".csv" || filepath.Ext(path) == ".txt" && folder == "placement"
		if err != nil || err2 != nil || d.IsDir() || !table {
			return err
		}
		if !slices.Contains(listed, filepath.ToSlash(name)) {
			t.Errorf("%s is not listed", name)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// The same parts in the placement and in the parts list of one board have the
// same values: two files that were written by different hands.
func TestRealPlacementAgreesWithPartsList(t *testing.T) {
	dir := realBoards(t)
	for _, pair := range [][2]string{
		{"thunderscope/placement/TS-PCIe_Positions.txt", "thunderscope/bom/TS-PCIe_MP_BOM.csv"},
		{"rpga-feather/reexport/rpga-feather-pos.csv", "rpga-feather/bom/bom.csv"},
	} {
		var values [2]map[string]board.Quantity
		for i, file := range pair {
			text, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(file)))
			if err != nil {
				t.Fatal(err)
			}
			draft := record.NewDraft(board.Ref{})
			if _, err := Read(context.Background(), bytes.NewReader(text), record.Options{}, draft); err != nil {
				t.Fatal(err)
			}
			values[i] = map[string]board.Quantity{}
			for _, p := range draft.Board.Build().Parts {
				values[i][p.Name] = p.Value
			}
		}
		same := 0
		for name, v := range values[0] {
			if w, ok := values[1][name]; ok && v.Known() {
				same++
				if v != w {
					t.Errorf("%s: %s in %s, %s in %s", name, v, pair[0], w, pair[1])
				}
			}
		}
		if same < 40 {
			t.Errorf("%s: only %d values to compare", pair[0], same)
		}
	}
}
