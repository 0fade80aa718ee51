package sheet

import (
	"time"

	"netlore/query/diag"
	"netlore/store/board"
)

var modeWords = []string{"diode", "ohms", "volts", "amps", "continuity", "heat"}

// modeUnits is what each mode measures in, by Mode.
var modeUnits = [...]board.Unit{board.NoUnit, board.Volt, board.Ohm, board.Volt, board.Ampere, board.Ohm, board.Celsius}

// The places of the attributes that readings and expected values lead with.
const (
	knownMode = iota
	knownTarget
)

var (
	modeAttribute   = attribute{words: modeWords, shape: wordShape, label: "what was measured", must: true}
	targetAttribute = attribute{shape: targetShape, label: "where", must: true}
)

// about makes the attributes that any statement of knowledge can end with.
func about(by func(s *subject) *string, when func(s *subject) *time.Time) []attribute {
	return []attribute{
		{word: "by", shape: nameShape, label: "who says so", noun: "author",
			set: func(s *subject, v *value) { *by(s) = s.keep(v.text) },
			get: func(s *subject, v *value) bool { v.text = *by(s); return v.text != "" }},
		{word: "when", shape: timeShape, label: "date, or date and time",
			set: func(s *subject, v *value) { *when(s) = v.when },
			get: func(s *subject, v *value) bool { v.when = *when(s); return !v.when.IsZero() }},
	}
}

func textAttribute(of func(s *subject) *string, label string, must bool) attribute {
	return attribute{shape: textShape, label: label, must: must,
		set: func(s *subject, v *value) { *of(s) = s.keep(v.text) },
		get: func(s *subject, v *value) bool { v.text = *of(s); return v.text != "" }}
}

func nameAttribute(word, label string, of func(s *subject) *string) attribute {
	return attribute{word: word, shape: nameShape, label: label,
		set: func(s *subject, v *value) { *of(s) = s.keep(v.text) },
		get: func(s *subject, v *value) bool { v.text = *of(s); return v.text != "" }}
}

var measuredUnits = []board.Unit{board.Volt, board.Ohm, board.Ampere, board.Celsius}

var expectForm = form{word: "expect", title: "an expected value", lead: 2,
	doc:     "the value that the shop expects, with its tolerance and where it comes from",
	example: `expect diode VMAIN 0.412V ±8% by bench-2 when 2026-03-12 "three good boards"`,
	attributes: append(append([]attribute{
		withSet(modeAttribute, func(s *subject, v *value) { s.expected.Mode = board.Mode(v.word) },
			func(s *subject, v *value) bool { v.word = int(s.expected.Mode); return v.word > 0 }),
		withSet(targetAttribute, func(s *subject, v *value) { s.expected.On = s.keepTarget(v.targets[0]) },
			func(s *subject, v *value) bool { return v.target(s.expected.On) }),
		{words: []string{"open"}, shape: measuredShape, units: measuredUnits, label: "value, or open", must: true,
			set: func(s *subject, v *value) { s.expected.Value, s.expected.Open = v.q, v.word == 1 },
			get: func(s *subject, v *value) bool {
				v.q, v.word = s.expected.Value, 0
				if s.expected.Open {
					v.word = 1
				}
				return s.expected.Open || v.q.Known()
			}},
		{shape: toleranceShape, label: "tolerance such as ±8%",
			set: func(s *subject, v *value) { s.expected.Within = v.within },
			get: func(s *subject, v *value) bool { v.within = s.expected.Within; return v.within.Above.Known() }}},
		about(func(s *subject) *string { return &s.expected.By }, func(s *subject) *time.Time { return &s.expected.When })...),
		called("text", textAttribute(func(s *subject) *string { return &s.expected.Text }, "where it comes from, in quotation marks", false))),
	likely: lineUnit,
	check:  func(c *cursor) *problem { return firstProblem(checkMode(c), checkWithin(c)) }}

func withSet(a attribute, set func(s *subject, v *value), get func(s *subject, v *value) bool) attribute {
	a.set, a.get = set, get
	return a
}

// outcomeWords are the values of a reading that are no numbers.
var outcomeWords = []string{"open", "rings", "silent", "hot", "cold"}

var outcomes = []board.Outcome{board.Open, board.Closed, board.NotClosed, board.Closed, board.NotClosed}

var valueOfReading = attribute{words: outcomeWords, shape: measuredShape, units: measuredUnits,
	label: "value, open, rings, silent, hot or cold", must: true,
	set: func(s *subject, v *value) {
		s.reading.Value = v.q
		if v.word > 0 {
			s.reading.Outcome = outcomes[v.word-1]
		}
	},
	get: func(s *subject, v *value) bool {
		v.q, v.word = s.reading.Value, 0
		if s.reading.Outcome != board.Measured {
			v.word = outcomeIndex(s.reading.Mode, s.reading.Outcome)
		}
		return v.word > 0 || v.q.Known()
	}}

