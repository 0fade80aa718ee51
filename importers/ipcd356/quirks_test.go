package ipcd356

import (
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/importers/record"
	"netlore/store/board"
)

// The deviations below are common in exported files: common practice, no
// source. The records are invented.

func TestQuirkRecords(t *testing.T) {
	for name, c := range map[string]struct {
		line string
		want view
		how  string // "columns" or "pattern"
	}{
		"blanks for leading zeros, no signs": {
			"317VCC              J1    -2    D  35PA00X  17900Y   6900X 554Y 554R 90",
			view{Net: "VCC", Ref: "J1", Pin: "2", Drilled: true, Plated: true, Drill: 35, X: 17900, Y: 6900, W: 554, H: 554, Turn: 90}, "columns"},
		"short line without size": {
			"327VCC              J1    -2          A01X+017900Y+006900",
			view{Net: "VCC", Ref: "J1", Pin: "2", Access: 1, X: 17900, Y: 6900}, "columns"},
		"mask digit one column early": {
			"327GND              C1    -2          A01X+050043Y-038937X0394Y0394R270S2",
			view{Net: "GND", Ref: "C1", Pin: "2", Access: 1, X: 50043, Y: -38937, W: 394, H: 394, Turn: 270, Mask: "2"}, "columns"},
		"round pad with blank Y": {
			"317m0002            VIA   -    M      A01X+002150Y+010950X0250Y         S3      ",
			view{Net: "m0002", Ref: "VIA", Mid: true, Access: 1, X: 2150, Y: 10950, W: 250, Mask: "3"}, "columns"},
		"round pad with size 0 and no Y": {
			"327GND              U9    -1         PA01X 012700Y 003050X0000",
			view{Net: "GND", Ref: "U9", Pin: "1", Access: 1, X: 12700, Y: 3050}, "columns"},
		"plating without a hole": {
			"327GND              U9    -1         PA01X+012700Y+003050X0100Y0200",
			view{Net: "GND", Ref: "U9", Pin: "1", Access: 1, X: 12700, Y: 3050, W: 100, H: 200}, "columns"},
		"pin called minus": {
			"327GND              C1    --          A01X   9700Y  13198X1575Y 630R270",
			view{Net: "GND", Ref: "C1", Pin: "-", Access: 1, X: 9700, Y: 13198, W: 1575, H: 630, Turn: 270}, "columns"},
		"tooling hole with a part and no pin": {
			"367N/C              J1          D1295UA00X+015846Y-002689X1295Y0000R270S0",
			view{Net: "N/C", Ref: "J1", Drilled: true, Drill: 1295, X: 15846, Y: -2689, W: 1295, Turn: 270, Mask: "0"}, "columns"},
		"no dash at a via": {
			"317GND              VIA        MD0118PA00X+062177Y-044248X0197Y0000R000S3",
			view{Net: "GND", Ref: "VIA", Mid: true, Drilled: true, Plated: true, Drill: 118, X: 62177, Y: -44248, W: 197, Mask: "3"}, "columns"},
		"net name of 17 letters": {
			"327LONG_NET_NAME_17LC412  -1          A01X+012700Y-003050X0600Y0500",
			view{Net: "LONG_NET_NAME_17L", Ref: "C412", Pin: "1", Access: 1, X: 12700, Y: -3050, W: 600, H: 500}, "pattern"},
		"designator of nine letters shifts all": {
			"327VMAIN            RNTCBIAS3-2          A10X+045250Y+017265X0210Y0210R090 S2",
			view{Net: "VMAIN", Ref: "RNTCBIAS3", Pin: "2", Access: 10, X: 45250, Y: 17265, W: 210, H: 210, Turn: 90, Mask: "2"}, "pattern"},
		"shifted, with a hole": {
			"317VMAIN            CONNECTOR-12 MD0900PA00X+040000Y+002540X1500Y",
			view{Net: "VMAIN", Ref: "CONNECTOR", Pin: "12", Mid: true, Drilled: true, Plated: true, Drill: 900, X: 40000, Y: 2540, W: 1500}, "pattern"},
		"shifted, no net, unplated": {
			"317                 MOUNTHOLE     D1250UA00X+078500Y+031000X1250",
			view{Ref: "MOUNTHOLE", Drilled: true, Drill: 1250, X: 78500, Y: 31000, W: 1250}, "pattern"},
		"pin of five letters": {
			"327VMAIN            U300  -AA101      A01X+012700Y-003050X0600Y0500",
			view{Net: "VMAIN", Ref: "U300", Pin: "AA101", Access: 1, X: 12700, Y: -3050, W: 600, H: 500}, "pattern"},
		"size of six digits": {
			"327GND              U9    -EP         A01X+012700Y+003050X012500Y009000R090 S1",
			view{Net: "GND", Ref: "U9", Pin: "EP", Access: 1, X: 12700, Y: 3050, W: 12500, H: 9000, Turn: 90, Mask: "1"}, "columns"},
		"two words for no net, shifted": {
			"327No Net           CONNECTOR-1          A01X+012700Y+003050X0100",
			view{Ref: "CONNECTOR", Pin: "1", Access: 1, X: 12700, Y: 3050, W: 100}, "pattern"},
		"buried via without access code": {
			"307VMAIN            VIA        MD0100P   X+031000Y+009000               S0L02L03",
			view{Net: "VMAIN", Ref: "VIA", Mid: true, Drilled: true, Plated: true, Drill: 100, Access: noAccess, X: 31000, Y: 9000, Mask: "0", From: 2, To: 3}, "columns"},
	} {
		t.Run(name, func(t *testing.T) {
			var f fields
			if !f.decode([]byte(c.line)) {
				t.Fatal("not read")
			}
			if diff := cmp.Diff(c.want, viewOf(&f)); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
			if how := map[bool]string{false: "columns", true: "pattern"}[f.shifted]; how != c.how {
				t.Errorf("read by %s, want %s", how, c.how)
			}
		})
	}
}

