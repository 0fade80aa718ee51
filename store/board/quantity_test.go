package board

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

// rational is the exact value of a quantity by another road than the code's.
func rational(q Quantity) *big.Rat {
	ten := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(max(q.Exp, -q.Exp))), nil)
	r := new(big.Rat).SetInt64(q.Coef)
	if q.Exp < 0 {
		return r.Quo(r, new(big.Rat).SetInt(ten))
	}
	return r.Mul(r, new(big.Rat).SetInt(ten))
}

// randomQuantity gives sizes and digit counts of all kinds.
func randomQuantity(rnd *rand.Rand, unit Unit) Quantity {
	for {
		coef := rnd.Int64N(pow10(1 + rnd.IntN(18)))
		if rnd.IntN(3) == 0 {
			coef = -coef
		}
		if q, ok := NewQuantity(coef, rnd.IntN(40)-30, unit); ok {
			return q
		}
	}
}

func TestNewQuantity(t *testing.T) {
	for _, test := range []struct {
		coef int64
		exp  int
		want Quantity
		ok   bool
	}{
		{0, 5, Quantity{0, 0, Volt}, true},
		{4700, 0, Quantity{47, 2, Volt}, true},
		{-4700, -3, Quantity{-47, -1, Volt}, true},
		{1, 17, Quantity{1, 17, Volt}, true},
		{1, 18, Quantity{}, false},
		{1, -18, Quantity{1, -18, Volt}, true},
		{1, -19, Quantity{}, false},
		{999999999999999999, 0, Quantity{999999999999999999, 0, Volt}, true},
		{1e18 + 1, -5, Quantity{}, false},
		{1e18, -18, Quantity{1, 0, Volt}, true},
		{math.MinInt64, 0, Quantity{}, false},
		{1, math.MaxInt32, Quantity{}, false},
	} {
		got, ok := NewQuantity(test.coef, test.exp, Volt)
		if got != test.want || ok != test.ok {
			t.Errorf("NewQuantity(%d, %d) = %v, %v; want %v, %v", test.coef, test.exp, got, ok, test.want, test.ok)
		}
	}
}

func TestCompareAgainstRationals(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	for range 20000 {
		a, b := randomQuantity(rnd, Ohm), randomQuantity(rnd, Ohm)
		if rnd.IntN(4) == 0 {
			b = a
			b.Coef += int64(rnd.IntN(3) - 1)
		}
		if got, want := a.Compare(b), rational(a).Cmp(rational(b)); got != want {
			t.Fatalf("%v compared with %v is %d; want %d", a, b, got, want)
		}
	}
}

func TestCompareExtremes(t *testing.T) {
	// As built by hand, beyond what NewQuantity makes.
	big, small := Quantity{math.MinInt64, 127, Volt}, Quantity{math.MaxInt64, -128, Volt}
	if big.Compare(small) != -1 || small.Compare(big) != 1 || big.Compare(big) != 0 {
		t.Error("extreme quantities are not in order")
	}
}

func TestComparePanicsOnUnits(t *testing.T) {
	if MustQuantity("1V").SameUnit(MustQuantity("1ohm")) || !MustQuantity("1V").SameUnit(MustQuantity("20mV")) {
		t.Error("volts are ohms, or not volts")
	}
	defer func() {
		if recover() == nil {
			t.Error("comparing volts with ohms did not panic")
		}
	}()
	MustQuantity("1V").Compare(MustQuantity("1ohm"))
}

func TestAddAgainstRationals(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	fits := 0
	for range 20000 {
		a, b := randomQuantity(rnd, Farad), randomQuantity(rnd, Farad)
		got, ok := a.Add(b)
		want := new(big.Rat).Add(rational(a), rational(b))
		if !ok {
			if holds(want) {
				t.Fatalf("%v + %v does not fit; it is %s", a, b, want)
			}
			continue
		}
		fits++
		if rational(got).Cmp(want) != 0 {
			t.Fatalf("%v + %v = %v; want %s", a, b, got, want)
		}
		if n, ok := NewQuantity(got.Coef, int(got.Exp), Farad); !ok || n != got {
			t.Fatalf("%v + %v = %#v is not normal", a, b, got)
		}
	}
	if fits < 2000 {
		t.Errorf("only %d sums fitted", fits)
	}
}

