package board

import "strings"

// unit is one row of the unit table.
type unit struct {
	symbol   string // as it is printed
	name     string // "volts"
	measures string // "a voltage"
	prefixes string // that it is used with
	likely   string // what to put after a bare number in a hint
}

const allPrefixes = "fpnumkMGT"

// units is indexed by Unit.
var units = [...]unit{
	NoUnit:  {"", "no unit", "no quantity", "", ""},
	One:     {"", "a plain number", "a plain number", "", ""},
	Ratio:   {"%", "per cent", "a ratio", "", "%"},
	Metre:   {"m", "metres", "a length", "num", "mm"},
	Second:  {"s", "seconds", "a time", "fpnum", "min"},
	Volt:    {"V", "volts", "a voltage", allPrefixes, "V"},
	Ampere:  {"A", "amps", "a current", allPrefixes, "A"},
	Ohm:     {"ohm", "ohms", "a resistance", allPrefixes, "ohm"},
	Farad:   {"F", "farads", "a capacitance", "fpnum", "pF"},
	Henry:   {"H", "henries", "an inductance", "fpnum", "uH"},
	Hertz:   {"Hz", "hertz", "a frequency", allPrefixes, "Hz"},
	Watt:    {"W", "watts", "a power", allPrefixes, "W"},
	Celsius: {"degC", "degrees Celsius", "a temperature", "", "degC"},
}

func (u Unit) row() *unit {
	if int(u) >= len(units) {
		u = NoUnit
	}
	return &units[u]
}

// String is the symbol of the unit in ASCII: "V", "ohm", "degC". It is "" for
// NoUnit and One.
func (u Unit) String() string { return u.row().symbol }

// Name is the unit in words: "volts".
func (u Unit) Name() string { return u.row().name }

// Measures is what the unit measures, with its article: "a voltage".
func (u Unit) Measures() string { return u.row().measures }

// spelling is one way to write a unit. A value is multiplied by coef times ten
// to the exp.
type spelling struct {
	text  string
	unit  Unit
	coef  int64
	exp   int
	plain bool // takes no prefix
}

// spellings are all ways to write a unit without a prefix.
var spellings = []spelling{
	{"%", Ratio, 1, -2, true},
	{"min", Second, 6, 1, true},
	{"mil", Metre, 254, -7, true}, // the inch is 25.4 mm exactly
	{"in", Metre, 254, -4, true},
	{"h", Second, 36, 2, true},
	{"degC", Celsius, 1, 0, true},
	{"°C", Celsius, 1, 0, true},
	{"℃", Celsius, 1, 0, true},
	{"Hz", Hertz, 1, 0, false},
	{"m", Metre, 1, 0, false},
	{"s", Second, 1, 0, false},
	{"V", Volt, 1, 0, false},
	{"A", Ampere, 1, 0, false},
	{"ohm", Ohm, 1, 0, false},
	{"ohms", Ohm, 1, 0, false},
	{"\u2126", Ohm, 1, 0, false}, // ohm sign
	{"\u03a9", Ohm, 1, 0, false}, // Greek capital omega
	{"R", Ohm, 1, 0, false},
	{"F", Farad, 1, 0, false},
	{"H", Henry, 1, 0, false},
	{"W", Watt, 1, 0, false},
}

// prefix is an SI prefix; several spellings of one have the same letter.
type prefix struct {
	text   string
	letter byte
	exp    int
}

var prefixes = []prefix{
	{"f", 'f', -15}, {"p", 'p', -12}, {"n", 'n', -9},
	{"u", 'u', -6}, {"\u00b5", 'u', -6}, {"\u03bc", 'u', -6}, // micro sign, Greek mu
	{"m", 'm', -3}, {"k", 'k', 3}, {"K", 'k', 3},
	{"M", 'M', 6}, {"G", 'G', 9}, {"T", 'T', 12},
}

// cutPrefix takes an SI prefix off the front of s.
func cutPrefix(s string) (p prefix, rest string, ok bool) {
	for _, p := range prefixes {
		if rest, ok := strings.CutPrefix(s, p.text); ok {
			return p, rest, true
		}
	}
	return prefix{}, s, false
}

// unitTexts are all ways to write a unit, with and without a prefix.
var unitTexts = makeUnitTexts()

func makeUnitTexts() map[string]spelling {
	texts := map[string]spelling{}
	for _, sp := range spellings {
		texts[sp.text] = sp
	}
	for _, sp := range spellings {
		for _, p := range prefixes {
			_, taken := texts[p.text+sp.text] // min is a minute and no thousandth of an inch
			if !taken && !sp.plain && strings.IndexByte(units[sp.unit].prefixes, p.letter) >= 0 {
				with := sp
				with.exp += p.exp
				texts[p.text+sp.text] = with
			}
		}
	}
	return texts
}

// findUnit reads a whole unit, with its prefix if there is one.
func findUnit(s string) (spelling, bool) {
	sp, ok := unitTexts[s]
	return sp, ok
}
