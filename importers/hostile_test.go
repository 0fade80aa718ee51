package importers

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
)

// Records whose fields hold anything that fits into their columns, and tables
// whose cells do, come back from a sheet like all else.

func pick[T any](r *rand.Rand, from ...T) T { return from[r.IntN(len(from))] }

// record356 is a record of random fields, with a layout that is mostly right.
func record356(r *rand.Rand) string {
	net := pick(r, "GND", "", "N/C", "A B", "#x", "\"q", "a..b", "pad", "on", "(x", "Ω", "N1", "N2", "\\", "a:b")
	ref := pick(r, "C1", "VIA", "", "U1", "CONNEC", "\"", "P:1", "#1", "pad")
	pin := pick(r, "1", "2", "", "A1", "+", "-", "..", "\"", "1..2")
	hole := pick(r, "      ", "D0000P", "D0100P", "D9999U", "D    P", "D 1 2P")
	place := fmt.Sprintf("A%02dX%+07dY%+07d", r.IntN(100), r.IntN(2_000_000)-999_999, r.IntN(2_000_000)-999_999)
	size := pick(r, "", "X0000Y0000", "X0210Y    ", "X9999Y0001", "X0000Y0210", "X0210")
	rest := pick(r, "", "R000", "R360", "R090 S0", "R270 S7", " S3", "R045 S1L01L02", "S0L00L00", "     S0L99L01")
	switch r.IntN(8) {
	case 0:
		return fmt.Sprintf("378%-14s L%02d X%04d X%d Y%d*X5 Y6 X7", net, r.IntN(100), r.IntN(300)-1, r.IntN(100), r.IntN(100))
	case 1:
		return fmt.Sprintf("389BOARD_EDGE          X0Y0 X%d Y%d X%d", r.IntN(3), r.IntN(3), r.IntN(3))
	case 2:
		kind := pick(r, "70", "80")
		return fmt.Sprintf("3%s%-14s A01 X+005400Y+062000 %s %04dE%+d 0090E+0 0110E+0 %s\n", kind, net, pick(r, "R", "C", "L", "Q"), r.IntN(10000), r.IntN(19)-9, ref) +
			fmt.Sprintf("0%sSIG_B          A01 X+009900Y+062000 X+007650Y+062000 X%04dY0500 L04", kind, r.IntN(10000))
	}
	return fmt.Sprintf("%s%-14s   %-6s-%-4s%s%s%s%s%s", pick(r, "317", "327", "367", "307", "017", "027"), net, ref, pin,
		pick(r, " ", "M"), hole, place, size, rest)
}

func TestAnyRecordsAreWritten(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	for range 400 {
		text := "P  JOB x\nP  UNITS CUST " + pick(r, "0", "1", "2") + "\n327GND              C9    -1          A01X+001000Y-003050\n"
		for range 1 + r.IntN(12) {
			text += record356(r) + "\n"
		}
		if result, err := Import(t.Context(), []Input{file("in.ipc", text+"999\n")}, Options{}); err == nil {
			checkWritten(t, result)
		}
		if t.Failed() {
			t.Fatal(text)
		}
	}
}

func TestAnyCellsAreWritten(t *testing.T) {
	headers := []string{"Designator", "Value", "Package", "X (mm)", "Y (mm)", "Rotation", "Side", "Description", "Tolerance", "Voltage", "Fitted", "Net", "Pin",
		"Pad", "Diode", "Ohms", "Expected", "Mode", "Meter", "Date", "Kind", "Size", "Function", "Polarity", "State", "Job", "By"}
	cells := []string{"C1", "C2-C5", "10uF", "-10uF", "1e30F", "4k7", "0402", "", "\"a \"\"b\"\"\"", "1.5", "-1", "0", "999999999", "OL", "NaN", "±5%", "-5%", "+5/-20%", "200%",
		"top", "T", "yes", "DNP", "GND", "a:b", "#1", "P1..P4", "..", "2026-02-30", "03/02/2026", "2026-03-02", "0.412", "412", "1e-30", "5x0mm", "0.1mm", "ohms", "diode", "-40degC", "hot", "rings", "U1.1"}
	r := rand.New(rand.NewPCG(4, 6))
	for range 600 {
		var columns []string
		for _, i := range r.Perm(len(headers))[:2+r.IntN(6)] {
			columns = append(columns, headers[i])
		}
		text := strings.Join(columns, ",") + "\n"
		for range 1 + r.IntN(6) {
			row := make([]string, len(columns))
			for i := range row {
				row[i] = pick(r, cells...)
			}
			text += strings.Join(row, ",") + "\n"
		}
		if result, err := Import(t.Context(), []Input{file("in.csv", text)}, Options{}); err == nil {
			checkWritten(t, result)
		}
		if t.Failed() {
			t.Fatal(text)
		}
	}
}
