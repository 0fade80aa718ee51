package table

import (
	"strings"

	"netlore/store/board"
)

// partValue is what the value cell of a part says.
type partValue struct {
	value, volts, amps, percent board.Quantity

	bead     bool // an inductor given in ohms
	unfitted bool // the cell says that the part is not fitted
	whole    bool // all of the cell was understood
	odd      board.Unit
}

// notFittedWords stand in value cells of parts that are not fitted, folded.
var notFittedWords = map[string]bool{
	"dnp": true, "dni": true, "dnf": true, "dns": true, "nofit": true, "notfitted": true, "unfitted": true, "notplaced": true,
	"donotpopulate": true, "donotplace": true, "donotfit": true, "donotinstall": true, "unpopulated": true, "notpopulated": true,
}

// readValue takes a value cell apart by the class of the part: "10uF",
// "0.1 µF 16V X5R", "4K7J", "600R@100MHz", "22p DNP".
func readValue(text string, class board.Class, decimalComma bool) partValue {
	v := partValue{whole: true}
	want := class.ValueUnit()
	words := valueWords(text, decimalComma)
	if quantity, n := v.first(words, want, class); n > 0 {
		v.value, words = quantity, words[n:]
	}
	for _, w := range words {
		if !v.more(w, class) {
			v.whole = false
		}
	}
	if !v.value.Known() {
		v.whole = v.unfitted && len(words) == 1
	}
	return v
}

// valueWords splits a value cell into its words. The comma is the decimal
// point where it can be nothing else.
func valueWords(text string, decimalComma bool) []string {
	words := strings.FieldsFunc(text, func(r rune) bool {
		return r == ' ' || r == '\u00a0' || r == '\t' || r == '\n' || r == ';' || r == '@' || r == '(' || r == ')' || r == '_'
	})
	var out []string
	for _, w := range words {
		w = strings.Trim(w, ",")
		if startsWithNumber(w) {
			mended, _ := point(w, decimalComma)
			out = append(out, mended)
			continue
		}
		out = append(out, strings.FieldsFunc(splitSlashes(w), func(r rune) bool { return r == ',' || r == ' ' })...)
	}
	return out
}

// startsWithNumber reports whether the first comma in w stands between digits,
// and only digits are before it.
func startsWithNumber(w string) bool {
	i := strings.IndexByte(w, ',')
	return i > 0 && digitsOf(strings.TrimLeft(w[:i], "+-")) == i && digitsOf(w[i+1:]) > 0
}

// splitSlashes takes 10uF/6.3V apart, but not 1/16W.
func splitSlashes(w string) string {
	if i := strings.IndexByte(w, '/'); i > 0 && digitsOf(w) < i {
		return strings.ReplaceAll(w, "/", " ")
	}
	return w
}

// first reads the value from the first word, or from the first two: "0.1 µF".
// It returns how many words that took.
func (v *partValue) first(words []string, want board.Unit, class board.Class) (board.Quantity, int) {
	if len(words) == 0 || want == board.NoUnit {
		return board.Quantity{}, 0
	}
	if len(words) > 1 && isUnitWord(words[1]) {
		if q, ok := v.quantity(words[0]+words[1], want, class); ok {
			return q, 2
		}
	}
	if q, ok := v.quantity(words[0], want, class); ok {
		return q, 1
	}
	return board.Quantity{}, 0
}

// isUnitWord reports whether a word may be the unit of the number before it.
func isUnitWord(w string) bool {
	return w != "" && digitsOf(w) == 0 && len(w) <= 5 && !strings.HasPrefix(w, "±") && w != "%"
}

// quantity reads one word as a value of this unit, with a letter for the
// tolerance at its end if need be.
func (v *partValue) quantity(word string, want board.Unit, class board.Class) (board.Quantity, bool) {
	q, err := board.ParseQuantity(mendUnit(word), want)
	if err == nil {
		return q, true
	}
	if class.Is(board.Inductor) {
		if q, err := board.ParseQuantity(mendUnit(word), board.NoUnit); err == nil && q.Unit == board.Ohm {
			v.bead = true
			return q, true
		}
	}
	if q, percent, ok := withTolerance(word, want); ok {
		v.percent = percent
		return q, true
	}
	if q, err := board.ParseQuantity(mendUnit(word), board.NoUnit); err == nil {
		v.odd = q.Unit
	}
	return board.Quantity{}, false
}

