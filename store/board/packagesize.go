package board

import "strings"

// PackageSize returns the body of a package from its name, lengthwise along x
// as drawn at no turn. It knows
//
//   - the imperial chip codes, alone (0402) or after the usual letters (C0402,
//     LED-0603, 0201_0603Metric);
//   - names by IPC-7351 that tell a size (CAPC1005X55N, QFN50P500X500X80-33,
//     BGA256C100P16X16_1700X1700X150), also with a maker's letters after them
//     (_TI). Of packages with leads (SOIC127P600X175-8) the name tells the span
//     over the leads; the length is that of the row of leads;
//   - a size in brackets: 16-QFN (3x3mm).
//
// It reports false for any other name.
func PackageSize(name string) (Size, bool) {
	if size, ok := chipSizes[name]; ok {
		return size, true
	}
	form, n := formOf(name)
	letters, form := splitLetters(form)
	if size, ok := landPattern(letters, withoutMaker(form), n); ok {
		return size, size.W > 0 && size.H > 0
	}
	if size, ok := bracketSize(name); ok {
		return size, true
	}
	return codedSize(letters, name)
}

// chipSizes are the bodies of the imperial chip codes in micrometres: two
// digits are the length and two the width, in hundredths of an inch
// (nominal sizes as makers print them, from memory).
var chipSizes = map[string]Size{
	"01005": {400, 200}, "0201": {600, 300}, "0402": {1000, 500}, "0603": {1600, 800},
	"0805": {2000, 1250}, "1206": {3200, 1600}, "1210": {3200, 2500}, "1806": {4500, 1600},
	"1812": {4500, 3200}, "2010": {5000, 2500}, "2512": {6300, 3200},
	"0612": {1600, 3200}, "1218": {3200, 4600},
}

// ChipCode reports whether a name is one of the imperial chip codes: 0402.
func ChipCode(name string) bool { _, ok := chipSizes[name]; return ok }

// chipLetters stand before a chip code in names of footprints (common
// practice, no source).
var chipLetters = map[string]bool{
	"": true, "C": true, "R": true, "L": true, "F": true, "D": true, "FB": true, "CC": true,
	"RC": true, "LC": true, "LED": true, "CAP": true, "RES": true, "IND": true, "FUSE": true,
	"BEAD": true, "DIODE": true, "SMC": true, "SMR": true, "SML": true, "SMD": true, "CHIP": true,
}

// codedSize looks for a chip code right after the letters, with or without a
// line between them, and not followed by more digits.
func codedSize(letters, name string) (Size, bool) {
	if !chipLetters[letters] {
		return Size{}, false
	}
	rest := strings.TrimLeft(name[len(letters):], "-_ ")
	size, ok := chipSizes[rest[:digits(rest)]]
	return size, ok
}

// longestBody is the longest body that is believed, in micrometres.
const longestBody = 1_000_000

// longestNumber is the most digits of one number in the name of a package.
const longestNumber = 6

// formOf splits a name into its form, in which each number is written 9, and
// the numbers: "BGA9C9P9X9_9X9X9". Letters are in upper case. A name with a
// number that is too long has the form "".
func formOf(name string) (form string, n []int) {
	var s strings.Builder
	for i := 0; i < len(name); {
		d := digits(name[i:])
		if d == 0 {
			s.WriteByte(name[i])
			i++
			continue
		}
		if d > longestNumber {
			return "", nil
		}
		value := 0
		for _, c := range []byte(name[i : i+d]) {
			value = value*10 + int(c-'0')
		}
		s.WriteByte('9')
		n = append(n, value)
		i += d
	}
	return strings.ToUpper(s.String()), n
}

func splitLetters(form string) (letters, rest string) {
	i := 0
	for i < len(form) && letter(form[i]) {
		i++
	}
	return form[:i], form[i:]
}

// withoutMaker cuts off letters after the last low line: 9P9X9-9N_TI.
func withoutMaker(form string) string {
	i := strings.LastIndexByte(form, '_')
	if i < 0 || strings.ContainsAny(form[i:], "9-") {
		return form
	}
	return form[:i]
}

// bracketSize reads a size in brackets: 16-QFN (3x3mm), 4-SMD (3.2x2.5mm).
func bracketSize(name string) (Size, bool) {
	_, rest, _ := strings.Cut(name, "(")
	inside, _, ok := strings.Cut(rest, "mm)")
	w, h, found := strings.Cut(inside, "x")
	if !ok || !found {
		return Size{}, false
	}
	width, ok1 := millimetres(w)
	height, ok2 := millimetres(h)
	return Size{width, height}, ok1 && ok2
}

// millimetres reads a length of up to 1 m that is not 0, into micrometres.
func millimetres(s string) (int32, bool) {
	q, err := ParseQuantity(s+"mm", Metre)
	um, ok := Micrometres(q)
	return um, err == nil && ok && um > 0 && um <= longestBody
}

// twoDimensional are the families with a chip-like body: length and width in
// tenths of a millimetre, two digits each.
var twoDimensional = map[string]bool{
	"CAPC": true, "CAPCP": true, "CAPM": true, "CAPMP": true, "RESC": true, "RESM": true,
	"INDC": true, "INDM": true, "INDP": true, "DIOC": true, "DIOM": true, "LEDC": true,
	"LEDM": true, "FUSC": true, "FUSM": true, "SOD": true, "SODFL": true,
}

// leaded are the families with two rows of leads.
var leaded = map[string]bool{
	"SOIC": true, "SOP": true, "SSOP": true, "TSSOP": true, "TSOP": true, "VSSOP": true,
	"MSOP": true, "SOJ": true, "SOT": true, "CFP": true, "SOPFL": true, "SOTFL": true,
}

// landPattern reads a name by IPC-7351. Lengths are in hundredths of a
// millimetre but for chips.
func landPattern(letters, form string, n []int) (Size, bool) {
	switch strings.TrimRight(form, "LMN") {
	case "9X9": // CAPC1005X55N, and CAPAE830X1050N of a round can
		if letters == "CAPAE" {
			return hundredths(n[0], n[0]), true
		}
		return chipBody(n[0]), twoDimensional[letters] && n[0] >= 100 && n[0] <= 9999
	case "9X9X9", "9X9X9L9": // CAPC60X32X27L15, a later draft
		return hundredths(n[0], n[1]), twoDimensional[letters] || letters == "XTAL"
	case "9P9X9-9": // SOIC127P600X175-8
		return hundredths(n[1], n[0]*((n[3]+1)/2)), leaded[letters]
	case "9P9X9X9-9", "9P9X9X9-9V": // QFN50P500X500X80-33
		return hundredths(n[1], n[2]), true
	case "9C9P9X9_9X9X9", "9N9P9X9_9X9X9", "9P9X9_9X9X9": // BGA256C100P16X16_1700X1700X150
		return hundredths(n[len(n)-3], n[len(n)-2]), strings.HasSuffix(letters, "GA")
	}
	return Size{}, false
}

// chipBody is the body of a code such as 1005: 1.0 by 0.5 mm.
func chipBody(code int) Size {
	return Size{int32(code / 100 * 100), int32(code % 100 * 100)}
}

// hundredths is a size of w and h hundredths of a millimetre; 0 by 0 if that
// is no size at all.
func hundredths(w, h int) Size {
	if w <= 0 || h <= 0 || w > longestBody/10 || h > longestBody/10 {
		return Size{}
	}
	return Size{int32(w * 10), int32(h * 10)}
}