var polarityAttribute = attribute{words: []string{"red-on-ground", "black-on-ground"}, shape: wordShape, label: "polarity",
	set: func(s *subject, v *value) { s.reading.RedGround, s.reading.BlackGround = v.word == 1, v.word == 2 },
	get: func(s *subject, v *value) bool {
		v.word = 1
		if s.reading.BlackGround {
			v.word = 2
		}
		return s.reading.RedGround || s.reading.BlackGround
	}}

var secondProbe = attribute{word: "to", shape: targetShape, label: "second probe, if not on ground",
	set: func(s *subject, v *value) { s.reading.To = s.keepTarget(v.targets[0]) },
	get: func(s *subject, v *value) bool { return v.target(s.reading.To) }}

var readingForm = form{word: "reading", title: "a reading", lead: 2,
	doc:     "one measured value",
	example: "reading diode VMAIN 0.414V red-on-ground good meter M1 specimen board-1 by bench-1 when 2026-02-03",
	attributes: append(append([]attribute{
		withSet(modeAttribute, func(s *subject, v *value) { s.reading.Mode = board.Mode(v.word) },
			func(s *subject, v *value) bool { v.word = int(s.reading.Mode); return v.word > 0 }),
		withSet(targetAttribute, func(s *subject, v *value) { s.reading.On = s.keepTarget(v.targets[0]) },
			func(s *subject, v *value) bool { return v.target(s.reading.On) }),
		secondProbe, valueOfReading, polarityAttribute,
		{word: "good", shape: flagShape, label: "taken on a board known to be good",
			set: func(s *subject, v *value) { s.reading.Good = true },
			get: func(s *subject, v *value) bool { return s.reading.Good }},
		nameAttribute("meter", "the meter", func(s *subject) *string { return &s.reading.Meter }),
		{word: "state", shape: namesShape, label: "state of the device", many: true,
			set: func(s *subject, v *value) { s.reading.State = s.keepAll(v.names) },
			get: func(s *subject, v *value) bool { return v.list(s.reading.State) }},
		nameAttribute("job", "the job", func(s *subject) *string { return &s.reading.Job }),
		called("specimen", nameAttribute("specimen", "which of several like boards", func(s *subject) *string { return &s.reading.Specimen }))},
		about(func(s *subject) *string { return &s.reading.By }, func(s *subject) *time.Time { return &s.reading.When })...),
		textAttribute(func(s *subject) *string { return &s.reading.Text }, "remark in quotation marks", false)),
	likely: lineUnit,
	check:  checkMode}

var noteForm = form{word: "note", title: "a note",
	doc:     "free text about anything",
	example: `note on SH12,U100 "preheat from below first" tagged heat by bench-1 when 2026-01-14`,
	attributes: append([]attribute{
		{word: "on", shape: targetsShape, label: "what it is about", must: true,
			set: func(s *subject, v *value) { s.note.On = s.keepTargets(v.targets) },
			get: func(s *subject, v *value) bool { return v.targetList(s.note.On) }},
		textAttribute(func(s *subject) *string { return &s.note.Text }, "the text in quotation marks", true),
		{word: "tagged", shape: namesShape, label: "tags", many: true,
			set: func(s *subject, v *value) { s.note.Tags = s.keepAll(v.names) },
			get: func(s *subject, v *value) bool { return v.list(s.note.Tags) }}},
		about(func(s *subject) *string { return &s.note.By }, func(s *subject) *time.Time { return &s.note.When })...)}

var continuityForm = form{word: "continuity", title: "a continuity", lead: 2,
	doc:     "two places ring through: they are on one net",
	example: "continuity C4407.1 P11 by bench-1 when 2026-03-02",
	attributes: append([]attribute{
		{shape: targetShape, label: "one place", must: true, names: true},
		{shape: targetShape, label: "the other place", must: true, names: true}},
		about(func(s *subject) *string { return &s.link.By }, func(s *subject) *time.Time { return &s.link.When })...)}

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
	v.q, p = c.quantity(t, s, unit)
	switch words := likelyWord(s, a.words, otherWords); {
	case p == nil:
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

func (v *value) target(t board.Target) bool {
	v.targets = append(v.targets[:0], t)
	return t != board.Target{}
}

func (v *value) targetList(t []board.Target) bool {
	v.targets = append(v.targets[:0], t...)
	return len(t) > 0
}
