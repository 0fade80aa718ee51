package board

import (
	"errors"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"
)

// quantityTexts are texts that are quantities, the unit wanted, and the canonical
// text.
var quantityTexts = []struct {
	text string
	want Unit
	out  string
}{
	{"10uF", NoUnit, "10uF"}, {"10 uF", NoUnit, "10uF"}, {"0.1uF", NoUnit, "100nF"}, {"100nF", Farad, "100nF"},
	{"47\u00b5F", NoUnit, "47uF"}, {"47\u03bcF", NoUnit, "47uF"}, {"4.7kohm", NoUnit, "4.7kohm"},
	{"10k\u2126", NoUnit, "10kohm"}, {"10k\u03a9", NoUnit, "10kohm"}, {"10KR", NoUnit, "10kohm"}, {"5mR", NoUnit, "5mohm"},
	{"10ohms", NoUnit, "10ohm"}, {"0ohm", NoUnit, "0ohm"}, {"0R", NoUnit, "0ohm"}, {"0", Ohm, "0ohm"}, {"470", Ohm, "470ohm"},
	{"0.412V", NoUnit, "0.412V"}, {"412mV", Volt, "0.412V"}, {"20mV", NoUnit, "20mV"}, {".5V", NoUnit, "0.5V"}, {"5.V", NoUnit, "5V"},
	{"+5V", NoUnit, "5V"}, {"-0.3V", NoUnit, "-0.3V"}, {"\u22120.3V", NoUnit, "-0.3V"}, {"-0V", NoUnit, "0V"},
	{"2400MHz", NoUnit, "2.4GHz"}, {"32.768kHz", NoUnit, "32.768kHz"}, {"50Hz", NoUnit, "50Hz"},
	{"3mm", NoUnit, "3mm"}, {"0.05mm", NoUnit, "50um"}, {"0.1mm", NoUnit, "0.1mm"}, {"1m", NoUnit, "1m"}, {"999mm", NoUnit, "999mm"},
	{"10mil", NoUnit, "0.254mm"}, {"1in", NoUnit, "25.4mm"}, {"0mm", NoUnit, "0mm"}, {"250nm", NoUnit, "0.25um"},
	{"12min", NoUnit, "12min"}, {"720s", NoUnit, "12min"}, {"90s", NoUnit, "90s"}, {"1.5h", NoUnit, "90min"}, {"2h", NoUnit, "2h"},
	{"0.1min", Second, "6s"}, {"250ms", NoUnit, "0.25s"}, {"20ms", NoUnit, "20ms"}, {"1000s", NoUnit, "1000s"}, {"0s", NoUnit, "0s"},
	{"8%", NoUnit, "8%"}, {"0.5 %", Ratio, "0.5%"}, {"25degC", NoUnit, "25degC"}, {"-40°C", NoUnit, "-40degC"}, {"85℃", NoUnit, "85degC"},
	{"3A", NoUnit, "3A"}, {"250mA", NoUnit, "0.25A"}, {"30mA", NoUnit, "30mA"}, {"0.1W", NoUnit, "0.1W"}, {"2.2uH", NoUnit, "2.2uH"},
	{"1e-6F", NoUnit, "1uF"}, {"4.12E-01V", NoUnit, "0.412V"}, {"1E+3ohm", NoUnit, "1kohm"}, {"5000F", NoUnit, "5000F"},
	{"7", One, "7"}, {"1500", One, "1500"}, {"-2.50", One, "-2.5"}, {"1e6", One, "1000000"},
	{"000123000V", NoUnit, "123kV"}, {"999999999999999999V", NoUnit, "999999.999999999999TV"}, {"1e-18F", NoUnit, "0.000001pF"}, {"1fF", NoUnit, "0.001pF"},

	// RKM code by IEC 60062.
	{"4k7", Ohm, "4.7kohm"}, {"4K7", Ohm, "4.7kohm"}, {"R47", Ohm, "0.47ohm"}, {"0R47", Ohm, "0.47ohm"}, {"4R7", Ohm, "4.7ohm"},
	{"470R", Ohm, "470ohm"}, {"47K3", Ohm, "47.3kohm"}, {"4M7", Ohm, "4.7Mohm"}, {"10K", Ohm, "10kohm"}, {"10K0", Ohm, "10kohm"},
	{"2L2", Ohm, "2.2mohm"}, {"R002", Ohm, "2mohm"}, {"1G0", Ohm, "1Gohm"}, {"1T5", Ohm, "1.5Tohm"}, {"0R", Ohm, "0ohm"},
	{"4.7k", Ohm, "4.7kohm"}, {"1M", Ohm, "1Mohm"}, {"4n7", Farad, "4.7nF"}, {"1u0", Farad, "1uF"}, {"1\u00b50", Farad, "1uF"},
	{"10p", Farad, "10pF"}, {"0.1u", Farad, "100nF"}, {"p47", Farad, "0.47pF"}, {"2m2", Farad, "2.2mF"}, {"4F7", Farad, "4.7F"},
	{"2u2", Henry, "2.2uH"}, {"10n", Henry, "10nH"}, {"4n7F", NoUnit, "4.7nF"}, {"4k7ohm", NoUnit, "4.7kohm"}, {"4k7Ω", Ohm, "4.7kohm"},
	{"2u2H", Henry, "2.2uH"}, {"4R7", NoUnit, "4.7ohm"}, {"3V3", NoUnit, "3.3V"}, {"1V8", Volt, "1.8V"}, {"10R0", Ohm, "10ohm"},
}

