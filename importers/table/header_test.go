package table

import (
	"context"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/importers/record"
	"netlore/query/diag"
	"netlore/store/board"
)

// Header rows as programs and people write them (common practice, no source),
// and what kind of table they make.
func TestKindsByHeader(t *testing.T) {
	for _, c := range []struct {
		header string
		kind   string
		unused string
	}{
		{"Designator,Mid X,Mid Y,Rotation,Layer", "placement", ""},
		{"Ref,Val,Package,PosX,PosY,Rot,Side", "placement", ""},
		{"REFDES,COMP_DEVICE_TYPE,COMP_VALUE,COMP_TOL,COMP_PACKAGE,SYM_X,SYM_Y,SYM_ROTATE,SYM_MIRROR", "placement", "COMP_DEVICE_TYPE"},
		{"Designator,Footprint,Mid X,Mid Y,Ref X,Ref Y,Pad X,Pad Y,TB,Rotation,Comment", "placement", "Ref X,Ref Y,Pad X,Pad Y"},
		{"Reference Designator [Ref];X-Location (mil);Y-Location (mil);Board Side", "placement", ""},
		{"Part,Value,Package,x_mm,y_mm,angle", "placement", ""},
		{"Name,X,Y", "", ""},
		{"Line Item,Qty,Value,Description,PACKAGE,Reference,MANUFACTURER,MANUFACTURER PART NUMBER,Substitutions Policy", "parts list", "Line Item,MANUFACTURER,Substitutions Policy"},
		{"Item,Quantity,Reference,Part Number,Description,Manufacturer", "parts list", "Item,Manufacturer"},
		{"S.No.,Ref Des,Description,Part Number,Manufacturer", "parts list", "S.No.,Manufacturer"},
		{"Location,Part,Description", "parts list", "Part"},
		{"Reference,Value,DNP", "parts list", ""},
		{"Reference", "", ""},
		{"Item,Quantity,Description", "", ""},
		{"part,pin,net", "pins", ""},
		{"RefDes,Pad,Net Name,X,Y", "pins", ""},
		{"Component,Pin Number,X,Y", "pins", ""},
		{"Test point,Net,X,Y,Side", "pads", ""},
		{"pad,net,group", "pads", ""},
		{"Net name,kind,voltage,function", "nets", ""},
		{"Signal,Alias", "nets", ""},
		{"net", "", ""},
		{"pad,diode,ohms,meter,job,time", "readings", ""},
		{"net,diode mode (V),resistance (kohm)", "readings", ""},
		{"target,mode,value,meter", "readings", ""},
		{"part,pin,reading,mode,tolerance,job", "readings", "tolerance"},
		{"net,expected,mode,tolerance", "expected values", ""},
		{"net,mode,value,tolerance", "expected values", ""},
		{"pad,diode expected,ohms expected", "expected values", ""},
		{"net,kind,volts,function,expected diode,tolerance", "expected values", ""},
		{"alpha,beta,gamma", "", ""},
	} {
		t.Run(c.header, func(t *testing.T) {
			d := findDialect([]byte(c.header + "\n"))
			kind, unused := "", ""
			if d.header != nil {
				kind, unused = d.header.kind.name, strings.Join(d.header.unused, ",")
			}
			if kind != c.kind || unused != c.unused {
				t.Errorf("read as %q, unused %q; expected %q, %q", kind, unused, c.kind, c.unused)
			}
		})
	}
}

// Every word of the table of header words is found, as itself and with a unit.
func TestHeaderWords(t *testing.T) {
	seen := map[string]column{}
	for c, words := range headerWords {
		for _, w := range strings.Fields(words) {
			if fold(w) != w {
				t.Errorf("%s is not folded", w)
			}
			if other, twice := seen[w]; twice {
				t.Errorf("%s means column %d and column %d", w, other, c)
			}
			seen[w] = column(c)
			if m, ok := headerWord(w + " (mm)"); !ok || m.column != column(c) || m.unit != "mm" {
				t.Errorf("%s means column %d, unit %q", w, m.column, m.unit)
			}
		}
	}
}

func TestHeaderUnits(t *testing.T) {
	for text, want := range map[string]string{
		"Center-X(mm)": "mm", "X [mil]": "mil", "y_mm": "mm", "PosY/inch": "in", "x": "", "X (µm)": "um", "Rotation (deg)": "deg",
		"diode (mV)": "mV", "resistance [kohm]": "kohm", "Reference(s)": "", "Width (Inches)": "in",
	} {
		if m, ok := headerWord(text); !ok || m.unit != want {
			t.Errorf("%s: unit %q, %v", text, m.unit, ok)
		}
	}
	for _, text := range []string{"", "mm", "()", "x(", "Price", strings.Repeat("x", 100)} {
		if m, ok := headerWord(text); ok && text != "x(" {
			t.Errorf("%q means column %d", text, m.column)
		}
	}
}

// The unit that the caller states wins over that of the header, and that over
// the one of a line before it; a unit in the cell is always its own.
func TestUnitOfTheCaller(t *testing.T) {
	const text = "Units: mil\nRef,X (mm),Y,Side\nC1,1,2\nC2,100um,1in\n"
	for _, c := range []struct {
		length record.Length
		x, y   int32
	}{{record.AsStated, 1000, 2000}, {record.Millimetre, 1000, 2000}, {record.Mil, 25, 51}, {record.Inch, 25_400, 50_800}} {
		got := readText(t, record.Options{Length: c.length}, text)
		if got.err != nil {
			t.Fatal(got.err)
		}
		want := []board.Point{{X: c.x, Y: c.y}, {X: 100, Y: 25_400}}
		if d := cmp.Diff(want, []board.Point{got.board.Parts[0].At, got.board.Parts[1].At}); d != "" {
			t.Errorf("length %d: %s", c.length, d)
		}
	}
}

