package board

import "strings"

// Tolerance is an interval about a value: from value-Below to value+Above.
// Both are ratios of the value, or both have the value's unit. Neither is
// negative. The zero Tolerance means "not stated".
type Tolerance struct{ Below, Above Quantity }

// String is the canonical text: ±8%, ±20mV, +5%/-10%; "" when not stated.
func (t Tolerance) String() string {
	switch {
	case t == Tolerance{}:
		return ""
	case t.Below == t.Above:
		return "±" + t.Above.String()
	}
	return "+" + t.Above.String() + "/-" + t.Below.String()
}

// Bounds returns the ends of the interval about q, exactly: 0.412V ±15% is
// 0.3502V to 0.4738V. A ratio is of the size of q, so that lo is below hi for
// a negative q too. It reports false if no tolerance is stated, if its unit is
// neither a ratio nor that of q, or if an end has too many digits.
func (t Tolerance) Bounds(q Quantity) (lo, hi Quantity, ok bool) {
	below, ok1 := share(t.Below, q)
	above, ok2 := share(t.Above, q)
	if !ok1 || !ok2 {
		return Quantity{}, Quantity{}, false
	}
	lo, ok1 = q.Add(below.negated())
	hi, ok2 = q.Add(above)
	return lo, hi, ok1 && ok2
}

// share is a tolerance's width in the unit of q.
func share(width, q Quantity) (Quantity, bool) {
	if width.Unit == Ratio && q.Known() {
		q.Coef = int64(magnitude(q.Coef))
		return q.scaled(width)
	}
	return width, width.Known() && width.Unit == q.Unit
}

// ParseTolerance reads ±8%, ±20mV or +5%/-10%; +- and +/- stand for ±. The
// error is a *QuantityError.
func ParseTolerance(s string) (Tolerance, error) {
	for _, mark := range []string{"±", "+-", "+/-"} {
		if rest, ok := strings.CutPrefix(s, mark); ok {
			q, err := parseWidth(s, len(s)-len(rest), len(s))
			return Tolerance{q, q}, err
		}
	}
	if s == "" || s[0] != '+' && s[0] != '-' {
		return Tolerance{}, noSign(s)
	}
	second := strings.IndexAny(s[1:], "+-") + 1
	if second == 0 || s[second] == s[0] {
		return Tolerance{}, oneSided(s)
	}
	return parseSides(s, second)
}

func noSign(s string) error {
	e := &QuantityError{s, 0, "has no ± before it", ""}
	if _, err := parseWidth(s, 0, len(s)); err == nil {
		e.Likely = "±" + s
	}
	return e
}

func oneSided(s string) error {
	e := &QuantityError{s, len(s), "says only one side", ""}
	if _, err := parseWidth(s, 1, len(s)); err == nil {
		e.Likely = "±" + s[1:]
	}
	return e
}

// parseSides reads a tolerance that says its two sides, the second one from
// its sign at byte second.
func parseSides(s string, second int) (Tolerance, error) {
	first, err := parseWidth(s, 1, len(strings.TrimRight(s[:second], "/ ")))
	if err != nil {
		return Tolerance{}, err
	}
	last, err := parseWidth(s, second+1, len(s))
	if err != nil {
		return Tolerance{}, err
	}
	if first.Unit != last.Unit {
		return Tolerance{}, &QuantityError{s, second + 1,
			"mixes " + first.Unit.Measures() + " and " + last.Unit.Measures(), ""}
	}
	if s[0] == '+' {
		return Tolerance{Below: last, Above: first}, nil
	}
	return Tolerance{Below: first, Above: last}, nil
}

// parseWidth reads one width out of bytes from to to of a tolerance.
func parseWidth(s string, from, to int) (Quantity, error) {
	for from < to && s[from] == ' ' {
		from++
	}
	q, err := parseQuantity(s[from:to], NoUnit)
	switch {
	case err == nil && q.Coef < 0:
		err = &QuantityError{Reason: "has a sign too many"}
	case err != nil && err.Likely != "":
		err.Likely = s[:from] + err.Likely + s[to:]
	}
	if err != nil {
		err.Text, err.Offset = s, err.Offset+from
		return Quantity{}, err
	}
	return q, nil
}