func TestParseQuantity(t *testing.T) {
	for _, test := range quantityTexts {
		q, err := ParseQuantity(test.text, test.want)
		if err != nil || q.String() != test.out {
			t.Errorf("%q is read as %s, %v; want %s", test.text, q, err, test.out)
		}
	}
}

var quantityFaults = []struct {
	text   string
	want   Unit
	offset int
	reason string
	likely string
}{
	{"", NoUnit, 0, "is not a number with a unit", ""},
	{"k", Ohm, 0, "is not a number with a unit", ""},
	{"V", NoUnit, 0, "is not a number with a unit", ""},
	{"-", NoUnit, 1, "is not a number with a unit", ""},
	{".", NoUnit, 1, "is not a number with a unit", ""},
	{"e5V", NoUnit, 0, "is not a number with a unit", ""},
	{"NaN", NoUnit, 0, "is not a number with a unit", ""},
	{"Inf", Volt, 0, "is not a number with a unit", ""},
	{"open", Volt, 0, "is not a number with a unit", ""},
	{"R47", NoUnit, 0, "is not a number with a unit", ""}, // may be a part
	{"V5", NoUnit, 0, "is not a number with a unit", ""},
	{"--3V", NoUnit, 1, "is not a number with a unit", ""},
	{"0.412", Volt, 5, "has no unit", "0.412V"},
	{"0.412", NoUnit, 5, "has no unit", ""},
	{"12", Second, 2, "has no unit", "12min"},
	{"3", Metre, 1, "has no unit", "3mm"},
	{"8", Ratio, 1, "has no unit", "8%"},
	{"10", Farad, 2, "has no unit", "10pF"},
	{"10", Henry, 2, "has no unit", "10uH"},
	{"2.4", Hertz, 3, "has no unit", "2.4Hz"},
	{"10u", NoUnit, 2, "has a prefix but no unit", "10uF"},
	{"10k", NoUnit, 2, "has a prefix but no unit", "10kohm"},
	{"10k", Volt, 2, "has a prefix but no unit", "10kV"},
	{"10k", Farad, 2, "has a prefix but no unit", ""},
	{"4k7", NoUnit, 1, "has a prefix but no unit", "4.7kohm"},
	{"4n7", NoUnit, 1, "has a prefix but no unit", "4.7nF"},
	{"4k7", Volt, 1, "has a prefix but no unit", "4.7kV"},
	{"3G", NoUnit, 1, "has a prefix but no unit", "3Gohm"},
	{"3T", NoUnit, 1, "has a prefix but no unit", ""},
	{"10UF", NoUnit, 2, "has no unit that is known", "10uF"},
	{"100NF", Farad, 3, "has no unit that is known", "100nF"},
	{"10MF", Farad, 2, "has no unit that is known", "10uF"},
	{"10MFD", NoUnit, 2, "has no unit that is known", "10uF"},
	{"1mhz", NoUnit, 1, "has no unit that is known", "1MHz"},
	{"5v", NoUnit, 1, "has no unit that is known", "5V"},
	{"10MOHM", NoUnit, 2, "has no unit that is known", "10Mohm"},
	{"3MM", NoUnit, 1, "has no unit that is known", "3mm"},
	{"5 furlongs", NoUnit, 2, "has no unit that is known", ""},
	{"1.2.3V", NoUnit, 3, "has no unit that is known", ""},
	{"4.7k7", Ohm, 3, "has no unit that is known", ""},
	{"10eV", NoUnit, 2, "has no unit that is known", ""},
	{"5V5V", NoUnit, 1, "has no unit that is known", ""},
	{"0,412V", Volt, 1, "has a comma in it; the decimal mark is the point", "0.412V"},
	{"4,7k", Ohm, 1, "has a comma in it; the decimal mark is the point", "4.7kohm"},
	{"4,700ohm", Ohm, 1, "has a comma in it; the decimal mark is the point", ""},
	{"3mm", Volt, 1, "is a length; expected a voltage", ""},
	{"3m", Second, 1, "is a length; expected a time", "3min"},
	{"2R2", Henry, 1, "is a resistance; expected an inductance", "2.2uH"},
	{"0ka", Celsius, 1, "has no unit that is known", ""},
	{"5V", One, 1, "is a voltage; expected a plain number", ""},
	{"1234567890123456789V", NoUnit, 0, "has more than 18 digits that count", ""},
	{"-1234567890123456789V", NoUnit, 1, "has more than 18 digits that count", ""},
	{"1e18V", NoUnit, 0, "is no size that is met in practice", ""},
	{"1e999999999999999999999V", NoUnit, 0, "is no size that is met in practice", ""},
	{"1e-99V", NoUnit, 0, "is no size that is met in practice", ""},
	{"0.0001fF", Farad, 0, "is no size that is met in practice", ""},
	{"999999999999999999h", NoUnit, 0, "is no size that is met in practice", ""},
	{"333333333333333331mil", NoUnit, 0, "is no size that is met in practice", ""},
	{"-u3", Henry, 1, "is not a number with a unit", ""},
	{"+R47", Ohm, 1, "is not a number with a unit", ""},
	{"-k", Ohm, 1, "is not a number with a unit", ""},
	{"10n", Ohm, 2, "has a prefix but no unit", ""},
}

