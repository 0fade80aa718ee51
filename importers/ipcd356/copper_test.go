package ipcd356

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/importers/record"
	"netlore/store/board"
)

// A via described by three records, pad on top, pad below and the hole, is one
// via with the smaller of its pads; a through pin likewise is one pin.
func TestGroupsAreOneThing(t *testing.T) {
	b, _ := reads(t, inches+
		"317N1               VIA   -    M      A01X+046800Y+073290X0200Y         S3      \n"+
		"017N1               VIA   -    M      A10X+046800Y+073290X0160Y         S3      \n"+
		"017N1                     -    MD0080PA00X+046800Y+073290                       \n"+
		"317N2               J113  -SH1        A01X+063760Y+082124X0709Y         S3      \n"+
		"017N2               J113  -SH1        A10X+063760Y+082124X0709Y1614     S3      \n"+
		"017                       -     D0400PA00X+063760Y+082124                       \n"+
		"017                       -     D0120PA00X+063900Y+082200                       \n"+end, record.Options{})
	want := []board.Via{
		{Net: b.FindNet("N1"), At: board.Point{X: 118872, Y: 186157}, Drill: 203, Shape: board.PadShape{W: 406}, Mask: '3'},
		{Net: b.FindNet("N2"), At: board.Point{X: 162306, Y: 208788}, Drill: 305},
	}
	if diff := cmp.Diff(want, b.Vias); diff != "" {
		t.Errorf("vias (-want +got):\n%s", diff)
	}
	if len(b.Pins) != 1 || b.Pins[0].Side != board.BothSides {
		t.Errorf("pins %v", b.Pins)
	}
}

// A blind via is followed by its surface pad, which may be a pin; a buried one
// stands alone.
func TestBlindAndBuriedVias(t *testing.T) {
	b, _ := reads(t, "P  UNITS CUST 1\n"+
		"307VMAIN            VIA        MD0100PA01X+031000Y+009000               S0L02L01\n"+
		"027                 VIA        M      A01X+031000Y+009000X0250          S0\n"+
		"307VMAIN            VIA        MD0100P   X+032000Y+009000               S0L02L03\n"+end, record.Options{})
	net := b.FindNet("VMAIN")
	want := []board.Via{
		{Net: net, At: board.Point{X: 31000, Y: 9000}, Drill: 100, Shape: board.PadShape{W: 250}, From: 1, To: 2, Mask: '0'},
		{Net: net, At: board.Point{X: 32000, Y: 9000}, Drill: 100, From: 2, To: 3, Mask: '0'},
	}
	if diff := cmp.Diff(want, b.Vias); diff != "" {
		t.Errorf("vias (-want +got):\n%s", diff)
	}
}

// Conductors join pins and vias: SDA as a whole; of VMAIN two pieces are left, each
// with a pin of a connector.
func TestConductorsJoin(t *testing.T) {
	b, _ := reads(t, "P  UNITS CUST 1\n"+
		"327SDA              U1    -1          A01X+001000Y+001000X0400Y0400     S0\n"+
		"327SDA              U2    -1          A02X+009000Y+001000X0400Y0400     S0\n"+
		"317SDA              VIA   -    MD0200PA00X+005000Y+001000X0500Y         S0\n"+
		"327VMAIN            J1    -1          A01X+001000Y+005000X0400Y0400     S0\n"+
		"327VMAIN            C1    -1          A01X+005000Y+005000X0400Y0400     S0\n"+
		"327VMAIN            J1    -2          A01X+001000Y+009000X0400Y0400     S0\n"+
		"327VMAIN            C2    -1          A01X+005000Y+009000X0400Y0400     S0\n"+
		"378SDA            L01 X0150 X+001000Y+001000 X+005000\n"+
		"378SDA            L02 X0150 X+005000Y+001000 X+009000\n"+
		"378VMAIN          L01 X0250 X+001000Y+005000 X+005000*Y+009000 X+001000\n"+end, record.Options{})
	var got []string
	for _, x := range b.Copper().Pieces {
		got = append(got, fmt.Sprintf("%s: %d tracks, %d vias, basis %d", x.Name, x.Tracks, x.Vias, x.Basis))
	}
	want := []string{fmt.Sprintf("SDA: 2 tracks, 1 vias, basis %d", board.ByTracks),
		fmt.Sprintf("VMAIN@C1.1: 1 tracks, 0 vias, basis %d", board.Apart), fmt.Sprintf("VMAIN@C2.1: 1 tracks, 0 vias, basis %d", board.Apart)}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("pieces (-want +got):\n%s", diff)
	}
}