const (
	inches = "P  UNITS CUST 0\n"
	end    = "999\n"
)

func TestQuirkCRLFAndTabsAndLongLines(t *testing.T) {
	b, report := reads(t, strings.ReplaceAll(inches+
		"327VMAIN\t    C1    -1\t      A01X+010000Y+020000X0600Y0500R090 S0\n"+
		"327VMAIN            C2    -1          A01X+010000Y+020000X0600Y0500R090 S0      and more text beyond\n"+end,
		"\n", "\r\n"), record.Options{})
	if netOf(b, "C1.1") != "VMAIN" || pinAt(b, "C1.1").At != (board.Point{X: 25400, Y: 50800}) {
		t.Errorf("with tabs: C1.1 is on %s at %v", netOf(b, "C1.1"), pinAt(b, "C1.1"))
	}
	if netOf(b, "C2.1") != "VMAIN" || coded(report.Notes) != "D314" {
		t.Errorf("C2.1 is on %s; complaints %s", netOf(b, "C2.1"), coded(report.Notes))
	}
}

func TestQuirkByteOrderMark(t *testing.T) {
	text := "\xef\xbb\xbf" + row("327", "A", "C1", "1", "A01X+010000Y+020000") + end
	if b, _ := reads(t, text, record.Options{}); netOf(b, "C1.1") != "A" || Sniff([]byte(text)) != record.Likely {
		t.Errorf("C1.1 is on %s, sniffed as %v", netOf(b, "C1.1"), Sniff([]byte(text)))
	}
}

func TestQuirkLoneCarriageReturns(t *testing.T) {
	b, report := reads(t, strings.ReplaceAll(inches+row("327", "A", "C1", "1", "A01X+010000Y+020000")+end, "\n", "\r"), record.Options{})
	if report.Lines != 3 || len(b.Parts) != 1 {
		t.Errorf("%d lines, %d parts", report.Lines, len(b.Parts))
	}
}

func TestQuirkNoNetIsNeverANet(t *testing.T) {
	words := []string{"N/C", "", "NC", "n.c.", "~Unused_Pins~", "No Net", "NO_NET", "<no net>", "NONE", "UNCONNECTED",
		"NO_CONNECT", "*", "-", "unconnected-(U"}
	text := inches
	for i, w := range words {
		text += row("327", w, "U1", strconv.Itoa(i), "A01X+010000Y+020000")
		text += row("327", w, "U2", strconv.Itoa(i), "A01X+020000Y+020000")
	}
	b, report := reads(t, text+"327OPEN_DRAIN          U1    -X          A01X+010000Y+020000\n"+end, record.Options{})
	if len(b.Nets) != 1 || b.Nets[0].Name != "OPEN_DRAIN" {
		t.Errorf("nets %v", b.Nets)
	}
	if len(b.Pins) != 2*len(words)+1 {
		t.Errorf("%d pins", len(b.Pins))
	}
	if d := first(t, report.Notes, "D322"); !strings.Contains(d.Message, "2 pins") {
		t.Errorf("told as %q", d.Message)
	}
}

