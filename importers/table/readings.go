package table

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

// outcomes are the results that are no number, folded.
var outcomes = map[string]board.Outcome{
	"ol": board.Open, "0l": board.Open, "open": board.Open, "overload": board.Open, "overrange": board.Open,
	"rings": board.Closed, "beep": board.Closed, "beeps": board.Closed, "closed": board.Closed, "hot": board.Closed,
	"silent": board.NotClosed, "cold": board.NotClosed,
}

// readingRow reads a row with one or several measured values.
func (r *reader) readingRow() string {
	on, ok := r.target()
	if !ok {
		return "nothing that it was measured on"
	}
	base, ok := r.readingBase(on)
	if !ok {
		return "a word that cannot be read"
	}
	found, why := r.eachMeasure(func(_ *cell, mode board.Mode, outcome board.Outcome, value board.Quantity) string {
		reading := base
		reading.Mode, reading.Outcome, reading.Value = mode, outcome, value
		if r.cell(colPolarity) == nil {
			reading.RedGround = mode == board.Diode
		}
		r.into.Knowledge.Readings = append(r.into.Knowledge.Readings, reading)
		return ""
	})
	if found == 0 {
		return why
	}
	return ""
}

// readingBase reads what all readings of a row have in common.
func (r *reader) readingBase(on board.Target) (b board.Reading, ok bool) {
	b = board.Reading{On: on, When: r.when(), Text: r.keep(r.described(colNote, colText))}
	b.Meter, b.Job = r.keep(r.described(colMeter)), r.keep(r.described(colJob))
	b.By, b.Specimen = r.keep(r.described(colBy)), r.keep(r.described(colSpecimen))
	for _, s := range words(r.text(colState)) {
		b.State = append(b.State, r.keep(s))
	}
	if c := r.cell(colTo); c != nil && !strings.EqualFold(c.text, "gnd") {
		if b.To = r.targetOf(c); b.To.Name == "" {
			r.named(c, "", "place to measure against")
			return b, false
		}
	}
	if c := r.cell(colGood); c != nil {
		if b.Good, ok = yesOrNo(c.text); !ok {
			r.complain("T155", diag.Error, c, fmt.Sprintf("%s does not say whether the board was known to be good; expected yes or no", diag.Quote(c.text)))
			return b, false
		}
	}
	if c := r.cell(colPolarity); c != nil {
		text := strings.ToLower(c.text)
		b.RedGround = strings.Contains(text, "red") || text == "reversed"
		b.BlackGround = !b.RedGround && (strings.Contains(text, "black") || text == "normal")
	}
	return b, true
}

// eachMeasure calls add for each value in the row; it says why if it does not
// take the value. If none is taken, eachMeasure says why.
func (r *reader) eachMeasure(add func(*cell, board.Mode, board.Outcome, board.Quantity) string) (found int, why string) {
	why = "no value"
	for _, m := range r.head.measures {
		c := r.cellAt(m.index)
		if c == nil {
			continue
		}
		mode, ok := r.mode(m, c)
		if !ok {
			why = "no mode that is known"
			continue
		}
		outcome, value, err := r.value(c, m, mode)
		if err != nil {
			why = "a value that cannot be read"
			r.badValue(c, mode, err)
			continue
		}
		if not := add(c, mode, outcome, value); not != "" {
			why = not
			continue
		}
		r.tallied()
		found++
	}
	return found, why
}

// target is what the row is about: the most special of its names.
func (r *reader) target() (board.Target, bool) {
	if c := r.cell(colOn); c != nil {
		t := r.targetOf(c)
		return t, t.Name != ""
	}
	ref, pin := r.cell(colRef), r.cell(colPin)
	t := board.Target{}
	switch {
	case ref != nil && pin != nil:
		t = board.Target{Kind: board.OnPin, Name: ref.text, Pin: pin.text}
	case r.cell(colPad) != nil:
		t = board.Target{Kind: board.OnPad, Name: r.text(colPad)}
	case ref != nil && strings.Contains(ref.text, "."):
		t = board.Target{Name: ref.text} // a part with a dot in its name, or PART.PIN: the board tells
	case ref != nil && isPartAndPin(ref.text):
		part, pin, _ := strings.Cut(ref.text, " ")
		t = board.Target{Kind: board.OnPin, Name: part, Pin: strings.TrimSpace(pin)}
	case ref != nil:
		t = board.Target{Kind: board.OnPart, Name: ref.text}
	case r.cell(colNet) != nil:
		t = board.Target{Kind: board.OnNet, Name: r.text(colNet)}
	}
	if !goodName(t.Name) || t.Pin != "" && !goodName(t.Pin) {
		return t, false
	}
	t.Name, t.Pin = r.keep(t.Name), r.keep(t.Pin)
	return t, true
}

// isPartAndPin reports whether a cell for a part has a pin as well: C12 1.
func isPartAndPin(text string) bool {
	words := strings.Fields(text)
	return len(words) == 2 && isRef(words[0])
}