func TestUnitBySize(t *testing.T) {
	for span, want := range map[float64]string{0: "", 2.9: "", 3: "mm", 199: "mm", 200: "", 600: "", 601: "mil", 24_000: "mil", 30_000: ""} {
		if got := unitBySpan(span); got != want {
			t.Errorf("%g: %q, expected %q", span, got, want)
		}
	}
}

// withPins is a draft in which a netlist has given places of pins: two for each
// of twelve parts, 1 mm apart, a part each 3 mm.
func withPins() *record.Draft {
	draft := record.NewDraft(board.Ref{Name: "Test"})
	for n := range int32(12) {
		part := draft.Board.Part("C" + string(rune('A'+n)) + "1")
		for pin, x := range []int32{0, 1000} {
			p := draft.Board.PinAt(draft.Board.Pin(part, []string{"1", "2"}[pin]))
			p.Placed, p.At = true, board.Point{X: 3000*n + x, Y: 5000}
		}
	}
	return draft
}

// placedAt is a table of the same parts, in units of so many micrometres.
func placedAt(um float64, shift float64) string {
	var s strings.Builder
	s.WriteString("Ref,X,Y\n")
	for n := range 12 {
		s.WriteString("C" + string(rune('A'+n)) + "1," + number((3000*float64(n)+500)/um+shift) + "," + number(5000/um) + "\n")
	}
	return s.String()
}

func number(x float64) string {
	q, _ := board.NewQuantity(int64(x*1e6), -6, board.One)
	return q.String()
}

// Where pins have places, they tell the unit, even where the size of the board
// does not.
func TestUnitByPins(t *testing.T) {
	for name, um := range map[string]float64{"mm": 1000, "mil": 25.4, "inch": 25_400} {
		t.Run(name, func(t *testing.T) {
			got := readInto(t, record.Options{}, placedAt(um, 0), withPins())
			if got.err != nil || !hasCode(got.report.Notes, "T122") || hasCode(got.report.Notes, "T125") {
				t.Fatalf("error %v, notes %v", got.err, got.report.Notes)
			}
			if p := got.board.Parts[11]; p.At.X < 33_499 || p.At.X > 33_501 {
				t.Errorf("%s at %v", p.Name, p.At)
			}
		})
	}
}

func TestPlacesBesidePins(t *testing.T) {
	got := readInto(t, record.Options{Length: record.Millimetre}, placedAt(1000, 40), withPins())
	if got.err != nil || !hasCode(got.report.Notes, "T125") {
		t.Errorf("error %v, notes %v", got.err, got.report.Notes)
	}
}

// What an earlier file has said holds; another place, value or net is named.
func TestEarlierFileHolds(t *testing.T) {
	draft := record.NewDraft(board.Ref{Name: "Test"})
	for _, text := range []string{
		"Ref,Value,X (mm),Y (mm)\nC1,1uF,1,1\nC2,1uF,2,2\nC3,,3,3\n",
		"part,pin,net\nC1,1,VMAIN\n",
	} {
		if _, err := Read(context.Background(), strings.NewReader(text), record.Options{}, draft); err != nil {
			t.Fatal(err)
		}
	}
	got := readInto(t, record.Options{File: "second.csv"}, "Ref,Value,X (mm),Y (mm)\nC1,1uF,1.05,1\nC2,2.2uF,2,9\nC3,1nF,3,3\n", draft)
	var said []string
	for _, d := range got.report.Notes {
		if d.Severity != diag.Note {
			said = append(said, d.Error())
		}
	}
	want := []string{
		"second.csv:3:1: warning T135: the value of C2 is 2.2uF here, but 1uF in an earlier file",
		"second.csv:3:1: warning T135: C2 lies at 2mm, 9mm here, but at 2mm, 2mm by an earlier file",
	}
	if d := cmp.Diff(want, said); d != "" {
		t.Error(d)
	}
	c2, c3 := got.board.Parts[1], got.board.Parts[2]
	if c2.Value != board.MustQuantity("1uF") || c2.At != (board.Point{X: 2000, Y: 2000}) || c3.Value != board.MustQuantity("1nF") {
		t.Errorf("%v %v", c2, c3)
	}
}

func TestPlaces(t *testing.T) {
	got, err := Places(context.Background(), strings.NewReader("Ref,X (mm),Y (mm),Side\nRNTCBIAS3,1,2,top\nRNTCBIAS5,3,4,bottom\n"), record.Options{})
	want := []record.Place{
		{Name: "RNTCBIAS3", Side: board.Top, Placed: true, At: board.Point{X: 1000, Y: 2000}},
		{Name: "RNTCBIAS5", Side: board.Bottom, Placed: true, At: board.Point{X: 3000, Y: 4000}},
	}
	if d := cmp.Diff(want, got); d != "" || err != nil {
		t.Errorf("error %v %s", err, d)
	}
	if got, err := Places(context.Background(), strings.NewReader("net,kind\nGND,ground\n"), record.Options{}); len(got) != 0 || err != nil {
		t.Errorf("%v %v", got, err)
	}
}