func TestParseQuantityFaults(t *testing.T) {
	for _, test := range quantityFaults {
		q, err := ParseQuantity(test.text, test.want)
		var fault *QuantityError
		if !errors.As(err, &fault) {
			t.Errorf("%q is read as %v", test.text, q)
			continue
		}
		want := QuantityError{test.text, test.offset, test.reason, test.likely}
		if *fault != want {
			t.Errorf("%q: fault is %+v; want %+v", test.text, *fault, want)
		}
		if q != (Quantity{}) {
			t.Errorf("%q: a fault comes with %v", test.text, q)
		}
	}
}

func TestQuantityErrorText(t *testing.T) {
	_, err := ParseQuantity("0.412", Volt)
	if got, want := err.Error(), `"0.412" has no unit; perhaps 0.412V`; got != want {
		t.Errorf("error is %s; want %s", got, want)
	}
	_, err = ParseQuantity(strings.Repeat("ü", 1000), Volt)
	if len(err.Error()) > 200 || !strings.Contains(err.Error(), "…") {
		t.Errorf("a long text makes the error %q", err)
	}
}

// What is likely must be readable itself, and be what is wanted.
func TestLikelyIsQuantity(t *testing.T) {
	for _, test := range quantityFaults {
		if test.likely == "" {
			continue
		}
		if _, err := ParseQuantity(test.likely, test.want); err != nil {
			t.Errorf("%q: perhaps %s, but: %v", test.text, test.likely, err)
		}
	}
}

// IEC 60063 (values from memory; TestE96 checks the rows that follow a formula).
var e24 = []string{"10", "11", "12", "13", "15", "16", "18", "20", "22", "24", "27", "30",
	"33", "36", "39", "43", "47", "51", "56", "62", "68", "75", "82", "91"}