// A pad that the file calls a via but gives no hole is a place to probe.
func TestPadOfNoPart(t *testing.T) {
	b, report := reads(t, inches+
		"327SWDIO            VIA   -    M      A01X+029540Y+036480X0250Y         S1\n"+
		"327N/C                    -           A01X+075500Y-002000X0400Y         S1\n"+end, record.Options{})
	if len(b.Pads) != 1 || b.Pads[0].Name != "SWDIO@75.032/92.659" || b.Pads[0].Side != board.Top {
		t.Errorf("pads %+v", b.Pads)
	}
	if c := report.Of("327"); c.Used != 1 || c.Explained != 1 {
		t.Errorf("%+v", c)
	}
}

func TestHolesOfNoPart(t *testing.T) {
	b, _ := reads(t, inches+
		"317N/C                    -     D1250UA00X+078500Y+031000X1250Y         S3\n"+
		"317N/C                    -     D1250PA00X+088500Y+031000X1250Y         S3\n"+
		"317GND                    -     D1250PA00X+098500Y+031000X1250Y         S3\n"+
		"367N/C              U$4         D0276UA00X+053315Y-044020X0276Y0000R000S0\n"+end, record.Options{})
	if len(b.Holes) != 3 || len(b.Vias) != 1 || b.FindPart("U$4") == board.None {
		t.Errorf("%d holes, %d vias, parts %v", len(b.Holes), len(b.Vias), b.Parts)
	}
	plated := 0
	for _, h := range b.Holes {
		if h.Plated {
			plated++
		}
	}
	if plated != 1 {
		t.Errorf("plating %v", b.Holes)
	}
}

// The pen-up asterisk keeps the place, so a single axis may follow it.
func TestConductorPaths(t *testing.T) {
	b, report := reads(t, "P  UNITS CUST 1\n"+
		"327VMAIN            C1    -1          A01X+003000Y+001000\n"+
		"378VMAIN          L02 X150Y200 X3000Y1000 Y2500 X4200*X6000Y7000 X6600\n"+
		"078 Y7100*\n078X6700 Y7300\n"+
		"378VMAIN          L2  X0 X\n"+
		"378VMAIN              X150 X0Y0\n"+
		"078X1\n"+end, record.Options{})
	var paths [][]board.Point
	for _, tr := range b.Tracks {
		if tr.Layer != 2 || tr.Pen != (board.PadShape{W: 150, H: 200}) {
			t.Errorf("layer %d pen %v", tr.Layer, tr.Pen)
		}
		paths = append(paths, tr.Path)
	}
	want := [][]board.Point{
		{{X: 3000, Y: 1000}, {X: 3000, Y: 2500}, {X: 4200, Y: 2500}},
		{{X: 6000, Y: 7000}, {X: 6600, Y: 7000}, {X: 6600, Y: 7100}},
		{{X: 6700, Y: 7100}, {X: 6700, Y: 7300}},
	}
	if diff := cmp.Diff(want, paths); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if got := coded(report.Notes); got != "D350 D350" {
		t.Errorf("complaints %s", got)
	}
	if c := report.Of("078"); c.Used != 2 || c.Explained != 1 {
		t.Errorf("%+v", c)
	}
}

