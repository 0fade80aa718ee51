package check

import (
	"errors"
	"slices"
	"strconv"
	"strings"
	"time"

	"netlore/query/diag"
	"netlore/query/syntax"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// value reads what a field is compared with. Ordered tells that the comparison
// is one of order, which tolerances, patterns and open do not fit.
func (c *checker) value(f Field, v *syntax.Value, ordered bool) (Value, bool) {
	value := Value{Span: v.Range()}
	if v.Tolerance != "" {
		return c.tolerant(f, v, ordered)
	}
	text := PlainName(v.Text.Text)
	ok := true
	switch f.Type {
	case words.Quantity:
		if o, found := openOutcome(f, text); found && !ordered {
			value.Outcome = o
			return value, true
		}
		value.Quantity, ok = c.quantity(v, c.units(f), c.nameOfField(f))
	case words.Number:
		value.Quantity, ok = c.number(f, v)
	case words.TimeType:
		value.From, value.To, ok = c.time(f, v)
	case words.Choice:
		value.Text = text
		value.Choice, ok = c.choice(f, v)
	default:
		l, _ := readName(v.Text.Text)
		value.Role, value.Text = l.role, text
		value.Pattern = pattern(v.Text.Text, text)
	}
	return value, ok
}

// pattern is the pattern that a value is, or nil: what is written in quotes is none.
func pattern(written, text string) *value.Pattern {
	if written[0] == '"' || !strings.ContainsAny(text, "*?") {
		return nil
	}
	return value.NewPattern(text)
}

// nameOfField is "the field value of capacitors holds".
func (c *checker) nameOfField(f Field) string {
	of := c.noun.String()
	if len(c.kinds) == 1 {
		of = c.kinds[0].String()
	}
	return "the field " + f.Word + " of " + of + " holds"
}

// openOutcome reads `open`, which a reading can be instead of a number.
func openOutcome(f Field, text string) (board.Outcome, bool) {
	read := f.ID == words.ExpectedOf || f.ID == words.Value && f.Noun != words.Parts
	return board.Open, read && strings.EqualFold(text, "open")
}

// units are the units that a quantity of the field can have.
func (c *checker) units(f Field) []board.Unit {
	switch {
	case f.Unit != board.NoUnit:
		return []board.Unit{f.Unit}
	case f.Noun != words.Parts:
		return []board.Unit{board.Volt, board.Ohm, board.Ampere}
	}
	var list []board.Unit
	for _, k := range c.kinds {
		u := k.Class.ValueUnit()
		if k.ZeroOhm {
			u = board.Ohm
		}
		if u == board.NoUnit {
			list = nil
			break
		}
		if !slices.Contains(list, u) {
			list = append(list, u)
		}
	}
	if list == nil {
		return []board.Unit{board.Farad, board.Ohm, board.Henry, board.Hertz}
	}
	return list
}

// quantity reads a number with one of the units. What begins the sentence about
// them: "within takes".
func (c *checker) quantity(v *syntax.Value, units []board.Unit, what string) (board.Quantity, bool) {
	if v.Text == nil || v.Tolerance != "" {
		c.fail("Q45", v.Range(), "%s one number here, without a tolerance", what)
		return board.Quantity{}, false
	}
	text := PlainName(v.Text.Text)
	q, err := board.ParseQuantity(text, board.NoUnit)
	if err == nil && slices.Contains(units, q.Unit) {
		return q, true
	}
	if err == nil && q.Unit != board.NoUnit {
		c.wrongUnit(v, q, units, what)
		return q, false
	}
	for _, u := range units {
		if q, err := board.ParseQuantity(text, u); err == nil && (len(units) == 1 || c.saysUnit(text, u, units)) {
			return q, true
		}
	}
	c.noQuantity(v, err, units, what)
	return q, false
}

// saysUnit reports whether a code such as 4k7 can be read in one of the units
// only.
func (c *checker) saysUnit(text string, unit board.Unit, units []board.Unit) bool {
	if _, err := strconv.ParseFloat(text, 64); err == nil {
		return false
	}
	for _, u := range units {
		if _, err := board.ParseQuantity(text, u); err == nil && u != unit {
			return false
		}
	}
	return true
}

func (c *checker) wrongUnit(v *syntax.Value, q board.Quantity, units []board.Unit, what string) {
	c.fail("Q41", v.Range(), "%s is %s, and %s %s", v.Text.Text, q.Unit.Measures(), what, measure(units))
}

// noQuantity words what is wrong with a number, and what it may have been.
func (c *checker) noQuantity(v *syntax.Value, err error, units []board.Unit, what string) {
	if c.habit(v.Text) || c.decimalComma(v) {
		return
	}
	reason, code := "is no number with a unit", "Q42"
	var bad *board.QuantityError
	if errors.As(err, &bad) {
		reason = bad.Reason
	}
	var likely []string
	if _, err := strconv.ParseFloat(v.Text.Text, 64); err == nil {
		reason, code = "has no unit", "Q40"
		for _, u := range units {
			likely = append(likely, v.Text.Text+likelyUnit[u])
		}
		if units[0] == board.Ratio {
			likely = likely[:1]
		}
	} else if bad != nil && bad.Likely != "" {
		likely = []string{bad.Likely}
	}
	d := c.fail(code, v.Range(), "%s %s; %s %s", v.Text.Text, reason, what, measure(units))
	if c.noun == words.Readings {
		likely = append(likely, diag.Closest(v.Text.Text, []string{"expected", "open"})...)
	}
	for _, l := range likely {
		c.suggest(d, v.Range(), l)
	}
}

// decimalComma words 4,7uF, which is read as two values.
func (c *checker) decimalComma(v *syntax.Value) bool {
	end := v.Range().End
	rest := c.text[end:]
	_, err := strconv.Atoi(v.Text.Text)
	if err != nil || len(rest) < 2 || rest[0] != ',' || rest[1] < '0' || rest[1] > '9' {
		return false
	}
	d := c.fail("Q42", diag.Range{Start: end, End: end + 1}, "the decimal mark is a point; a comma stands between values")
	c.suggest(d, diag.Range{Start: end, End: end + 1}, ".")
	return true
}

func measure(units []board.Unit) string {
	var list []string
	for _, u := range units {
		list = append(list, u.Measures())
	}
	return diag.OneOf(list...)
}

// likelyUnit is what a bare number is most often meant in.
var likelyUnit = map[board.Unit]string{
	board.Farad: "uF", board.Ohm: "ohm", board.Henry: "uH", board.Hertz: "MHz", board.Volt: "V", board.Ampere: "A",
	board.Metre: "mm", board.Second: "min", board.Ratio: "%", board.Watt: "W", board.Celsius: "degC",
}

// tolerant reads 10uF ±20%.
func (c *checker) tolerant(f Field, v *syntax.Value, ordered bool) (Value, bool) {
	value := Value{Span: v.Range()}
	switch {
	case f.Type != words.Quantity:
		c.fail("Q45", v.Range(), "a tolerance goes with a number with a unit; %s none", c.nameOfField(f))
		return value, false
	case v.Text == nil:
		c.fail("Q45", v.Range(), "a tolerance stands behind a value: 10uF %s", v.Tolerance)
		return value, false
	case ordered:
		c.fail("Q45", v.Range(), "a tolerance goes with = or is not only")
		return value, false
	}
	q, ok := c.quantity(&syntax.Value{Span: v.Text.Span, Text: v.Text}, c.units(f), c.nameOfField(f))
	if !ok {
		return value, false
	}
	t, err := board.ParseTolerance(string(v.Tolerance))
	if err == nil {
		value.Low, value.High, ok = t.Bounds(q)
	}
	if err != nil || !ok {
		c.fail("Q45", v.Range(), "%s is no tolerance of %s; it is written ±20%% or in the unit of the value", v.Tolerance, v.Text.Text)
		return value, false
	}
	value.Quantity, value.Interval = q, true
	return value, true
}

// number reads a count.
func (c *checker) number(f Field, v *syntax.Value) (board.Quantity, bool) {
	n, err := strconv.ParseInt(PlainName(v.Text.Text), 10, 32)
	if err != nil || n < 0 {
		d := c.fail("Q48", v.Range(), "%s a whole number, not %s", c.nameOfField(f), v.Text.Text)
		if with := strings.LastIndex(strings.ToLower(c.text[:f.Span.Start]), "with"); f.ID == words.ReadingsOf && with >= 0 {
			c.suggest(d, diag.Range{Start: with, End: f.Span.End}, "reading") // with readings below 0.4V
		}
		return board.Quantity{}, false
	}
	return board.NewQuantity(n, 0, board.One)
}

// layouts are the ways to write a time, and how long each lasts.
var layouts = []struct {
	layout string
	end    func(time.Time) time.Time
}{
	{"2006", func(t time.Time) time.Time { return t.AddDate(1, 0, 0) }},
	{"2006-01", func(t time.Time) time.Time { return t.AddDate(0, 1, 0) }},
	{"2006-01-02", func(t time.Time) time.Time { return t.AddDate(0, 0, 1) }},
	{"2006-01-02T15:04Z07:00", func(t time.Time) time.Time { return t.Add(time.Minute) }},
	{time.RFC3339, func(t time.Time) time.Time { return t.Add(time.Second) }},
}

// time reads a date or date-time (RFC 3339), a month or a year, in UTC.
func (c *checker) time(f Field, v *syntax.Value) (from, to int64, ok bool) {
	text := PlainName(v.Text.Text)
	for _, l := range layouts {
		if t, err := time.Parse(l.layout, text); err == nil && t.Year() > 1700 && t.Year() < 2200 {
			return t.UnixNano(), l.end(t).UnixNano(), true
		}
	}
	d := c.fail("Q47", v.Range(), "%s is no date", v.Text.Text)
	d.Help = append(d.Help, "dates are written 2026-03-02, 2026-03 or 2026-03-02T10:11Z")
	return 0, 0, false
}
