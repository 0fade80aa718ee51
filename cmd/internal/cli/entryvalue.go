package cli

import (
	"errors"
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

// meterValue is what a meter shows.
type meterValue struct {
	open bool
	is   board.Quantity
}

func (v meterValue) String() string {
	if v.open {
		return "open"
	}
	return v.is.String()
}

// isOpen are the words for what is over the range of a meter, in small letters.
var isOpen = map[string]bool{"ol": true, "o.l": true, "o.l.": true, "0l": true, "0.l": true, ".ol": true, "open": true}

// value reads what was typed for a reading. Complaints are about the words
// where they stand in the line.
func (e *entry) value(line, words string) (meterValue, error) {
	if isOpen[strings.ToLower(words)] {
		return meterValue{open: true}, nil
	}
	bare := strings.Trim(words, "+-\u2212.,0123456789") == ""
	text := words
	if bare {
		text += e.unit
	}
	q, err := board.ParseQuantity(text, e.base())
	if err != nil {
		return meterValue{}, e.unreadable(line, words, err)
	}
	if why, help := e.doubt(words, q, bare); why != "" {
		return meterValue{}, diag.List{inWords(diag.Diagnostic{Code: "S420", Message: why, Help: help}, line, words)}
	}
	return meterValue{is: q}, nil
}

// doubt says why a value was not read like this, and what to do.
func (e *entry) doubt(words string, q board.Quantity, bare bool) (why string, help []string) {
	help = []string{"look at the unit and the decimal point"}
	if bare {
		help = e.otherUnit(words)
	}
	if why = board.Impossible(e.mode, q); why != "" {
		return "this cannot be: " + q.String() + "; " + why, help
	}
	if why = e.meter.Above(e.mode, q); why != "" {
		return "this cannot be: " + q.String() + "; " + why, []string{"type OL if that is what it shows",
			"netlore profile " + shellWord(e.meter.Name) + " open " + q.String() + " corrects what is stated of it"}
	}
	if bare && e.tooFine(words, q) {
		return words + " in millivolts, by " + e.unitBy + ", is next to nothing", help
	}
	return "", nil
}

// tooFine says that a number looks like volts while the meter shows millivolts:
// few have digits below one, and 0.412 is what other meters show of 412 mV.
func (e *entry) tooFine(words string, q board.Quantity) bool {
	few := board.Quantity{Coef: 3, Exp: -3, Unit: board.Volt}
	return e.unit == "mV" && strings.Contains(words, ".") && q.Coef > 0 && q.Compare(few) < 0
}

// otherUnit is how to say a number without its unit in one.
func (e *entry) otherUnit(words string) []string {
	switch e.unit {
	case "V":
		return []string{"if the meter shows millivolts, type " + words + "mV, or start with --unit mV"}
	case "mV":
		return []string{"type " + words + "V or " + words + "mV; --unit V is for a meter that shows volts"}
	}
	return []string{"look at the unit and the decimal point"}
}

func (e *entry) unreadable(line, words string, err error) error {
	d := diag.Diagnostic{Code: "S206", Message: err.Error()}
	var q *board.QuantityError
	if errors.As(err, &q) {
		d.Message = diag.Quote(words) + " " + q.Reason
		switch {
		case strings.Contains(words, ","): // a likely one would have the unit of the meter
			d.Help = []string{"did you mean " + strings.Replace(words, ",", ".", 1) + "?"}
		case e.likely(q.Likely):
			d.Help = []string{"did you mean " + q.Likely + "?"}
		}
	}
	d.Help = append(d.Help, "type a number such as "+e.example()+", or OL")
	return diag.List{inWords(d, line, words)}
}

// likely reports whether what may have been meant is a value that can be.
func (e *entry) likely(text string) bool {
	q, err := board.ParseQuantity(text, e.base())
	return err == nil && board.Impossible(e.mode, q) == ""
}

func (e *entry) example() string {
	switch {
	case e.mode == board.Resistance:
		return "4.7kohm"
	case e.unit == "mV":
		return "412"
	}
	return "0.412"
}

// asExpected is the value that is expected at a place.
func (e *entry) asExpected(on board.Target) (meterValue, error) {
	hold := e.expected(on)
	switch {
	case len(hold) == 0:
		return meterValue{}, hint(errors.New("nothing is expected at "+on.String()+", so a point says nothing"), "type what the meter shows")
	case len(hold) > 1:
		return meterValue{}, hint(errors.New("several values are expected at "+on.String()+": "+expectedText(hold)), "type what the meter shows")
	case hold[0].Open:
		return meterValue{open: true}, nil
	}
	return meterValue{is: hold[0].Value}, nil
}

func (e *entry) expected(on board.Target) []board.Expected {
	if e.black && e.mode == board.Diode {
		return nil
	}
	return expectedOn(e.boards, on, e.mode, e.opt.meter)
}