// targetOf reads a cell such as VMAIN, pad P11, pin C12.1 or lower:VMAIN.
func (r *reader) targetOf(c *cell) (t board.Target) {
	name := c.text
	if word, rest, ok := strings.Cut(name, " "); ok {
		if kind, known := board.TargetKindByWord(strings.ToLower(word)); known {
			t.Kind, name = kind, strings.TrimSpace(rest)
		}
	}
	if role, rest, ok := strings.Cut(name, ":"); ok {
		t.Role, name = r.keep(role), rest
	}
	if dot := strings.LastIndexByte(name, '.'); t.Kind == board.OnPin && dot > 0 {
		t.Pin, name = r.keep(name[dot+1:]), name[:dot]
	}
	if goodName(name) && (t.Role == "" || goodName(t.Role)) && (t.Pin == "" || goodName(t.Pin)) {
		t.Name = r.keep(name)
	}
	return t
}

// mode is the mode of a value: of its column, of the mode column, or told by
// its unit.
func (r *reader) mode(m measure, value *cell) (board.Mode, bool) {
	if m.mode != board.ModeUnknown {
		return m.mode, true
	}
	if c := r.cell(colMode); c != nil {
		key := fold(c.text)
		if mode := modeWords[key]; mode != board.ModeUnknown {
			return mode, true
		}
		r.complain("T150", diag.Error, c, diag.Quote(c.text)+" is no mode; expected diode, ohms, volts, amps, continuity or heat", modeHint(key)...)
		return board.ModeUnknown, false
	}
	if strings.HasSuffix(m.unit, "ohm") {
		return board.Resistance, true
	}
	if q, err := board.ParseQuantity(mendUnit(value.text), board.NoUnit); err == nil && q.Unit == board.Ohm {
		return board.Resistance, true
	}
	r.complain("T150", diag.Error, value, "nothing says in which mode this was measured", "name it in the header, as in diode, or add a column mode")
	return board.ModeUnknown, false
}

// modeHint is a hint at the mode words nearest to a word.
func modeHint(word string) []string {
	var all []string
	for w := range modeWords {
		all = append(all, w)
	}
	slices.Sort(all)
	if found := diag.Closest(word, all); len(found) > 0 {
		return []string{"did you mean " + diag.OneOf(found...) + "?"}
	}
	return nil
}

// modeUnits are the units of the modes.
var modeUnits = map[board.Mode]board.Unit{
	board.Diode: board.Volt, board.Voltage: board.Volt, board.Resistance: board.Ohm, board.Current: board.Ampere,
}

var errNoNumber = errors.New("is no result of this mode")

// value reads what was measured: a number, or a word such as OL.
func (r *reader) value(c *cell, m measure, mode board.Mode) (board.Outcome, board.Quantity, error) {
	outcome, isWord := outcomes[fold(c.text)]
	unit, isNumber := modeUnits[mode]
	switch {
	case isNumber && isWord && outcome == board.Open:
		return board.Open, board.Quantity{}, nil
	case !isNumber:
		return closedOrNot(c.text, outcome, isWord)
	}
	q, err := r.quantity(c.text, m.unit, unit)
	if mode == board.Diode && err == nil && m.unit == "" && q.Float() >= 10 && strings.Trim(c.text, "0123456789.,") == "" {
		r.sayMilli()
		q, err = r.quantity(c.text, "mV", unit)
	}
	if why := board.Impossible(mode, q); err == nil && why != "" {
		err = impossible(why)
	}
	return board.Measured, q, err
}

// impossible is why no meter shows a value.
type impossible string

func (i impossible) Error() string { return string(i) }

// closedOrNot reads the result of continuity or a look for heat.
func closedOrNot(text string, outcome board.Outcome, isWord bool) (board.Outcome, board.Quantity, error) {
	if yes, ok := yesOrNo(text); ok && yes {
		return board.Closed, board.Quantity{}, nil
	} else if ok {
		return board.NotClosed, board.Quantity{}, nil
	}
	switch {
	case !isWord:
		return 0, board.Quantity{}, errNoNumber
	case outcome == board.Open:
		return board.NotClosed, board.Quantity{}, nil
	}
	return outcome, board.Quantity{}, nil
}

// sayMilli says once that diode values were taken as millivolts: no meter
// reads 10 V in diode mode (common practice, no source).
func (r *reader) sayMilli() {
	if !r.milli {
		r.milli = true
		r.complain("T154", diag.Warning, nil, "diode values of 10 and more have no unit and were taken as mV", "write the unit into the header, as in diode (mV)")
	}
}

// badValue complains about a value.
func (r *reader) badValue(c *cell, mode board.Mode, err error) {
	var not impossible
	if errors.As(err, &not) {
		r.complain("T156", diag.Error, c, fmt.Sprintf("the %s value %s cannot be: %s", mode, diag.Quote(c.text), not), "look at the unit and the decimal point")
		return
	}
	expected := "expected a number, or OL for open"
	switch mode {
	case board.Continuity:
		expected = "expected rings or silent"
	case board.HotSpot:
		expected = "expected hot or cold"
	}
	var q *board.QuantityError
	message := fmt.Sprintf("the %s value %s cannot be read", mode, diag.Quote(c.text))
	if errors.As(err, &q) {
		message = fmt.Sprintf("the %s value %s %s", mode, diag.Quote(c.text), q.Reason)
		if q.Likely != "" {
			expected = "did you mean " + q.Likely + "?"
		}
	}
	r.complain("T151", diag.Error, c, message, expected)
}
