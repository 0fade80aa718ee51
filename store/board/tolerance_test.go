package board

import (
	"errors"
	"math/big"
	"math/rand/v2"
	"testing"
)

func TestParseTolerance(t *testing.T) {
	for _, test := range []struct{ text, out string }{
		{"±8%", "±8%"}, {"+-8%", "±8%"}, {"+/-8%", "±8%"}, {"± 8 %", "±8%"}, {"±0.5%", "±0.5%"}, {"±0%", "±0%"},
		{"±20mV", "±20mV"}, {"±0.02V", "±20mV"}, {"±4k7ohm", "±4.7kohm"},
		{"+5%/-10%", "+5%/-10%"}, {"-10%/+5%", "+5%/-10%"}, {"+5%-10%", "+5%/-10%"}, {"+5% / -10%", "+5%/-10%"},
		{"+5%/-5%", "±5%"}, {"+20mV/-0.01V", "+20mV/-10mV"}, {"+80%/-20%", "+80%/-20%"},
	} {
		tol, err := ParseTolerance(test.text)
		if err != nil || tol.String() != test.out {
			t.Errorf("%q is read as %s, %v; want %s", test.text, tol, err, test.out)
		}
		if back, err := ParseTolerance(tol.String()); err != nil || back != tol {
			t.Errorf("%q prints as %s and is read as %s, %v", test.text, tol, back, err)
		}
	}
	if s := (Tolerance{}).String(); s != "" {
		t.Errorf("no tolerance prints as %q", s)
	}
}

var toleranceFaults = []QuantityError{
	{"", 0, "has no ± before it", ""},
	{"8%", 0, "has no ± before it", "±8%"},
	{"abc", 0, "has no ± before it", ""},
	{"+5%", 3, "says only one side", "±5%"},
	{"+5%+5%", 6, "says only one side", ""},
	{"±", 2, "is not a number with a unit", ""},
	{"±8", 3, "has no unit", ""},
	{"±10u", 4, "has a prefix but no unit", "±10uF"},
	{"±-8%", 2, "has a sign too many", ""},
	{"+5%/-20mV", 5, "mixes a ratio and a voltage", ""},
	{"+5%/-x", 5, "is not a number with a unit", ""},
	{"+x/-5%", 1, "is not a number with a unit", ""},
}

func TestParseToleranceFaults(t *testing.T) {
	for _, want := range toleranceFaults {
		tol, err := ParseTolerance(want.Text)
		var fault *QuantityError
		if !errors.As(err, &fault) {
			t.Errorf("%q is read as %s", want.Text, tol)
		} else if *fault != want || tol != (Tolerance{}) {
			t.Errorf("%q: fault is %+v; want %+v", want.Text, *fault, want)
		}
	}
}

func TestBounds(t *testing.T) {
	for _, test := range []struct{ value, tolerance, lo, hi string }{
		{"0.412V", "±15%", "0.3502V", "0.4738V"}, // worked out by hand: 0.412 times 0.85 and 1.15
		{"0.412V", "±8%", "0.37904V", "0.44496V"},
		{"0.412V", "±20mV", "0.392V", "0.432V"},
		{"10uF", "+80%/-20%", "8uF", "18uF"},
		{"-0.5V", "±10%", "-0.55V", "-0.45V"},
		{"-0.5V", "+10%/-20%", "-0.6V", "-0.45V"},
		{"0V", "±5%", "0V", "0V"},
		{"4.7kohm", "±0%", "4.7kohm", "4.7kohm"},
		{"50%", "±10%", "45%", "55%"}, // a ratio of a ratio
	} {
		tol, err := ParseTolerance(test.tolerance)
		if err != nil {
			t.Fatal(err)
		}
		lo, hi, ok := tol.Bounds(MustQuantity(test.value))
		if !ok || lo != MustQuantity(test.lo) || hi != MustQuantity(test.hi) {
			t.Errorf("%s %s is %s to %s, %v; want %s to %s", test.value, test.tolerance, lo, hi, ok, test.lo, test.hi)
		}
	}
}

func TestBoundsRefused(t *testing.T) {
	volt := MustQuantity("1V")
	ratio := Tolerance{MustQuantity("1%"), MustQuantity("1%")}
	for name, ok := range map[string]bool{
		"no tolerance": ok3(Tolerance{}.Bounds(volt)),
		"other unit":   ok3(Tolerance{MustQuantity("1A"), MustQuantity("1A")}.Bounds(volt)),
		"no value":     ok3(ratio.Bounds(Quantity{})),
		"no room":      ok3(ratio.Bounds(MustQuantity("123456789.123456789V"))),
	} {
		if ok {
			t.Errorf("%s: there are bounds", name)
		}
	}
}

func ok3(_, _ Quantity, ok bool) bool { return ok }

func TestBoundsAgainstRationals(t *testing.T) {
	rnd := rand.New(rand.NewPCG(11, 12))
	done := 0
	for range 5000 {
		q, w := randomQuantity(rnd, Volt), randomQuantity(rnd, Ratio)
		w.Coef = int64(magnitude(w.Coef))
		lo, hi, ok := Tolerance{w, w}.Bounds(q)
		if !ok {
			continue
		}
		done++
		size := new(big.Rat).Abs(rational(q))
		size.Mul(size, rational(w))
		if rational(lo).Cmp(new(big.Rat).Sub(rational(q), size)) != 0 || rational(hi).Cmp(new(big.Rat).Add(rational(q), size)) != 0 {
			t.Fatalf("%v ±%v is %v to %v", q, w, lo, hi)
		}
	}
	if done < 300 {
		t.Errorf("only %d had bounds", done)
	}
}

func FuzzParseTolerance(f *testing.F) {
	for _, fault := range toleranceFaults {
		f.Add(fault.Text)
	}
	f.Add("±8%")
	f.Add("+5%/-10%")
	f.Fuzz(func(t *testing.T, text string) {
		tol, err := ParseTolerance(text)
		var fault *QuantityError
		if errors.As(err, &fault) {
			if fault.Offset < 0 || fault.Offset > len(text) || fault.Text != text {
				t.Fatalf("%q: fault is %+v", text, fault)
			}
			return
		}
		if back, err := ParseTolerance(tol.String()); err != nil || back != tol {
			t.Fatalf("%q prints as %s and is read as %s, %v", text, tol, back, err)
		}
	})
}
