package value

import (
	"math/rand"
	"slices"
	"testing"
	"time"

	"netlore/store/board"
)

func q(s string) Value { return OfQuantity(board.MustQuantity(s)) }

// sorted is values in their order; every one is before all that follow it.
var sorted = []Value{
	OfText("C2"), OfText("C10"),
	OfName("", "C2", "C2"), OfName("lower", "C10", "C10"), OfName("upper", "C10", "C10"),
	OfWord("low", 1), OfWord("medium", 2), OfWord("high", 3),
	q("50um"), q("3mm"), q("1min"), q("0.1V"), q("412mV"), q("3.8V"), q("0ohm"), q("4.7kohm"),
	OfCount(7), Between(7, 9), OfCount(8), OfCount(12),
	OfTime(time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)), OfTime(time.Date(2026, 3, 2, 10, 11, 0, 0, time.UTC)),
	OfTruth(board.False), OfTruth(board.Unknown), OfTruth(board.True),
	OfList([]Value{OfText("a"), OfText("b")}), OfList([]Value{OfText("a"), OfText("b"), OfText("c")}), OfList([]Value{OfText("b"), OfText("a")}),
	Nothing(), {},
}

func TestCompareIsOneTotalOrder(t *testing.T) {
	for i, a := range sorted {
		for j, b := range sorted {
			want := map[bool]int{i < j: -1, i > j: 1, i == j: 0}[true]
			if got := Compare(a, b); got != want {
				t.Errorf("%s against %s: %d, want %d", a, b, got, want)
			}
		}
	}
}

func TestSortingDownKeepsNothingLast(t *testing.T) {
	mixed := []Value{{}, q("1V"), Nothing(), q("3V"), q("2V")}
	rand.New(rand.NewSource(1)).Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
	slices.SortFunc(mixed, CompareDown)
	for i, want := range []string{"3V", "2V", "1V", "-", "?"} {
		if mixed[i].String() != want {
			t.Errorf("place %d: %s, want %s", i, mixed[i], want)
		}
	}
}

func TestString(t *testing.T) {
	for _, c := range []struct {
		v    Value
		want string
	}{
		{Value{}, "?"},
		{Nothing(), "-"},
		{OfList(nil), "-"},
		{OfQuantity(board.Quantity{}), "?"},
		{OfTime(time.Time{}), "?"},
		{OfName("", "my net", `"my net"`), `"my net"`},
		{OfName("lower", "VMAIN", "VMAIN"), "lower:VMAIN"},
		{OfList([]Value{OfName("", "SH1", "SH1")}), "SH1"},
		{OfList([]Value{OfName("", "SH1", "SH1"), {}}), "SH1, ?"},
		{OfCount(7), "7"},
		{Between(7, 9), "7 to 9"},
		{OfTime(time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)), "2026-03-02"},
		{OfTime(time.Date(2026, 3, 2, 10, 11, 0, 0, time.UTC)), "2026-03-02T10:11:00Z"},
		{OfTruth(board.True), "yes"},
		{q("10uF"), "10uF"},
	} {
		if got := c.v.String(); got != c.want {
			t.Errorf("got %s, want %s", got, c.want)
		}
	}
}

func columnUnitOf(cells []Value) string {
	var u CommonUnit
	for i := range cells {
		u.Add(&cells[i])
	}
	return u.String()
}

func TestColumnUnit(t *testing.T) {
	for _, c := range []struct {
		name  string
		cells []Value
		unit  string
		shown []string
	}{
		{"one unit", []Value{q("10uF"), q("4.7uF"), {}}, "uF", []string{"10", "4.7", "?"}},
		{"two prefixes keep their own", []Value{q("10uF"), q("100nF")}, "", []string{"10uF", "100nF"}},
		{"two measures", []Value{q("10uF"), q("10ohm")}, "", []string{"10uF", "10ohm"}},
		{"zero goes with any prefix", []Value{q("0ohm"), q("4k7ohm"), q("0ohm")}, "kohm", []string{"0", "4.7", "0"}},
		{"zero of another measure", []Value{q("0ohm"), q("10uF")}, "", []string{"0ohm", "10uF"}},
		{"times stay minutes", []Value{q("12min"), q("1h")}, "min", []string{"12", "60"}},
		{"seconds are no minutes", []Value{q("12min"), q("90s")}, "", []string{"12min", "90s"}},
		{"lengths in mm", []Value{q("50um"), q("3mm"), q("2m")}, "mm", []string{"0.05", "3", "2000"}},
		{"per cent", []Value{q("8%"), q("0.5%")}, "%", []string{"8", "0.5"}},
		{"lists", []Value{OfList([]Value{q("12min"), {}}), q("2min")}, "min", []string{"12, ?", "2"}},
		{"open beside volts", []Value{q("0.412V"), OfWord("open", 1)}, "V", []string{"0.412", "open"}},
		{"below nothing", []Value{q("-3V"), q("-0.2V")}, "V", []string{"-3", "-0.2"}},
		{"no numbers", []Value{OfText("a"), OfCount(3), Nothing()}, "", []string{"a", "3", "-"}},
	} {
		unit := columnUnitOf(c.cells)
		if unit != c.unit {
			t.Errorf("%s: unit %q, want %q", c.name, unit, c.unit)
		}
		for i, cell := range c.cells {
			if got := cell.In(unit); got != c.shown[i] {
				t.Errorf("%s: %s, want %s", c.name, got, c.shown[i])
			}
		}
	}
}

// A column's numbers mean the same with the unit in the head: putting the unit
// back and reading it gives the quantity again.
func TestColumnsReadBack(t *testing.T) {
	r := rand.New(rand.NewSource(7))
	units := []board.Unit{board.Farad, board.Ohm, board.Volt, board.Metre, board.Second, board.Ratio, board.Hertz}
	for range 20000 {
		one, ok := board.NewQuantity(r.Int63n(100000)-20, r.Intn(16)-13, units[r.Intn(len(units))])
		if !ok {
			continue
		}
		unit := columnUnitOf([]Value{OfQuantity(one)})
		back, err := board.ParseQuantity(OfQuantity(one).In(unit)+unit, board.NoUnit)
		if err != nil || back.Compare(one) != 0 {
			t.Fatalf("%s in %s: %s, %v", one, unit, back, err)
		}
	}
}

func TestQuantityOfCounts(t *testing.T) {
	if n, ok := OfCount(12).Quantity(); !ok || n != (board.Quantity{Coef: 12, Unit: board.One}) {
		t.Errorf("got %v %t", n, ok)
	}
	if _, ok := Between(1, 2).Quantity(); ok {
		t.Error("a count between bounds passed for a number")
	}
}

// 0.412 ± 15 % is the closed interval from 0.3502 to 0.4738, worked out by hand.
func TestJudge(t *testing.T) {
	tolerance, err := board.ParseTolerance("±15%")
	if err != nil {
		t.Fatal(err)
	}
	low, high, ok := tolerance.Bounds(board.MustQuantity("0.412V"))
	if !ok {
		t.Fatal("no bounds")
	}
	for text, want := range map[string]string{
		"0.3501V": "low", "0.3502V": "matching", "412mV": "matching", "0.4738V": "matching", "473.81mV": "high", "0.4ohm": "unknown",
	} {
		if got := Judge(board.MustQuantity(text), low, high).String(); got != want {
			t.Errorf("%s is %s, want %s", text, got, want)
		}
	}
}
