package ipcd356

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"netlore/importers/record"
	"netlore/store/board"
)

// worked is an invented board with one record of each kind, its columns laid
// out after the text of IPC-D-356A as an application note of a CAM maker
// prints it (record by record, with column numbers).
const worked = `P  JOB   HERON-A
P  CODE  00
P  UNITS CUST 1
P  TITLE Heron trail radio
P  NUM   100-1
P  REV   3
P  VER   IPC-D-356A
P  IMAGE PRIMARY
P  NNAMEA0001 V_CORE_0V85_SENSE_RETURN
327P5V_MAIN         C412  -1          A01X+012700Y-003050X0600Y0500R090 S0
327A0001            U7    -K12 M      A04X+025400Y+018250X0350Y0000     S0
317GND              J3    -2    D0900PA00X+040000Y+002540X1500          S0
317P5V_MAIN         VIA        MD0200PA00X+013100Y-003050X0450Y0000     S3
367                             D2700UA00X+001500Y+001500X2700Y0000     S0
327N/C              U7    -A1         A01X+022000Y+015000X0350Y0000     S0
307P3V3_AUX         VIA         D0100PA01X+031000Y+009000               S0L01L02
027P3V3_AUX         R88   -2          A01X+031000Y+009000X0320Y0320R000 S0
017CLK_REF                -     D0400PA00X+005000Y+022000
378P5V_MAIN       L01 X0250 X+012700Y-003050 X+013100 Y-002000*X+013100Y+004000
078                   X+015000 Y+004600
389BOARD_EDGE          X0100 X0Y0 X+050000 Y+030000 X0 Y0
379P5V_MAIN GND P3V3_AUX A0001
370SIG_A          A01 X+005400Y+062000 R 0100E+0 0090E+0 0110E+0 R900
070SIG_B          A01 X+009900Y+062000 X+007650Y+062000 X0500Y0500 L04
999
`

// view is fields with text in place of bytes.
type view struct {
	Net, Ref, Pin string
	Mid, Drilled  bool
	Plated        bool
	Drill         int32
	Access        int16
	X, Y, W, H    int32
	Turn          int32
	Mask          string
	From, To      uint8
}

func viewOf(f *fields) view {
	v := view{Net: string(f.net), Ref: string(f.ref), Pin: string(f.pin), Mid: f.mid, Drilled: f.drilled,
		Plated: f.plated, Drill: f.drill, Access: f.access, X: f.x, Y: f.y, W: f.w, H: f.h, Turn: f.turn,
		From: f.from, To: f.to}
	if f.mask != 0 {
		v.Mask = string(f.mask)
	}
	return v
}

// The expected fields follow the column table of the same application note:
// net 4-17, designator 21-26, pin 28-31, M 32, D and diameter 33-37, plating
// 38, access 39-41, X 42-49, Y 50-57, size 58-67, rotation 68-71, mask 73-74,
// layers 75-80.
func TestWorkedRecordsFieldByField(t *testing.T) {
	want := map[string]view{
		"327P5V_MAIN": {Net: "P5V_MAIN", Ref: "C412", Pin: "1", Access: 1, X: 12700, Y: -3050, W: 600, H: 500, Turn: 90, Mask: "0"},
		"327A0001":    {Net: "A0001", Ref: "U7", Pin: "K12", Mid: true, Access: 4, X: 25400, Y: 18250, W: 350, Mask: "0"},
		"317GND":      {Net: "GND", Ref: "J3", Pin: "2", Drilled: true, Plated: true, Drill: 900, X: 40000, Y: 2540, W: 1500, Mask: "0"},
		"317P5V_MAIN": {Net: "P5V_MAIN", Ref: "VIA", Mid: true, Drilled: true, Plated: true, Drill: 200, X: 13100, Y: -3050, W: 450, Mask: "3"},
		"367":         {Drilled: true, Drill: 2700, X: 1500, Y: 1500, W: 2700, Mask: "0"},
		"327N/C":      {Net: "N/C", Ref: "U7", Pin: "A1", Access: 1, X: 22000, Y: 15000, W: 350, Mask: "0"},
		"307P3V3_AUX": {Net: "P3V3_AUX", Ref: "VIA", Drilled: true, Plated: true, Drill: 100, Access: 1, X: 31000, Y: 9000, Mask: "0", From: 1, To: 2},
		"027P3V3_AUX": {Net: "P3V3_AUX", Ref: "R88", Pin: "2", Access: 1, X: 31000, Y: 9000, W: 320, H: 320, Mask: "0"},
		"017CLK_REF":  {Net: "CLK_REF", Drilled: true, Plated: true, Drill: 400, X: 5000, Y: 22000},
	}
	seen := 0
	for line := range strings.Lines(worked) {
		head, _, _ := strings.Cut(line, " ")
		expected, ok := want[head]
		if !ok {
			continue
		}
		seen++
		var f fields
		if !f.decode([]byte(strings.TrimSuffix(line, "\n"))) || f.shifted || f.trailer > 0 {
			t.Errorf("%s was not read by its columns", head)
		}
		if diff := cmp.Diff(expected, viewOf(&f)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", head, diff)
		}
	}
	if seen != len(want) {
		t.Errorf("%d of %d records compared", seen, len(want))
	}
}