// shouted are units in capitals, as parts lists have them, and what they are.
// MF, MH and MOHM are left out: they may be milli or mega.
var shouted = []struct{ found, unit string }{
	{"KOHMS", "kohm"}, {"KOHM", "kohm"}, {"OHMS", "ohm"}, {"OHM", "ohm"}, {"Ohms", "ohm"}, {"Ohm", "ohm"},
	{"PF", "pF"}, {"NF", "nF"}, {"UF", "uF"}, {"\u00b5f", "uF"}, {"\u03bcf", "uF"}, {"uf", "uF"}, {"nf", "nF"}, {"pf", "pF"},
	{"NH", "nH"}, {"UH", "uH"}, {"uh", "uH"}, {"nh", "nH"},
	{"MHZ", "MHz"}, {"KHZ", "kHz"}, {"GHZ", "GHz"}, {"HZ", "Hz"}, {"Mhz", "MHz"}, {"Khz", "kHz"}, {"mhz", "MHz"},
	{"MA", "mA"}, {"VDC", "V"}, {"Vdc", "V"},
}

// mendUnit writes the unit of a word as the SI does.
func mendUnit(word string) string {
	for _, s := range shouted {
		if rest, ok := strings.CutSuffix(word, s.found); ok && rest != "" {
			return rest + s.unit
		}
	}
	return word
}

// toleranceLetters are those of IEC 60062 for values above 10 pF, in per cent
// (from memory).
var toleranceLetters = map[byte]string{
	'B': "0.1%", 'C': "0.25%", 'D': "0.5%", 'F': "1%", 'G': "2%", 'J': "5%", 'K': "10%", 'M': "20%",
}

// withTolerance reads a value with a tolerance letter: 4K7J, 100nK.
func withTolerance(word string, want board.Unit) (q, percent board.Quantity, ok bool) {
	if len(word) < 2 {
		return q, percent, false
	}
	last := len(word) - 1
	share, ok := toleranceLetters[word[last]]
	if !ok {
		return q, percent, false
	}
	q, err := board.ParseQuantity(word[:last], want)
	if err != nil {
		return q, percent, false
	}
	return q, board.MustQuantity(share), true
}

// more reads a word after the value: rated volts or amps, a tolerance, or that
// the part is not fitted.
func (v *partValue) more(word string, class board.Class) bool {
	if notFittedWords[fold(word)] {
		v.unfitted = true
		return true
	}
	if t := strings.TrimLeft(word, "±+-/"); strings.HasSuffix(t, "%") {
		if q, err := board.ParseQuantity(t, board.Ratio); err == nil && !v.percent.Known() {
			v.percent = q
			return true
		}
	}
	q, err := board.ParseQuantity(mendUnit(word), board.NoUnit)
	switch {
	case err != nil || !isRated(class):
		return false
	case q.Unit == board.Volt && !v.volts.Known():
		v.volts = q
		return true
	case q.Unit == board.Ampere && !v.amps.Known():
		v.amps = q
		return true
	}
	return false
}

// isRated reports whether volts and amps beside the value of such a part are
// what it stands. On chips and diodes they may be what it gives.
func isRated(class board.Class) bool {
	for _, c := range []board.Class{board.Capacitor, board.Resistor, board.Inductor, board.Bead, board.Fuse} {
		if class.Is(c) {
			return true
		}
	}
	return false
}

// described takes value and ratings out of a description, where there is no
// value cell: "CAP CER 0.1UF 25V 10% X7R 0402". Only words with a unit or a
// prefix count, since a bare number may be anything.
func described(text string, class board.Class, decimalComma bool) partValue {
	var v partValue
	want := class.ValueUnit()
	if want == board.NoUnit || strings.ContainsAny(text, "~") {
		return v
	}
	words := valueWords(text, decimalComma)
	for i := 0; i < len(words); i++ {
		if w := words[i]; !v.value.Known() && digitsOf(w) > 0 {
			bare := strings.Trim(w, "0123456789.") == "" || digitsOf(w) > 1 && w[0] == '0' // 0402: a size
			if q, n := v.first(words[i:], want, class); n == 2 || n == 1 && !bare {
				v.value = q
				i += n - 1
				continue
			}
		}
		v.more(words[i], class)
	}
	if !v.value.Known() {
		return partValue{}
	}
	return v
}

// valued is the value of one kind of part in one wording, read last. Rows of a
// parts list name many like parts, and like parts follow each other.
type valued struct {
	class       board.Class
	value, text string
	partValue
}

// valueOf reads the value cell, and the description where it is about the same
// value or there is no value cell.
func (r *reader) valueOf(s *saying, class board.Class) partValue {
	if last := &r.last; last.class == class && last.value == s.value && last.text == s.text {
		return last.partValue
	}
	v := readValue(s.value, class, r.dialect.decimalComma)
	if d := described(s.text, class, r.dialect.decimalComma); s.value == "" {
		v = d
	} else if d.value == v.value {
		v.volts, v.amps, v.percent = known(v.volts, d.volts), known(v.amps, d.amps), known(v.percent, d.percent)
	}
	r.last = valued{class, s.value, s.text, v}
	return v
}

// known is the first of two quantities that there is.
func known(a, b board.Quantity) board.Quantity {
	if a.Known() {
		return a
	}
	return b
}
