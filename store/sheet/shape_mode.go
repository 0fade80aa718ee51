package sheet

import (
	"netlore/query/diag"
	"netlore/store/board"
)

// The value of a reading: its unit is that of the mode, which leads the line.

var measuredShape = &shape{read: readMeasured, print: printMeasured, want: "a value such as 0.412V, or open", bare: bareQuantity, same: sameMeasured}

// lineMode returns the mode that the line leads with.
func (c *cursor) lineMode() board.Mode {
	for _, at := range c.f.lineAttrs(c.l) {
		if c.form.attributes[at.slot].shape == wordShape && len(c.form.attributes[at.slot].words) == len(modeWords) {
			m, _ := board.ModeByWord(c.f.tokenText(c.f.tokens[at.token]))
			return m
		}
	}
	return board.ModeUnknown
}

func lineUnit(c *cursor) board.Unit { return modeUnits[c.lineMode()] }

// readMeasured reads a quantity in the unit of the line's mode, or one of the
// words that stand for a value.
func readMeasured(c *cursor, a *attribute, v *value) *problem {
	t, ok := c.take()
	if !ok {
		return c.missing(a)
	}
	s := c.f.tokenText(t)
	if v.word = a.wordIndex(s); v.word > 0 {
		return nil
	}
	unit := lineUnit(c)
	if q, ok := c.memo.parse(s); ok && q.Unit != unit && unit != board.NoUnit {
		return c.fault(t, "S217", diag.Quote(s)+" is "+q.Unit.Measures()+", but "+c.lineMode().String()+" readings are in "+unit.Name())
	}
	var p *problem
	if v.q, p = c.quantity(t, s, unit); p == nil {
		return nil // what was meant is asked of slips only: that takes longer than all the rest
	}
	switch words := likelyWord(s, a.words, otherWords); {
	case len(words) > 0:
		p.Help = words
		p.Edits = editOf(*p)
	case c.lineMode() == board.Diode:
		suggestMillivolts(p, s)
	}
	return p
}

// suggestMillivolts takes a plain number in diode mode for millivolts if it
// is too large for volts: meters show either (common practice, no source).
func suggestMillivolts(p *problem, s string) {
	if n, plain := thousandths(s); plain && n >= 10_000 {
		p.Help = []string{"did you mean " + s + "mV?"}
		p.Edits = editOf(*p)
	}
}

func printMeasured(dst []byte, a *attribute, v *value, m *memo) []byte {
	if v.word > 0 {
		return append(dst, a.words[v.word-1]...)
	}
	return m.append(dst, v.q)
}

// checkMode checks that a word which stands for a value goes with the mode.
func checkMode(c *cursor) *problem {
	mode := c.lineMode()
	for _, at := range c.f.lineAttrs(c.l) {
		a := &c.form.attributes[at.slot]
		if a.shape != measuredShape {
			continue
		}
		t := c.f.tokens[at.token]
		word := c.f.tokenText(t)
		if a.wordIndex(word) == 0 || goesWith(mode, word) {
			return nil
		}
		return c.fault(t, "S217", diag.Quote(word)+" is no value of a reading in "+mode.String()+"; expected "+a.modeValues(mode))
	}
	return nil
}

// checkWithin checks that a tolerance is in the unit of the value.
func checkWithin(c *cursor) *problem {
	if c.flawed {
		return nil
	}
	open := false
	for _, at := range c.f.lineAttrs(c.l) {
		t := c.f.tokens[at.token]
		switch a := &c.form.attributes[at.slot]; a.shape {
		case measuredShape:
			open = a.wordIndex(c.f.tokenText(t)) > 0
		case toleranceShape:
			unit := lineUnit(c)
			within, err := c.memo.tolerance(plusMinus(c.f.tokenText(t)))
			if got := within.Above.Unit; err == nil && got != board.Ratio && got != unit {
				return c.fault(t, "S210", c.attrText(at)+" is "+got.Measures()+", but the value is "+unit.Measures(), "write it in per cent or in "+unit.Name())
			}
			if open {
				return c.fault(t, "S214", "what is open has no tolerance", "leave it out")
			}
		}
	}
	return nil
}

// goesWith reports whether a word can be the value of a reading in a mode.
func goesWith(mode board.Mode, word string) bool {
	switch word {
	case "rings", "silent":
		return mode == board.Continuity
	case "hot", "cold":
		return mode == board.HotSpot
	}
	return mode != board.Continuity && mode != board.HotSpot
}

// modeValues says what the value can be in a mode.
func (a *attribute) modeValues(mode board.Mode) string {
	var words []string
	for _, w := range a.words {
		if goesWith(mode, w) {
			words = append(words, w)
		}
	}
	return diag.OneOf(append(words, exampleOf(modeUnits[mode]))...)
}

// outcomeIndex returns the word of an outcome as an index into outcomeWords,
// plus 1.
func outcomeIndex(mode board.Mode, o board.Outcome) int {
	for i, word := range outcomeWords {
		if outcomes[i] == o && goesWith(mode, word) {
			return i + 1
		}
	}
	return 0
}
