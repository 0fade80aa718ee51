package render

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"
)

// widest is the width of the widest line.
func widest(s string) int {
	most := 0
	for line := range strings.Lines(s) {
		most = max(most, runewidth.StringWidth(strings.TrimRight(line, " \n")))
	}
	return most
}

// A table that is wider than the terminal is not cut: its cells are broken at
// blanks, the widest first, and none inside a name.
func TestTooWideTableIsBroken(t *testing.T) {
	wide := &Table{
		Columns: []Column{{Name: "branch"}, {Name: "parts"}, {Name: "volts", Number: true}, {Name: "text"}},
		Rows: [][]string{
			{"VMAIN.pa", `C4101..C4114, C4301..C4312, "odd name", U400`, "3.8", "feeds the transmitter"},
			{"VMAIN.rf", "U300", "12", "-"},
		},
	}
	whole := printed(t, wide, Text, 0)
	same(t, whole, `
branch    parts                                         volts  text
────────  ────────────────────────────────────────────  ─────  ─────────────────────
VMAIN.pa  C4101..C4114, C4301..C4312, "odd name", U400    3.8  feeds the transmitter
VMAIN.rf  U300                                           12    -
`)
	same(t, printed(t, wide, Text, widest(whole)), whole)
	same(t, printed(t, wide, Text, 60), `
branch    parts                        volts  text
────────  ───────────────────────────  ─────  ───────────
VMAIN.pa  C4101..C4114, C4301..C4312,    3.8  feeds the
          "odd name", U400                    transmitter
VMAIN.rf  U300                          12    -
`)
}

// Where breaking is not enough, columns stand closer; where that is not enough,
// every cell has a line of its own, or several.
func TestTooWideTableBecomesRecords(t *testing.T) {
	wide := capacitors()
	wide.Rows[2][2] = "J7, SH1, SH2"
	same(t, printed(t, wide, Text, 20), `
part   value  cover
─────  ─────  ─────
C2     100nF  SH1
C10    4.7uF
C1201   10uF  J7,
              SH1,
              SH2
`)
	same(t, printed(t, wide, Text, 17), `
part  value cover
───── ───── ─────
C2    100nF SH1
C10   4.7uF
C1201  10uF J7,
            SH1,
            SH2
`)
	same(t, printed(t, wide, Text, 16), `
part   C2
value  100nF
cover  SH1

part   C10
value  4.7uF
cover

part   C1201
value  10uF
cover  J7, SH1,
       SH2
`)
}

// No line is wider than the terminal, whatever its width, as long as no single
// name is; and every piece of every cell is there.
func TestNeverWiderThanTheTerminal(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		table := randomTable(random)
		for _, width := range []int{30, 47, 80, 100, 160} {
			got := printed(t, table, Text, width)
			if w := widest(got); w > width {
				t.Fatalf("%d columns in a terminal of %d:\n%s", w, width, got)
			}
			for _, row := range table.Rows {
				for _, cell := range row {
					for _, piece := range strings.Fields(cell) {
						if !strings.Contains(got, piece) {
							t.Fatalf("%q is not there:\n%s", piece, got)
						}
					}
				}
			}
		}
	}
}

func randomTable(random *rand.Rand) *Table {
	table := &Table{}
	for i := range 1 + random.IntN(9) {
		table.Columns = append(table.Columns, Column{Name: fmt.Sprintf("col%d x", i), Number: random.IntN(3) == 0})
	}
	for range random.IntN(5) {
		var row []string
		for _, c := range table.Columns {
			var words []string
			for range random.IntN(12) {
				words = append(words, fmt.Sprintf("w%d", random.IntN(99999)))
			}
			if c.Number {
				words = []string{fmt.Sprintf("%.*f", random.IntN(4), random.Float64()*100)}
			}
			row = append(row, strings.Join(words, " "))
		}
		table.Rows = append(table.Rows, row)
	}
	return table
}

// Decimal points stand below each other, and a column with a unit in some cell
// or with bounds is left alone.
func TestDecimalPointsStandBelowEachOther(t *testing.T) {
	table := &Table{Columns: []Column{{Name: "V", Number: true}, {Name: "value", Number: true}, {Name: "hides", Number: true}},
		Rows: [][]string{{"0.46", "4.7uF", "10 to 13"}, {"0.428", "22uF", "5"}, {"12", "1.5", "7"}, {"?", "0.5", "1.5"}, {"-0.5", "-", "?"}}}
	same(t, printed(t, table, Text, 0), `
     V  value     hides
──────  ─────  ────────
 0.46   4.7uF  10 to 13
 0.428   22uF         5
12        1.5         7
 ?        0.5       1.5
-0.5        -         ?
`)
	if got := printed(t, table, Markdown, 0); !strings.Contains(got, "| 12 | 1.5 | 7 |") {
		t.Errorf("Markdown, which no eye reads in columns:\n%s", got)
	}
}
