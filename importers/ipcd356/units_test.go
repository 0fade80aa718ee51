package ipcd356

import (
	"math"
	"testing"

	"netlore/importers/record"
	"netlore/store/board"
)

// One inch is exactly 25.4 mm (international yard and pound agreement, 1959),
// so 0.0001 inch is 2.54 µm and 50 counts are 127 µm.
func TestInchesAreExact(t *testing.T) {
	inch, milli := units{}, units{metric: true}
	for count, want := range map[int32]int32{0: 0, 1: 3, 2: 5, 25: 64, 50: 127, 5000: 12700, -1201: -3051, -25: -64, 999999: 2539997, -999999: -2539997} {
		if got := inch.um(count); got != want {
			t.Errorf("%d counts are %d µm, want %d", count, got, want)
		}
		if milli.um(count) != count {
			t.Errorf("%d µm are %d", count, milli.um(count))
		}
	}
	for count := int32(-100_000); count <= 100_000; count += 7 {
		if off := math.Abs(float64(inch.um(count)) - 2.54*float64(count)); off > 0.5+1e-6 {
			t.Fatalf("%d counts are %g µm off", count, off)
		}
	}
}

func TestStatedUnits(t *testing.T) {
	pin := row("327", "A", "C1", "1", "A01X+010000Y+020000X0600Y0500R090")
	for name, c := range map[string]struct {
		text  string
		opt   record.Options
		x     int32
		turn  int32
		codes string
	}{
		"inch":                   {"P  UNITS CUST 0\n" + pin, record.Options{}, 25400, 90_000, ""},
		"inch, no number":        {"P  UNITS CUST\n" + pin, record.Options{}, 25400, 90_000, ""},
		"metric":                 {"P  UNITS CUST 1\n" + pin, record.Options{}, 10000, 90_000, ""},
		"metric, many blanks":    {"P  UNITS   CUST   1\n" + pin, record.Options{}, 10000, 90_000, ""},
		"SI":                     {"P  UNITS SI\n" + pin, record.Options{}, 10000, 90_000, ""},
		"inch, says radians":     {"P  UNITS CUST 2\n" + pin, record.Options{}, 25400, 90_000, "D303"},
		"missing":                {pin, record.Options{}, 25400, 90_000, "D301"},
		"missing, but told":      {pin, record.Options{Length: record.Millimetre}, 10000, 90_000, ""},
		"overruled":              {"P  UNITS CUST 0\n" + pin, record.Options{Length: record.Millimetre}, 10000, 90_000, ""},
		"unknown, but told":      {"P  UNITS CUST 9\n" + pin, record.Options{Length: record.Inch}, 25400, 90_000, ""},
		"after the records":      {pin + "P  UNITS CUST 1\n", record.Options{}, 10000, 90_000, ""},
		"twice, first one holds": {"P  UNITS CUST 1\nP  UNITS CUST 0\nP  UNITS CUST 1\n" + pin, record.Options{}, 10000, 90_000, "D304"},
	} {
		t.Run(name, func(t *testing.T) {
			b, report := reads(t, c.text+end, c.opt)
			if p := pinAt(b, "C1.1"); p.At.X != c.x || p.Shape.Turn != c.turn {
				t.Errorf("x %d turned %d, want %d and %d", p.At.X, p.Shape.Turn, c.x, c.turn)
			}
			if got := coded(report.Notes); got != c.codes {
				t.Errorf("complaints %q, want %q", got, c.codes)
			}
		})
	}
}

// Two radians are 114.592 degrees. The field has three digits and no point, so
// a file with larger numbers in it has degrees, whatever it says.
func TestRadians(t *testing.T) {
	b, _ := reads(t, "P  UNITS SI\n"+row("327", "A", "C1", "1", "A01X+010000Y+020000X0600Y0500R002")+end, record.Options{})
	if got := pinAt(b, "C1.1").Shape.Turn; got != 114_592 {
		t.Errorf("turned %d millidegrees", got)
	}
}

func TestUnlikelySize(t *testing.T) {
	text := ""
	for i := range 30 {
		text += row("327", "A", "U1", string(rune('A'+i)), place(1, 40*i, 0))
	}
	_, report := reads(t, metric+text+end, record.Options{})
	first(t, report.Notes, "D305")
	_, report = reads(t, metric+row("327", "A", "U1", "1", place(1, 990_000, 0))+text+end, record.Options{})
	if got := coded(report.Notes); got != "" {
		t.Errorf("complaints about a board of 990 mm: %s", got)
	}
}

// The far side has the highest access code; a stated number of layers counts
// where the codes show inner layers only.
func TestSides(t *testing.T) {
	for name, c := range map[string]struct {
		text   string
		side   board.Side
		layers int32
	}{
		"highest code":                  {row("327", "A", "C1", "1", place(4, 0, 0)), board.Bottom, 4},
		"two sides of many layers":      {"C  Number of etch Layers:  10\n" + row("327", "A", "C1", "1", place(2, 0, 0)), board.Bottom, 10},
		"inner layer":                   {"P  SECONDARY_SIDE_LAYER L06\n" + row("327", "A", "C1", "1", place(3, 0, 0)), board.SideUnknown, 6},
		"stated and highest":            {"C  Number of etch Layers:  6\n" + row("327", "A", "C1", "1", place(6, 0, 0)), board.Bottom, 6},
		"inner, another part is beyond": {row("327", "A", "C2", "1", place(8, 0, 0)) + row("327", "A", "C1", "1", place(3, 0, 0)), board.SideUnknown, 8},
		"both sides":                    {row("327", "A", "C1", "1", place(0, 0, 0)), board.BothSides, 0},
		"top only":                      {row("327", "A", "C1", "1", place(1, 0, 0)), board.Top, 0},
		"through, reached from the top": {row("317", "A", "C1", "1", place(1, 0, 0)), board.BothSides, 0},
	} {
		t.Run(name, func(t *testing.T) {
			b, _ := reads(t, inches+c.text+end, record.Options{})
			if got := pinAt(b, "C1.1").Side; got != c.side || b.Layers != c.layers {
				t.Errorf("side %v of %d layers, want %v of %d", got, b.Layers, c.side, c.layers)
			}
		})
	}
}

// A part lies on the side of its surface pins; its through pins tell nothing.
func TestSideOfAPart(t *testing.T) {
	b, _ := reads(t, inches+
		row("327", "A", "J1", "1", place(2, 0, 0))+row("317", "A", "J1", "2", place(0, 900, 0))+
		row("327", "A", "J2", "1", place(2, 0, 0))+row("327", "A", "J2", "2", place(1, 0, 0))+
		row("317", "A", "J3", "1", place(0, 0, 0))+end, record.Options{})
	got := [3]board.Side{b.Parts[0].Side, b.Parts[1].Side, b.Parts[2].Side}
	if got != [3]board.Side{board.Bottom, board.SideUnknown, board.SideUnknown} {
		t.Errorf("sides %v", got)
	}
}