// Some exporters write the edge without a pen, beginning with X0Y0.
func TestOutlineWithoutPen(t *testing.T) {
	b, report := reads(t, inches+
		"327VMAIN            C1    -1          A01X+003000Y+001000\n"+
		"389BOARD_EDGE         X0Y0 X22500 Y15000 X0\n089                   X1300Y240\n"+
		"389BOARD_EDGE         X0100 X1000Y1000 X1200 Y1200 X1000 Y1000\n"+
		"389SCORE_LINE         X0100 X0Y0 X22500\n"+end, record.Options{})
	want := []board.Point{{X: 0, Y: 0}, {X: 57150, Y: 0}, {X: 57150, Y: 38100}, {X: 0, Y: 38100}, {X: 3302, Y: 610}}
	if diff := cmp.Diff(want, b.Outline.Points); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	first(t, report.Notes, "D351")
}

func TestPassiveValues(t *testing.T) {
	row := func(kind, value, name string) string {
		return "380SIG_A          A01 X+005400Y+062000 " + kind + " " + value + " 0000E+0 0000E+0 " + name + "\n" +
			"080SIG_B          A01 X+009900Y+062000\n"
	}
	b, report := reads(t, "P  UNITS CUST 1\n"+row("C", "0100E+3", "C1")+row("L", "0022E+5", "L1")+row("R", "0000E+0", "R1")+
		"380SIG_A          A01 X+005400Y+062000 Q 0100E+0 0000E+0 0000E+0 Q1\n080 X\n"+
		"380SIG_A          A01 X+005400Y+062000 R 0100E+0 0090E+0 0110E+0 R9\n"+end, record.Options{})
	want := map[string]board.Quantity{
		"C1": {Coef: 1, Exp: -7, Unit: board.Farad},  // 100 pF times 1000
		"L1": {Coef: 22, Exp: -7, Unit: board.Henry}, // 22 pH times 100 000
		"R1": {Unit: board.Ohm},
	}
	for name, q := range want {
		if id := b.FindPart(name); id == board.None || b.Parts[id].Value != q {
			t.Errorf("%s: %v", name, b.Parts)
		}
	}
	if len(b.Parts) != 3 || report.Of("380").Explained != 2 || report.Of("080").Explained != 1 {
		t.Errorf("%d parts, %+v", len(b.Parts), report.Of("380"))
	}
}

func TestEveryOtherRecordIsExplained(t *testing.T) {
	text := inches + row("327", "A", "C1", "1", "A01X+010000Y+020000")
	for _, code := range []string{"379", "079", "309", "390", "090", "099", "088", "777", "XYZ"} {
		text += code + "SOMETHING\n"
	}
	_, report := reads(t, text+"\n"+end+"after\n\n", record.Options{})
	for _, kind := range []string{"379", "079", "309", "390", "090", "099", "088"} {
		if c := report.Of(kind); c.Seen != 1 || c.Explained != 1 {
			t.Errorf("%s: %+v", kind, c)
		}
	}
	if c := report.Of("other"); c.Explained != 2 || report.Of("after 999").Explained != 2 || report.Of("blank").Explained != 1 {
		t.Errorf("other: %+v", c)
	}
	if got := coded(report.Notes); !strings.Contains(got, "D311 D311 D341") {
		t.Errorf("complaints %s", got)
	}
}

// An outline of many corners keeps its shape, and the report says so.
func TestLongOutlineIsThinned(t *testing.T) {
	var text strings.Builder
	text.WriteString(inches + row("327", "A", "C1", "1", "A01X+010000Y+020000") + "389BOARD_EDGE          X0100 X0Y0\n")
	for i := range 400 { // a box of 4 by 1 inch, one of its sides in steps of one count
		fmt.Fprintf(&text, "089 X%dY%d\n", i*100, i%2)
	}
	text.WriteString("089 X40000Y0 Y10000 X0\n" + end)
	b, report := reads(t, text.String(), record.Options{})
	if n := len(b.Outline.Points); n != board.MaxCorners || b.Size != (board.Size{W: 101_600, H: 25_400}) {
		t.Errorf("%d corners, size %v", n, b.Size)
	}
	if got := first(t, report.Notes, "D353").Message; !strings.Contains(got, "404 corners") {
		t.Error(got)
	}
}
