package board

import "strings"

// likely is the number with another suffix in canonical form, for a hint. It
// is "" if that is no quantity that is wanted either.
func (n *number) likely(suffix string, want Unit) string {
	sp, ok := findUnit(suffix)
	if !ok || !n.any || n.digits > maxDigits || want != NoUnit && sp.unit != want {
		return ""
	}
	q, ok := n.quantity(sp)
	if !ok {
		return ""
	}
	return q.String()
}

// wrongUnit says that a quantity of another unit is wanted.
func (n *number) wrongUnit(suffix string, got, want Unit) *QuantityError {
	if n.quiet {
		return errQuiet
	}
	e := &QuantityError{Reason: "is " + got.Measures() + "; expected " + want.Measures()}
	switch {
	case suffix == "m" && want == Second:
		e.Likely = n.likely("min", want)
	case suffix[0] == 'R' && (want == Farad || want == Henry):
		// On capacitors and coils R is the point of a number of pF or uH
		// (common practice, no source).
		e.Likely = n.likely(units[want].likely, want)
	}
	return e
}

// oldSpellings are found in parts lists, but say something else by the SI, or
// nothing.
var oldSpellings = map[string]string{
	"MF": "uF", "MFD": "uF", "mfd": "uF", "uFD": "uF", "UFD": "uF", "MMF": "pF", "uuF": "pF",
	"MHZ": "MHz", "Mhz": "MHz", "mhz": "MHz", "C": "degC", "sec": "s", "secs": "s", "seconds": "s", "mins": "min",
	"minute": "min", "minutes": "min", "hour": "h", "hours": "h", "volt": "V", "volts": "V", "amp": "A", "amps": "A", "percent": "%",
}

// unreadable says why the suffix is no unit.
func (n *number) unreadable(suffix string, want Unit) *QuantityError {
	if n.quiet {
		return errQuiet
	}
	if !n.any {
		return &QuantityError{Reason: "is not a number with a unit"}
	}
	if likely := n.likelyCode(suffix, want); likely != "" {
		return &QuantityError{Reason: "has a prefix but no unit", Likely: likely}
	}
	e := &QuantityError{Reason: "has no unit that is known"}
	if old, ok := oldSpellings[suffix]; ok {
		e.Likely = n.likely(old, want)
	} else {
		e.Likely = n.likely(foldUnit(suffix), want)
	}
	return e
}

// likelyCode reads RKM code that lacks its unit: 4k7 where volts are wanted,
// or anything.
func (n *number) likelyCode(suffix string, want Unit) string {
	unit := want
	if p, _, ok := cutPrefix(suffix); ok && want == NoUnit {
		unit = usualUnit(p)
	}
	m := *n
	sp, ok := m.readCode(suffix+unit.String(), unit)
	if !ok || sp.unit != unit || m.digits > maxDigits {
		return ""
	}
	q, ok := m.quantity(sp)
	if !ok {
		return ""
	}
	return q.String()
}

// foldUnit finds the unit that differs from s by upper and lower case only,
// in its canonical spelling. A prefix that is right as it stands is kept.
func foldUnit(s string) string {
	for _, sp := range spellings {
		if strings.EqualFold(s, sp.text) {
			return sp.text
		}
	}
	for _, same := range []func(a, b string) bool{func(a, b string) bool { return a == b }, strings.EqualFold} {
		for _, p := range prefixes {
			if len(s) <= len(p.text) || !same(s[:len(p.text)], p.text) {
				continue
			}
			for _, sp := range spellings {
				if text := string(p.letter) + sp.text; strings.EqualFold(s[len(p.text):], sp.text) && isUnit(text) {
					return text
				}
			}
		}
	}
	return ""
}

func isUnit(s string) bool { _, ok := findUnit(s); return ok }

// decimalComma says that a comma stands where the decimal point should, if it
// does. Three digits after it may also be thousands: then nothing is likely.
func (n *number) decimalComma(s string, want Unit) *QuantityError {
	if n.end == len(s) || s[n.end] != ',' {
		return nil
	}
	if n.quiet {
		return errQuiet
	}
	e := &QuantityError{Offset: n.end, Reason: "has a comma in it; the decimal mark is the point"}
	rest := s[n.end+1:]
	thousands := len(rest)-len(strings.TrimLeft(rest, "0123456789")) == 3 && n.coef != 0
	if q, err := parseQuantity(s[:n.end]+"."+rest, want); err == nil && !thousands {
		e.Likely = q.String()
	}
	return e
}