// Exporters that keep the last 14 letters leave this of a name made for a pin
// on no net; a real net with one pin keeps its name.
func TestQuirkCutNameOfAPinOnNoNet(t *testing.T) {
	b, _ := reads(t, inches+
		"327IOT_51A-PAD42)      U4    -42         A01X+010000Y+020000\n"+
		"327EATHER_2/SWCLK      U4    -43         A01X+011000Y+020000\n"+
		"327T-(U3-USB_DM)       U4    -44         A01X+011000Y+020000\n"+
		"327TED-(U4-NC45)       U4    -45         A01X+011000Y+020000\n"+
		"327D-(RAW)             U4    -46         A01X+011000Y+020000\n"+
		"327D-(RAW)             U4    -47         A01X+012000Y+020000\n"+end, record.Options{})
	if netOf(b, "U4.45") != "-" || netOf(b, "U4.46") != "D-(RAW)" {
		t.Errorf("%s %s", netOf(b, "U4.45"), netOf(b, "U4.46"))
	}
	if netOf(b, "U4.42") != "-" || netOf(b, "U4.43") != "EATHER_2/SWCLK" || netOf(b, "U4.44") != "T-(U3-USB_DM)" {
		t.Errorf("%s %s %s", netOf(b, "U4.42"), netOf(b, "U4.43"), netOf(b, "U4.44"))
	}
}

func TestQuirkAliases(t *testing.T) {
	use := func(net string) string { return row("327", net, "C1", "1", "A01X+010000Y+020000") }
	for name, c := range map[string]struct{ text, want string }{
		"strict":                  {"P  NNAMEA0001 RAIL_LONG\n" + use("A0001"), "RAIL_LONG"},
		"whole word is the alias": {"P  NNAME1 RAIL_LONG\n" + use("NNAME1"), "RAIL_LONG"},
		"name with blanks":        {"P  NNAME1     RAIL WITH BLANKS\n" + use("NNAME1"), "RAIL WITH BLANKS"},
		"spaced":                  {"P  NNAME 001 RAIL_LONG\n" + use("001"), "RAIL_LONG"},
		"in a comment":            {"C  NNAMEm0000 RAIL_LONG\n" + use("m0000"), "RAIL_LONG"},
		"spelled in a comment":    {"C CAD Netname : USB_D- --- IPC Netname : NNAME0001\n" + use("NNAME0001"), "USB_D-"},
		"after its use":           {use("m0000") + "P  NNAMEm0000 RAIL_LONG\n", "RAIL_LONG"},
		"other case":              {"P  NNAMEM0003 RAIL_LONG\n" + use("m0003"), "RAIL_LONG"},
		"case tells two apart":    {"P  NNAMEM0003 RAIL_A\nP  NNAMEm0003 RAIL_B\n" + use("m0003"), "RAIL_B"},
		"parameter over comment":  {"C  NNAMEm1 OLD\nP  NNAMEm1 NEW\n" + use("m1"), "NEW"},
		"short form is a net too": {"P  NNAME1 RAIL_LONG\n327NNAME1           C2    -1          A01X+010000Y+020000\n" + use("1"), "1"},
		"text after column 72":    {"P  NNAMEA0001 RAIL_LONG                                                 garbage\n" + use("A0001"), "RAIL_LONG"},
		"name beyond column 72": {"P  NNAMEA0001 " + strings.Repeat("R", 70) + "\n" + use("A0001"),
			strings.Repeat("R", 70)},
		"no connection by alias": {"P  NNAMEA0001 unconnected-(U1-Pad3)\n" + use("A0001"), "-"},
	} {
		t.Run(name, func(t *testing.T) {
			b, _ := reads(t, inches+c.text+end, record.Options{})
			if got := netOf(b, "C1.1"); got != c.want {
				t.Errorf("C1.1 is on %s, want %s", got, c.want)
			}
		})
	}
}