// holds reports whether a quantity can hold the number: times 10^18 it is
// whole, and without its factors of ten it has at most 18 digits.
func holds(r *big.Rat) bool {
	scaled := new(big.Rat).Mul(r, new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(60), nil)))
	if !scaled.IsInt() {
		return false
	}
	n, rest := new(big.Int).Abs(scaled.Num()), new(big.Int)
	zeros := 0
	for n.Sign() != 0 {
		q, _ := new(big.Int).QuoRem(n, big.NewInt(10), rest)
		if rest.Sign() != 0 {
			break
		}
		n, zeros = q, zeros+1
	}
	digits := len(n.String())
	top := digits + zeros - 60 - 1
	return n.Sign() == 0 || digits <= 18 && top >= -18 && top < 18
}

func TestAddUnits(t *testing.T) {
	if _, ok := MustQuantity("1V").Add(MustQuantity("1A")); ok {
		t.Error("1V + 1A has a sum")
	}
	if got, ok := MustQuantity("10uF").Add(MustQuantity("0.1uF")); !ok || got != MustQuantity("10.1uF") {
		t.Errorf("10uF + 0.1uF = %v", got)
	}
}

func TestFloatIsNearest(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	for range 5000 {
		q := randomQuantity(rnd, Volt)
		if want, _ := rational(q).Float64(); q.Float() != want {
			t.Fatalf("%#v is %v as a float; want %v", q, q.Float(), want)
		}
	}
}

func TestLengths(t *testing.T) {
	for _, test := range []struct {
		text string
		um   int32
	}{
		{"3mm", 3000}, {"0.0254mm", 25}, {"1mil", 25}, {"2mil", 51}, {"1in", 25400},
		{"0.5um", 1}, {"0.4um", 0}, {"-0.5um", -1}, {"-12.3456mm", -12346}, {"2.147483647km", 0},
		{"2147483.647mm", math.MaxInt32},
	} {
		q, err := ParseQuantity(test.text, Metre)
		if test.um == 0 && err != nil {
			continue // km is no unit on a board
		}
		if got, ok := Micrometres(q); err != nil || !ok || got != test.um {
			t.Errorf("%s is %d um, %v; want %d (%v)", test.text, got, ok, test.um, err)
		}
	}
	for _, text := range []string{"3V", "2147483.648mm", "1000000m"} {
		if um, ok := Micrometres(MustQuantity(text)); ok {
			t.Errorf("%s is %d um", text, um)
		}
	}
	for _, um := range []int32{0, 1, -1, 1000, 123456, math.MaxInt32, math.MinInt32} {
		if got, ok := Micrometres(Millimetres(um)); um != math.MinInt32 && (!ok || got != um) {
			t.Errorf("%d um come back as %d", um, got)
		}
	}
	if got := Millimetres(12300).String(); got != "12.3mm" {
		t.Errorf("12300 um print as %s", got)
	}
}

func TestUnitTable(t *testing.T) {
	for u := One; u <= Celsius; u++ {
		if u.Name() == "" || u.Measures() == "" || u != One && u.String() == "" {
			t.Errorf("unit %d lacks a word", u)
		}
		if u == One {
			continue
		}
		if q, err := ParseQuantity("3"+u.String(), NoUnit); err != nil || q.Unit != u {
			t.Errorf("3%s is read as %v, %v", u, q, err)
		}
	}
	if Unit(200).Name() != "no unit" {
		t.Error("a unit beyond the table has a name")
	}
}
