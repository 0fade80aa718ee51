package table

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/store/board"
)

// What IEC 60062 (2016) makes of a code: a letter stands for the decimal point
// and the multiplier, a further letter for the tolerance. The resistances are
// the examples of the standard's clause on codes as the encyclopaedia article
// "RKM code" gives them; the capacitances and tolerance letters are from memory.
func TestIEC60062InValueCells(t *testing.T) {
	for _, c := range []struct{ ref, cell, value, percent string }{
		{"R1", "R47", "0.47ohm", ""}, {"R1", "4R7", "4.7ohm", ""}, {"R1", "470R", "470ohm", ""}, {"R1", "4K7", "4.7kohm", ""},
		{"R1", "47K", "47kohm", ""}, {"R1", "47K3", "47.3kohm", ""}, {"R1", "470K", "470kohm", ""}, {"R1", "4M7", "4.7Mohm", ""},
		{"R1", "2L2", "2.2mohm", ""}, {"R1", "0R", "0ohm", ""}, {"R1", "R002", "2mohm", ""}, {"R1", "1G0", "1Gohm", ""},
		{"C1", "10p", "10pF", ""}, {"C1", "4n7", "4.7nF", ""}, {"C1", "1µ0", "1uF", ""}, {"C1", "100n", "100nF", ""}, {"C1", "p33", "0.33pF", ""},
		{"R1", "4K7J", "4.7kohm", "5%"}, {"R1", "R47K", "0.47ohm", "10%"}, {"R1", "10KF", "10kohm", "1%"}, {"R1", "100RB", "100ohm", "0.1%"},
		{"R1", "22RC", "22ohm", "0.25%"}, {"R1", "22RD", "22ohm", "0.5%"}, {"R1", "22RG", "22ohm", "2%"}, {"R1", "4M7M", "4.7Mohm", "20%"},
		{"C1", "100nK", "100nF", "10%"}, {"C1", "4n7J", "4.7nF", "5%"},
	} {
		t.Run(c.cell, func(t *testing.T) {
			v := readValue(c.cell, board.ClassOf(c.ref), false)
			if v.value.String() != c.value || text(v.percent) != c.percent || !v.whole {
				t.Errorf("%v ±%v, understood as a whole: %v", v.value, v.percent, v.whole)
			}
		})
	}
}

// text is a quantity as it prints, "" when it is not known.
func text(q board.Quantity) string {
	if !q.Known() {
		return ""
	}
	return q.String()
}

// Value cells as parts lists have them (common practice, no source).
func TestValueCells(t *testing.T) {
	type result struct{ Value, Volts, Amps, Percent, More string }
	for _, c := range []struct {
		ref, cell string
		want      result
	}{
		{"C1", "0.1 µF 16V X5R", result{Value: "100nF", Volts: "16V", More: "part"}},
		{"C1", "10uF/6.3V", result{Value: "10uF", Volts: "6.3V"}},
		{"C1", "10uF_6V3", result{Value: "10uF", Volts: "6.3V"}},
		{"C1", "4,7uF 25V ±10%", result{Value: "4.7uF", Volts: "25V", Percent: "10%"}},
		{"C1", "100NF,50V,X7R", result{Value: "100nF", Volts: "50V", More: "part"}},
		{"C1", "1000 pF", result{Value: "1nF"}},
		{"C1", "22p DNP", result{Value: "22pF", More: "unfitted"}},
		{"C1", "DNP", result{More: "unfitted"}},
		{"C1", "2-6pF", result{More: "part"}},
		{"C1", "104", result{More: "part"}},   // 100 nF by its code, 104 pF by habit
		{"C1", "100MF", result{More: "part"}}, // milli or micro
		{"C1", "10k", result{More: "part"}},
		{"R1", "10K 1%", result{Value: "10kohm", Percent: "1%"}},
		{"R1", "953", result{Value: "953ohm"}},
		{"R1", "100 Ω", result{Value: "100ohm"}},
		{"R1", "10 KOHM 0.5%", result{Value: "10kohm", Percent: "0.5%"}},
		{"R1", "0R1 1/4W", result{Value: "0.1ohm", More: "part"}},
		{"R1", "1,000", result{More: "part"}}, // a decimal comma, or thousands
		{"L1", "2u2 1.5A", result{Value: "2.2uH", Amps: "1.5A"}},
		{"L1", "600R@100MHz 500mA", result{Value: "600ohm", Amps: "0.5A", More: "bead, part"}},
		{"FB1", "120 OHM 2000MA", result{Value: "120ohm", Amps: "2A"}},
		{"Y1", "32.768KHz, Test", result{Value: "32.768kHz", More: "part"}},
		{"U1", "HX100 3.3V", result{More: "part"}},
		{"D1", "5V1", result{More: "part"}},
	} {
		t.Run(c.ref+" "+c.cell, func(t *testing.T) {
			v := readValue(c.cell, board.ClassOf(c.ref), false)
			got := result{text(v.value), text(v.volts), text(v.amps), text(v.percent), ""}
			switch {
			case v.bead:
				got.More = "bead, part"
			case v.unfitted:
				got.More = "unfitted"
			case !v.whole:
				got.More = "part"
			}
			if d := cmp.Diff(c.want, got); d != "" {
				t.Error(d)
			}
		})
	}
}

