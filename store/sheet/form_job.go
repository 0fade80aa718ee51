package sheet

import (
	"strings"
	"time"

	"netlore/query/diag"
	"netlore/store/board"
)

func quantityAttribute(word, label string, unit board.Unit, of func(s *subject) *board.Quantity) attribute {
	return attribute{word: word, shape: quantityShape, label: label, units: []board.Unit{unit},
		set: func(s *subject, v *value) { *of(s) = v.q },
		get: func(s *subject, v *value) bool { return v.quantity(*of(s)) }}
}

func timeAttribute(word, label string, of func(s *subject) *time.Time) attribute {
	return attribute{word: word, shape: timeShape, label: label,
		set: func(s *subject, v *value) { *of(s) = v.when },
		get: func(s *subject, v *value) bool { v.when = *of(s); return !v.when.IsZero() }}
}

var jobForm = form{word: "job", title: "a job", lead: 1, named: true, memberWord: 1,
	doc: "one device on the bench; indented lines are numbered steps",
	example: "job 1042 of Heron \"draws amps at once\" supply 4V limit 2.5A draw 2.4A opened 2026-03-16 by bench-1\n" +
		"  1 draw 2.4A\n  2 reading diode upper:VMAIN 3mV\n  3 separated",
	attributes: []attribute{nameOfIt("the number of the job"),
		called("device", nameAttribute("of", "the stack or board on the bench", func(s *subject) *string { return &s.job.Of })),
		textAttribute(func(s *subject) *string { return &s.job.Symptom }, "symptom in quotation marks", false),
		quantityAttribute("supply", "voltage of the supply", board.Volt, func(s *subject) *board.Quantity { return &s.job.Supply }),
		positive(quantityAttribute("limit", "current limit of the supply", board.Ampere, func(s *subject) *board.Quantity { return &s.job.Limit })),
		quantityAttribute("draw", "current drawn", board.Ampere, func(s *subject) *board.Quantity { return &s.job.Draw }),
		called("opening date", timeAttribute("opened", "date", func(s *subject) *time.Time { return &s.job.Opened })),
		called("closing date", timeAttribute("closed", "date", func(s *subject) *time.Time { return &s.job.Closed })),
		{word: "culprit", shape: targetsShape, label: "what was bad", many: true,
			set: func(s *subject, v *value) { s.job.Culprits = s.keepTargets(v.targets) },
			get: func(s *subject, v *value) bool { return v.targetList(s.job.Culprits) }},
		called("outcome", nameAttribute("outcome", "how it ended, in one word", func(s *subject) *string { return &s.job.Outcome })),
		{word: "remark", shape: remarkShape, label: "remark on the outcome",
			set: func(s *subject, v *value) { s.job.Remark = s.keep(v.text) },
			get: func(s *subject, v *value) bool { v.text = s.job.Remark; return v.text != "" }},
		called("author", nameAttribute("by", "who works on it", func(s *subject) *string { return &s.job.By })),
	},
	members: stepIDs()}

// stepIDs lists the forms of all steps.
func stepIDs() []formID {
	var all []formID
	for i := range stepForms {
		all = append(all, formStep+formID(i))
	}
	return all
}

// remarkShape is text after a word: quotation marks alone do not tell it.
var remarkShape = &shape{read: readText, print: printQuoted, want: "text in quotation marks", same: always}

// The steps of a job. A step is kept as canonical text and taken apart; it is
// written from the text.
var (
	stepNumber  = attribute{shape: wholeShape, label: "the number of the step", least: 1, most: 1_000_000, must: true}
	stepTargets = attribute{shape: targetsShape, label: "what it was done to", must: true, set: setTargets}
	stepPlace   = attribute{shape: targetShape, label: "where", must: true, set: setTargets}
	stepSeen    = attribute{shape: targetsShape, label: "where", optional: true, set: setTargets}
	// stepHalf is the board of a stack that is fed alone.
	stepHalf = attribute{shape: halfShape, label: "role of the board that is fed alone", optional: true, set: func(s *subject, v *value) { s.step.Half = s.keep(v.text) }}
	stepGone = attribute{words: []string{"gone", "still"}, shape: wordShape, label: "whether the short is gone after it, or still there", noun: "outcome",
		set: func(s *subject, v *value) { s.step.Gone, s.step.Still = v.word == 1, v.word == 2 }}
	stepNothing = attribute{word: "nothing", shape: flagShape, label: "nothing was seen", set: func(s *subject, _ *value) { s.step.Nothing = true }}
	stepTo      = attribute{word: "to", shape: targetShape, label: "second probe, if not on ground",
		set: func(s *subject, v *value) { s.step.To = s.keepTarget(v.targets[0]) }}
	stepMeter = attribute{word: "meter", shape: nameShape, label: "the meter", set: func(s *subject, v *value) { s.step.Meter = s.keep(v.text) }}
	stepText  = attribute{shape: textShape, label: "remark in quotation marks", set: func(s *subject, v *value) { s.step.Remark = s.keep(v.text) }}
	stepWhen  = attribute{word: "when", shape: timeShape, label: "date, or date and time", set: func(s *subject, v *value) { s.step.When = v.when }}
	stepBy    = attribute{word: "by", shape: nameShape, label: "who did it", noun: "author", set: func(s *subject, v *value) { s.step.By = s.keep(v.text) }}
	stepAmps  = attribute{shape: quantityShape, label: "current", units: []board.Unit{board.Ampere},
		set: func(s *subject, v *value) { *s.amps() = v.q }}
	stepVolts = attribute{shape: quantityShape, label: "voltage", units: []board.Unit{board.Volt}, set: func(s *subject, v *value) { s.step.Volts = v.q }}
	stepTime  = attribute{shape: quantityShape, label: "how long", noun: "time", units: []board.Unit{board.Second}, positive: true,
		set: func(s *subject, v *value) { s.step.Lasting = v.q }}
	stepOhms = attribute{words: []string{"open"}, shape: ohmsShape, label: "resistance, or open", units: []board.Unit{board.Ohm}, must: true,
		set: func(s *subject, v *value) { s.step.Mode = board.Resistance; s.setRead(v) }}
)

