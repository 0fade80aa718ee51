package table

import (
	"strings"
	"unicode"

	"netlore/store/board"
)

// column is what a column says.
type column uint8

const (
	colRef column = iota
	colValue
	colPackage
	colX
	colY
	colTurn
	colSide
	colMirror
	colQuantity
	colText
	colNumber
	colFitted
	colUnfitted
	colVolts
	colAmps
	colTolerance
	colKind
	colFunction
	colPad
	colNet
	colPin
	colGroup
	colSize
	colWidth
	colHeight
	colAlias
	colOn
	colTo
	colMode
	colMeter
	colJob
	colWhen
	colBy
	colState
	colGood
	colSpecimen
	colPolarity
	colNote
	columns     // how many there are
	colMeasured // a measured or expected value; there may be several
	none        // not known
)

// headerWords are the words for each column, folded as fold does, the better
// ones first: if two columns of a table say the same, the better word wins.
var headerWords = [columns]string{
	colRef: "designator refdes referencedesignator referencedesignators refdesignator refdesignators reference references " +
		"ref refs designators location locations part component partname componentname parts",
	colValue:     "value val compvalue partvalue comment values comments",
	colPackage:   "package footprint pattern comppackage pcbfootprint landpattern case casesize packagecase packagename footprintname pkg",
	colX:         axis("x"),
	colY:         axis("y"),
	colTurn:      "rotation rot angle rotate symrotate rotations turn turned orientation theta degrees",
	colSide:      "side layer tb boardside mountside mountingside placementside face layers",
	colMirror:    "mirror mirrored symmirror flipped",
	colQuantity:  "quantity qty qnty count pcs pieces qtyperboard quantityperboard",
	colText:      "description desc partdescription itemdescription details",
	colNumber:    "manufacturerpartnumber mpn partnumber mfrpartnumber mfgpartnumber partno partnr mfrpart ordercode",
	colFitted:    "fitted populate populated mounted assembled installed fit",
	colUnfitted:  "dnp dni dnf unfitted notfitted donotpopulate donotfit donotplace unpopulated nofit",
	colVolts:     "volts voltage ratedvoltage voltagerating nominalvoltage nominalvolts volt ratedvolts",
	colAmps:      "amps ratedcurrent currentrating ratedamps current",
	colTolerance: "tolerance tol comptol within",
	colKind:      "kind netkind class netclass partclass",
	colFunction:  "function functions for block",
	colPad:       "pad padname testpoint testpad pads",
	colNet:       "net netname signal signalname rail nets node",
	colPin:       "pin pinnumber pinno pinnr terminal ball pins pinname",
	colGroup:     "group frame interposer padgroup",
	colSize:      "size padsize diameter dia bodysize",
	colWidth:     "width sizex xsize w padwidth",
	colHeight:    "height sizey ysize h padheight",
	colAlias:     "alias aliases also othername othernames aka",
	colOn:        "target on measuredat probe at where point place",
	colTo:        "to against otherprobe secondprobe",
	colMode:      "mode measurement",
	colMeter:     "meter dmm instrument",
	colJob:       "job jobno jobnumber ticket",
	colWhen:      "time when date datetime timestamp measuredon",
	colBy:        "by who operator technician author",
	colState:     "state condition devicestate",
	colGood:      "good knowngood goodboard",
	colSpecimen:  "specimen sample",
	colPolarity:  "polarity red redlead leads",
	colNote:      "note notes remark remarks text",
}

// axis are the words for one coordinate: the middle of the part first, then
// what else is given for its place.
func axis(a string) string {
	words := "A midA Amid centerA centreA Acenter Acentre Amiddle bodycenterA posA Apos positionA Aposition coordA Acoord " +
		"Acoordinate coordinateA locationA Alocation locA Aloc symA originA placeA refA padA"
	return strings.ReplaceAll(words, "A", a)
}

// modeWords are the words for measuring modes, folded.
var modeWords = map[string]board.Mode{
	"": board.ModeUnknown, "diode": board.Diode, "diodemode": board.Diode, "diodetest": board.Diode, "vf": board.Diode,
	"ohms": board.Resistance, "ohm": board.Resistance, "resistance": board.Resistance,
	"volts": board.Voltage, "voltage": board.Voltage, "amps": board.Current, "current": board.Current,
	"continuity": board.Continuity, "heat": board.HotSpot, "hotspot": board.HotSpot,
}

// meaning is what a header cell says.
type meaning struct {
	column   column
	rank     int // of its word; lower is better
	unit     string
	mode     board.Mode // for colMeasured
	expected bool       // for colMeasured: what should be, not what was
}

var meanings = makeMeanings()

func makeMeanings() map[string]meaning {
	all := map[string]meaning{}
	for mode, m := range modeWords {
		for _, form := range []string{"measured#", "measured#value", "#reading", "reading#", "#measured"} {
			all[strings.ReplaceAll(form, "#", mode)] = meaning{column: colMeasured, mode: m}
		}
		for _, form := range []string{"expected#", "#expected", "expected#value", "nominal#reading", "good#reading"} {
			all[strings.ReplaceAll(form, "#", mode)] = meaning{column: colMeasured, mode: m, expected: true}
		}
		if m == board.Diode || m == board.Resistance || m == board.Continuity || m == board.HotSpot {
			all[mode] = meaning{column: colMeasured, mode: m}
		}
	}
	for c, words := range headerWords {
		for rank, w := range strings.Fields(words) {
			all[w] = meaning{column: column(c), rank: rank}
		}
	}
	return all
}

// unitWords are units that stand in header cells and preamble lines, folded.
var unitWords = map[string]string{
	"mm": "mm", "millimeter": "mm", "millimeters": "mm", "millimetre": "mm", "millimetres": "mm", "metric": "mm",
	"mil": "mil", "mils": "mil", "thou": "mil", "inch": "in", "inches": "in", "in": "in", "um": "um", "micron": "um", "microns": "um",
	"deg": "deg", "degrees": "deg", "v": "V", "volts": "V", "mv": "mV", "ohm": "ohm", "ohms": "ohm", "kohm": "kohm", "a": "A", "ma": "mA",
}

// headerWord says what a header cell means. The unit may stand in brackets or
// at the end: "Center-X(mm)", "y [mil]", "x_mm".
func headerWord(text string) (meaning, bool) {
	if len(text) > 64 {
		return meaning{column: none}, false
	}
	head, unit := cutBrackets(text)
	key := fold(head)
	if m, ok := meanings[key]; ok && key != "" {
		m.unit = unitWords[fold(unit)]
		return m, true
	}
	for _, suffix := range []string{"mils", "mil", "inch", "mm", "um", "in", "mv", "deg", "v", "ohm"} {
		if m, ok := meanings[strings.TrimSuffix(key, suffix)]; ok && len(key) > len(suffix) && strings.HasSuffix(key, suffix) {
			m.unit = unitWords[suffix]
			return m, true
		}
	}
	return meaning{column: none}, false
}

// cutBrackets takes what stands in the first brackets out of a header cell.
func cutBrackets(text string) (head, inside string) {
	open := strings.IndexAny(text, "([")
	if open < 0 {
		return text, ""
	}
	end := strings.IndexAny(text[open:], ")]")
	if end < 0 {
		return text, ""
	}
	return text[:open] + text[open+end+1:], text[open+1 : open+end]
}

// fold makes header cells comparable: lower case, letters and digits only.
func fold(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == 'µ' || r == 'μ':
			return 'u'
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			return unicode.ToLower(r)
		}
		return -1
	}, s)
}