// Descriptions as parts lists have them, without a value cell.
func TestDescriptions(t *testing.T) {
	for _, c := range []struct{ ref, text, value, volts, percent string }{
		{"C1", "CAP CER 0.1UF 25V 10% X7R 0402", "100nF", "25V", "10%"},
		{"C1", "1 µF ±10% 25V Ceramic Capacitor X5R 0402 (1005 Metric)", "1uF", "25V", "10%"},
		{"R1", "RES 1.00K OHM 1/16W 1% 0402 SMD", "1kohm", "", "1%"},
		{"R1", "RES SMD 0.0OHM JUMPER 1/10W 0402", "0ohm", "", ""},
		{"R1", "RES 150 1% 1/16W 0402", "", "", ""}, // a bare number may be anything
		{"R1", "0402 10K 5%", "10kohm", "", "5%"},
		{"C1", "2 ~ 6pF trimmer, 100 V", "", "", ""},
		{"FB1", "FERRITE CHIP 120 OHM 2000MA 0603", "120ohm", "", ""},
		{"U1", "IC REG 3.3V 1A", "", "", ""},
	} {
		t.Run(c.text, func(t *testing.T) {
			v := described(c.text, board.ClassOf(c.ref), false)
			if got := [3]string{text(v.value), text(v.volts), text(v.percent)}; got != [3]string{c.value, c.volts, c.percent} {
				t.Errorf("got %q", got)
			}
		})
	}
}

func TestRefs(t *testing.T) {
	for _, c := range []struct {
		text string
		want []string
		odd  string
	}{
		{"C1", []string{"C1"}, ""},
		{"C1, C2,C3", []string{"C1", "C2", "C3"}, ""},
		{"C1 C2;C3\nC4|C5", []string{"C1", "C2", "C3", "C4", "C5"}, ""},
		{"C1935,C1936,", []string{"C1935", "C1936"}, ""},
		{"B1-B3", []string{"B1", "B2", "B3"}, ""},
		{"C9 - C11, C20", []string{"C9", "C10", "C11", "C20"}, ""},
		{"C1–C3", []string{"C1", "C2", "C3"}, ""},
		{"P1..P3", []string{"P1", "P2", "P3"}, ""},
		{"R001-R003", []string{"R001", "R002", "R003"}, ""},
		{"R1/R2", []string{"R1", "R2"}, ""},
		{"R3-R1", []string{"R3-R1"}, ""}, // no range: it may be a name
		{"J1-2", []string{"J1-2"}, ""},
		{"C1-C99999", []string{"C1-C99999"}, ""},
		{"C70_1,U$1", []string{"C70_1", "U$1"}, ""},
		{"USER", []string{"USER"}, ""},
		{"see note", nil, "see"},
		{"C1 and C2", []string{"C1", "C2"}, "and"},
		{"13", nil, "13"},
		{"REF**", []string{"REF**"}, ""},
	} {
		t.Run(c.text, func(t *testing.T) {
			got, odd := refs(nil, c.text)
			if d := cmp.Diff(c.want, got); d != "" || odd != c.odd {
				t.Errorf("odd %q %s", odd, d)
			}
		})
	}
	if names, _ := refs(nil, "C1-C4096"); len(names) != 4096 {
		t.Errorf("the longest range has %d names", len(names))
	}
}