// e96 is every number of three digits that rounds 10^(i/96), by the standard's
// definition of the series: the i-th value is 100 times the i-th power of the
// 96th root of ten.
func e96() []string {
	var all []string
	for i := range 96 {
		// v is nearest when (2v-1)^96 <= 2^96 * 10^(192+i) < (2v+1)^96.
		target := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(192+i)), nil)
		target.Lsh(target, 96)
		v := int64(100)
		for new(big.Int).Exp(big.NewInt(2*v+1), big.NewInt(96), nil).Cmp(target) <= 0 {
			v++
		}
		all = append(all, big.NewInt(v).String())
	}
	return all
}

func TestE96(t *testing.T) {
	all := e96()
	// Anchors from IEC 60063: a few values of the E96 series (from memory).
	for i, want := range map[int]string{0: "100", 1: "102", 24: "178", 48: "316", 66: "487", 72: "562", 95: "976"} {
		if all[i] != want {
			t.Errorf("E96 value %d is %s; want %s", i, all[i], want)
		}
	}
}

// Every preferred value in every decade of use is read, means what it says,
// prints, and is read again, plain and in RKM code.
func TestPreferredValues(t *testing.T) {
	for _, series := range [][]string{e24, e96()} {
		for _, digits := range series {
			for exp := -18; exp <= 9; exp++ {
				checkPreferred(t, digits, exp)
			}
		}
	}
}

func checkPreferred(t *testing.T, digits string, exp int) {
	t.Helper()
	want, _ := new(big.Rat).SetString(digits + "e" + big.NewInt(int64(exp)).String())
	for _, unit := range []Unit{Ohm, Farad, Henry} {
		q, err := ParseQuantity(digits+"e"+big.NewInt(int64(exp)).String()+unit.String(), unit)
		if err != nil || rational(q).Cmp(want) != 0 {
			t.Fatalf("%se%d%s is read as %v, %v", digits, exp, unit, q, err)
		}
		if back, err := ParseQuantity(q.String(), NoUnit); err != nil || back != q {
			t.Fatalf("%v prints as %s and is read as %v, %v", q, q, back, err)
		}
		if code := inCode(q); code != "" {
			if back, err := ParseQuantity(code, unit); err != nil || back != q {
				t.Fatalf("%v is %s in RKM code and is read as %v, %v", q, code, back, err)
			}
		}
	}
}

// inCode turns the canonical text of ohms or farads into RKM code: the prefix
// goes where the point is, R or F where there is no prefix. Ohms below one
// with a prefix have L.
func inCode(q Quantity) string {
	text := strings.TrimSuffix(q.String(), q.Unit.String())
	number := strings.TrimRight(text, "fpnumkMGT")
	letter := text[len(number):]
	switch {
	case q.Unit == Henry && letter == "" || q.Unit == Ohm && strings.Contains("unpf", letter) && letter != "":
		return "" // no code letter
	case q.Unit == Ohm && letter == "m":
		letter = "L"
	case letter == "":
		letter = map[Unit]string{Ohm: "R", Farad: "F"}[q.Unit]
	}
	if strings.Contains(number, ".") {
		return strings.Replace(number, ".", letter, 1)
	}
	return number + letter + "0"
}

func TestQuantityRoundTrip(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 8))
	for u := One; u <= Celsius; u++ {
		for range 5000 {
			q := randomQuantity(rnd, u)
			if u == Ratio && (q.top() >= 16 || q.top() < -16) {
				continue
			}
			want := NoUnit
			if u == One {
				want = One
			}
			text := q.String()
			if back, err := ParseQuantity(text, want); err != nil || back != q {
				t.Fatalf("%#v prints as %s and is read as %#v, %v", q, text, back, err)
			}
			for _, c := range []byte(text) {
				if c >= 0x80 {
					t.Fatalf("%#v prints as %s, not ASCII", q, text)
				}
			}
		}
	}
}

// The canonical text has one to three digits before the point where a prefix
// can bring that about.
func TestQuantityTextIsShort(t *testing.T) {
	rnd := rand.New(rand.NewPCG(9, 10))
	for range 5000 {
		q := randomQuantity(rnd, Volt)
		if q.Coef == 0 || q.top() < -12 || q.top() > 14 {
			continue
		}
		whole, _, _ := strings.Cut(strings.TrimLeft(q.String(), "-"), ".")
		whole = strings.TrimRight(whole, allPrefixes+"V")
		if len(whole) > 3 || whole == "0" && q.top() != -1 {
			t.Fatalf("%#v prints as %s", q, q)
		}
	}
}
