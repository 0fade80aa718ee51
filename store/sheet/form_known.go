package sheet

import (
	"time"

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

func (v *value) target(t board.Target) bool {
	v.targets = append(v.targets[:0], t)
	return t != board.Target{}
}

func (v *value) targetList(t []board.Target) bool {
	v.targets = append(v.targets[:0], t...)
	return len(t) > 0
}