func TestNumbers(t *testing.T) {
	for _, c := range []struct {
		text  string
		comma bool
		want  string // in mm where there is a unit
	}{
		{"12.5", false, "12.5"}, {"-3", false, "-3"}, {"+0.25", false, "0.25"}, {"1e2", false, "100"},
		{"51.816mm", false, "51.816mm"}, {"51.816 mm", false, "51.816mm"}, {"100mil", false, "2.54mm"}, {"100MILS", false, "2.54mm"},
		{"1in", false, "25.4mm"}, {"1.5\"", false, "38.1mm"}, {"250um", false, "0.25mm"},
		{"12,5", false, "12.5"}, {"0,125", false, "0.125"}, {"12,5mm", false, "12.5mm"},
		{"51,816", true, "51.816"}, {"51,816", false, "comma"}, {"-51,816", false, "comma"},
		{"1.051,8", false, "1051.8"}, {"1,051.8", false, "1051.8"}, {"12,345,678.5", false, "12345678.5"}, {"1,2,3", false, "comma"}, {"1,05.8", false, "comma"},
		{"NaN", false, "error"}, {"inf", false, "error"}, {"-Infinity", false, "error"}, {"1e999", false, "error"}, {"", false, "error"},
		{"0x1p4", false, "error"}, {"1_000", false, "error"}, {"5V", false, "error"}, {"1234567890123456789012", false, "error"},
	} {
		q, err := plainNumber(c.text, c.comma)
		got := text(q)
		switch {
		case err == errComma:
			got = "comma"
		case err != nil:
			got = "error"
		}
		if got != c.want {
			t.Errorf("%q: %s, expected %s", c.text, got, c.want)
		}
	}
}

// The inch is 25.4 mm exactly (international yard and pound agreement, 1959).
func TestLengthUnits(t *testing.T) {
	for _, c := range []struct {
		text, unit string
		um         int32
	}{
		{"1000", "mil", 25_400}, {"1", "in", 25_400}, {"0.0005", "mm", 1}, {"-0.0005", "mm", -1}, {"0.00049", "mm", 0},
		{"67.400000000000006", "mil", 1712}, {"3467.7166000000002", "mil", 88_080}, {"2000", "mm", 2_000_000}, {"7", "um", 7},
	} {
		q, err := plainNumber(c.text, false)
		if err != nil {
			t.Fatal(err)
		}
		q, ok := inUnit(q, c.unit)
		um, near := micrometres(q)
		if !ok || !near || um != c.um {
			t.Errorf("%s %s: %d um, %v %v", c.text, c.unit, um, ok, near)
		}
	}
	if _, ok := micrometres(board.MustQuantity("2.1m")); ok {
		t.Error("2.1 m lies on a board")
	}
}

func TestAngles(t *testing.T) {
	for text, want := range map[string]int32{"0": 0, "90": 90_000, "-90": 270_000, "360": 0, "450": 90_000, "22.5°": 22_500, "45 deg": 45_000, "-0.0001": 0, "180,0": 180_000} {
		if got, err := angle(text, false); err != nil || got != want {
			t.Errorf("%s: %d %v, expected %d", text, got, err, want)
		}
	}
	for _, text := range []string{"", "ninety", "NaN", "1e999"} {
		if got, err := angle(text, false); err == nil {
			t.Errorf("%q is %d", text, got)
		}
	}
}

func TestSideWords(t *testing.T) {
	for word, want := range map[string]board.Side{
		"top": board.Top, "T": board.Top, "TopLayer": board.Top, "Top Side": board.Top, "front": board.Top, "F.Cu": board.Top, "1": board.Top, "Component Side": board.Top,
		"BOTTOM": board.Bottom, "b": board.Bottom, "Bottom-Layer": board.Bottom, "bot": board.Bottom, "back": board.Bottom, "B.Cu": board.Bottom, "2": board.Bottom, "solder side": board.Bottom,
		"through": board.BothSides,
	} {
		if got, ok := sideByWord(word); !ok || got != want {
			t.Errorf("%s: %v %v", word, got, ok)
		}
	}
	for _, word := range []string{"inner", "3", "layer", ""} {
		if got, ok := sideByWord(word); ok {
			t.Errorf("%s is %v", word, got)
		}
	}
}