func setTargets(s *subject, v *value) { s.step.On = s.keepTargets(v.targets) }

// setRead keeps what a meter showed.
func (s *subject) setRead(v *value) {
	s.step.Value = v.q
	if v.word > 0 {
		s.step.Outcome = outcomes[v.word-1]
	}
}

// amps is where a current goes: it is the value of a draw.
func (s *subject) amps() *board.Quantity {
	if s.step.Kind == board.StepDraw {
		return &s.step.Value
	}
	return &s.step.Amps
}

// halfShape is a role that stands first and is no number: R5.17.3.
var halfShape = &shape{read: readHalf, print: printText, want: "the role of a board", same: sameName}

func readHalf(c *cursor, a *attribute, v *value) *problem {
	if t, ok := c.peek(); !ok || t.marks&quoted != 0 || startsNumber(c.f.tokenText(t)) {
		return c.missing(a)
	}
	t := c.toks[c.i]
	p := readName(c, a, v)
	if role, _, ok := strings.Cut(c.f.plain(t), ":"); p != nil && ok && board.BareName(role) {
		p.Message, p.Help, p.Edits = "a draw is of a whole board, not of "+diag.Quote(c.f.plain(t)), []string{"did you mean " + role + "?"}, []diag.Edit{{Range: p.Range, New: role}}
	}
	return p
}

var ohmsShape = &shape{read: readOhms, print: printMeasured, want: "a resistance such as 4.7kohm, or open", bare: bareQuantity}

func readOhms(c *cursor, a *attribute, v *value) *problem {
	if t, ok := c.peek(); ok && c.f.tokenText(t) == "open" {
		c.i++
		v.word = 1
		return nil
	}
	t, s, ok := c.takeBare()
	if !ok {
		return c.missing(a)
	}
	var p *problem
	v.q, p = c.quantity(t, s, board.Ohm)
	return p
}

// step makes the form of one kind of step. The first lead attributes after the
// number stand in their order.
func step(word string, lead int, attributes ...attribute) form {
	all := append([]attribute{stepNumber}, attributes...)
	return form{word: word, title: "a step", lead: 1 + lead, wordAt: 1, attributes: append(all, stepBy, stepWhen, stepText)}
}

func positive(a attribute) attribute { a.positive = true; return a }

func must(a attribute) attribute { a.must = true; return a }

var stepForms = []form{
	step("draw", 1, stepHalf, must(stepAmps)),
	readingStep(),
	step("tape", 1, stepTargets, stepGone),
	step("untape", 1, stepTargets, stepGone),
	step("separated", 0),
	step("joined", 0, stepGone),
	step("cover-off", 1, stepTargets),
	step("cover-on", 1, stepTargets),
	step("lifted", 1, stepTargets, stepGone),
	step("fitted", 1, stepTargets, stepGone),
	step("removed", 1, stepTargets, stepGone),
	step("replaced", 1, stepTargets, stepGone),
	step("inject", 1, stepPlace, stepVolts, stepAmps, stepTime),
	step("freeze", 1, stepSeen, stepNothing),
	step("hot", 1, stepSeen, stepNothing),
	step("cold", 1, stepSeen, stepNothing),
	step("look", 1, stepSeen, stepNothing),
	step("resistance", 1, stepPlace, stepTo, stepOhms, stepMeter),
	step("note", 0),
}

func readingStep() form {
	mode, target, read, polarity := modeAttribute, targetAttribute, valueOfReading, polarityAttribute
	mode.set = func(s *subject, v *value) { s.step.Mode = board.Mode(v.word) }
	target.set = setTargets
	read.set = (*subject).setRead
	polarity.set = func(s *subject, v *value) { s.step.RedGround, s.step.BlackGround = v.word == 1, v.word == 2 }
	f := step("reading", 2, mode, target, stepTo, read, polarity, stepMeter)
	f.check, f.likely = checkMode, lineUnit
	return f
}

func (s *subject) keepTargets(targets []board.Target) []board.Target {
	kept := make([]board.Target, len(targets))
	for i, t := range targets {
		kept[i] = s.keepTarget(t)
	}
	return kept
}

func (s *subject) keepTarget(t board.Target) board.Target {
	return board.Target{Kind: t.Kind, Role: s.keep(t.Role), Name: s.keep(t.Name), Pin: s.keep(t.Pin)}
}