func TestWorkedBoard(t *testing.T) {
	b, report := reads(t, worked, record.Options{File: "worked.ipc"})
	if len(report.Notes) > 0 {
		t.Errorf("complaints about a clean file: %v", report.Notes)
	}
	if got := b.Ref.String() + ", " + b.Title; got != "HERON-A rev 3, Heron trail radio" || b.Layers != 4 {
		t.Errorf("board is %s with %d layers", got, b.Layers)
	}
	nets := map[string]string{"C412.1": "P5V_MAIN", "U7.K12": "V_CORE_0V85_SENSE_RETURN", "J3.2": "GND",
		"U7.A1": "-", "R88.2": "P3V3_AUX", "R900.1": "SIG_A", "R900.2": "SIG_B"}
	for pin, want := range nets {
		if got := netOf(b, pin); got != want {
			t.Errorf("%s is on %s, want %s", pin, got, want)
		}
	}
	want := []board.Pin{
		{Name: "1", Placed: true, Side: board.Top, At: board.Point{X: 12700, Y: -3050}, Shape: board.PadShape{W: 600, H: 500, Turn: 90_000}},
		{Name: "K12", Placed: true, Side: board.Bottom, At: board.Point{X: 25400, Y: 18250}, Shape: board.PadShape{W: 350}},
		{Name: "2", Placed: true, Side: board.BothSides, At: board.Point{X: 40000, Y: 2540}, Shape: board.PadShape{W: 1500}},
	}
	got := []board.Pin{*pinAt(b, "C412.1"), *pinAt(b, "U7.K12"), *pinAt(b, "J3.2")}
	if diff := cmp.Diff(want, got, cmpopts.IgnoreFields(board.Pin{}, "Part", "Net")); diff != "" {
		t.Errorf("pins (-want +got):\n%s", diff)
	}
	if got := b.Nets[b.FindNet("V_CORE_0V85_SENSE_RETURN")].Aliases; !cmp.Equal(got, []string{"A0001"}) {
		t.Errorf("aliases %v", got)
	}
}

func TestWorkedCopper(t *testing.T) {
	b, _ := reads(t, worked, record.Options{})
	net := func(name string) board.NetID { return b.FindNet(name) }
	vias := []board.Via{
		{Net: net("P5V_MAIN"), At: board.Point{X: 13100, Y: -3050}, Drill: 200, Shape: board.PadShape{W: 450}, Mask: '3'},
		{Net: net("P3V3_AUX"), At: board.Point{X: 31000, Y: 9000}, Drill: 100, From: 1, To: 2, Mask: '0'},
		{Net: net("CLK_REF"), At: board.Point{X: 5000, Y: 22000}, Drill: 400},
	}
	if diff := cmp.Diff(vias, b.Vias); diff != "" {
		t.Errorf("vias (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]board.Hole{{At: board.Point{X: 1500, Y: 1500}, Drill: 2700}}, b.Holes); diff != "" {
		t.Errorf("holes (-want +got):\n%s", diff)
	}
	tracks := []board.Track{
		{Net: net("P5V_MAIN"), Layer: 1, Pen: board.PadShape{W: 250}, Path: []board.Point{{X: 12700, Y: -3050}, {X: 13100, Y: -3050}, {X: 13100, Y: -2000}}},
		{Net: net("P5V_MAIN"), Layer: 1, Pen: board.PadShape{W: 250}, Path: []board.Point{{X: 13100, Y: 4000}, {X: 15000, Y: 4000}, {X: 15000, Y: 4600}}},
	}
	if diff := cmp.Diff(tracks, b.Tracks); diff != "" {
		t.Errorf("tracks (-want +got):\n%s", diff)
	}
	corners := []board.Point{{X: 0, Y: 0}, {X: 50000, Y: 0}, {X: 50000, Y: 30000}, {X: 0, Y: 30000}}
	if diff := cmp.Diff(corners, b.Outline.Points); diff != "" || b.Size != (board.Size{W: 50000, H: 30000}) {
		t.Errorf("outline (-want +got):\n%s size %v", diff, b.Size)
	}
}

// 0100E+0 is 100 ohm by the rule of the format, value times ten to the E; the
// limits 90 and 110 make it 10 %.
func TestWorkedPassive(t *testing.T) {
	b, _ := reads(t, worked, record.Options{})
	p := b.Parts[b.FindPart("R900")]
	if p.Value != (board.Quantity{Coef: 1, Exp: 2, Unit: board.Ohm}) {
		t.Errorf("value %v", p.Value)
	}
	if p.Percent != (board.Quantity{Coef: 1, Exp: -1, Unit: board.Ratio}) {
		t.Errorf("tolerance %v", p.Percent)
	}
	if p.At != (board.Point{X: 7650, Y: 62000}) || p.Size != (board.Size{W: 500, H: 500}) || p.Side != board.Top {
		t.Errorf("place %v size %v side %v", p.At, p.Size, p.Side)
	}
}

// Every line of the worked board is of a kind, and used or explained.
func TestWorkedCounts(t *testing.T) {
	_, report := reads(t, worked, record.Options{})
	want := map[string][3]int{ // seen, used, explained
		"P": {8, 7, 1}, "P NNAME": {1, 1, 0}, "327": {3, 3, 0}, "317": {2, 2, 0}, "367": {1, 1, 0}, "307": {1, 1, 0},
		"027": {1, 1, 0}, "017": {1, 1, 0}, "378": {1, 1, 0}, "078": {1, 1, 0}, "389": {1, 1, 0},
		"379": {1, 0, 1}, "370": {1, 1, 0}, "070": {1, 1, 0}, "999": {1, 1, 0},
	}
	for _, c := range report.Kinds {
		if got := [3]int{c.Seen, c.Used, c.Explained}; got != want[c.Kind] {
			t.Errorf("%s: %v, want %v", c.Kind, got, want[c.Kind])
		}
	}
	if len(report.Kinds) != len(want) || report.Lines != strings.Count(worked, "\n") {
		t.Errorf("%d kinds in %d lines", len(report.Kinds), report.Lines)
	}
	if r := report.Of("379").Reasons; len(r) != 1 || !cmp.Equal(r[0].Lines, []int{22}) {
		t.Errorf("379 is explained by %v", r)
	}
}