func TestAliasComplaints(t *testing.T) {
	_, report := reads(t, inches+"P  NNAMEA1 ONE\nP  NNAMEA1 TWO\nP  NNAMEA2\nP  NNAME\n"+
		row("327", "A1", "C1", "1", "A01X+010000Y+020000")+end, record.Options{File: "h.ipc"})
	if got := coded(report.Notes); got != "D320 D320 D321 D321" {
		t.Errorf("complaints %s", got)
	}
	want := "h.ipc:3:1: warning D320: \"A1\" already stands for the net \"ONE\"\n" +
		"  P  NNAMEA1 TWO\n  ^^^^^^^^^^^^^^\n  help: the first name holds; it was given in line 2\n"
	if diff := cmp.Diff(want, drawn(t, first(t, report.Notes, "D320"))); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestQuirkHeader(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"job is a path":           {"P  JOB   D:/.../f/Heron-A_v3.brd\nP  REV   A\n", "Heron-A_v3 rev A"},
		"backslashes":             {`P  JOB   C:\boards\Heron-A.brd` + "\n", "Heron-A"},
		"no ending, a version":    {"P  JOB   Heron-A_v1.1\n", "Heron-A_v1.1"},
		"one blank":               {"P JOB Heron-A\n", "Heron-A"},
		"job is a sentence":       {"P  JOB NETLIST, DATE: 2/20/15 12:00 AM\n", ""},
		"title as a path":         {"P  TITLE D:/x/Heron-B.brd\n", "Heron-B"},
		"in the middle":           {"327A                C1    -1          A01X+010000Y+020000\nP  JOB   Heron-A\n", "Heron-A"},
		"the caller's name holds": {"P  JOB   other\n", ""},
	} {
		t.Run(name, func(t *testing.T) {
			opt := record.Options{}
			want := c.want
			if name == "the caller's name holds" {
				opt.Board.Name, want = "Heron-A", "Heron-A"
			}
			b, _ := reads(t, inches+c.text+row("327", "A", "C9", "1", "A01X+010000Y+020000")+end, opt)
			if b.Ref.String() != want {
				t.Errorf("board is %q, want %q", b.Ref.String(), want)
			}
		})
	}
}

func TestQuirkLatin1AndControlBytes(t *testing.T) {
	b, _ := reads(t, inches+"327\xdcBER_5V           C1    -1          A01X+010000Y+020000\n"+
		"327A\x01B              C2    -1          A01X+010000Y+020000\n"+end, record.Options{})
	if netOf(b, "C1.1") != "ÜBER_5V" || netOf(b, "C2.1") != "A?B" {
		t.Errorf("%q and %q", netOf(b, "C1.1"), netOf(b, "C2.1"))
	}
}

func TestQuirkImagesOfAPanel(t *testing.T) {
	b, report := reads(t, inches+"P  IMAGE PRIMARY\n"+
		row("327", "A", "C1", "1", "A01X+010000Y+020000")+
		"P  IMAGE 2\n309 MY R090 X+010000Y+000000\nP  IMAGE PANEL\n"+
		"367                             D2700UA00X+001500Y+001500X2700Y0000     S0\n"+end, record.Options{})
	if len(b.Parts) != 1 || len(b.Holes) != 0 {
		t.Errorf("%d parts, %d holes", len(b.Parts), len(b.Holes))
	}
	if c := report.Of("367"); c.Explained != 1 || report.Of("309").Explained != 1 {
		t.Errorf("%+v", c)
	}
}

// In 356B the net field runs to column 20.
func TestVersionB(t *testing.T) {
	b, report := reads(t, "P  VER IPC-D-356B\nP  SECONDARY_SIDE_LAYER 6\n"+inches+
		"327LONG_NET_NAME_17LC412  -1          A06X+012700Y-003050(polygon 4 corners)\n"+end, record.Options{})
	if netOf(b, "C412.1") != "LONG_NET_NAME_17L" || len(report.Notes) > 0 || report.Format != "IPC-D-356B" {
		t.Errorf("%s, %v, %s", netOf(b, "C412.1"), report.Notes, report.Format)
	}
	if pinAt(b, "C412.1").Side != board.Bottom || b.Layers != 6 {
		t.Errorf("side %v of %d layers", pinAt(b, "C412.1").Side, b.Layers)
	}
}
