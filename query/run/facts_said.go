package run

import (
	"cmp"
	"time"

	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

var readingFacts = looks{
	words.Target:   func(s *site, id int32) fact { return s.target(s.readings()[id].On, s.readings()[id].To) },
	words.Mode:     func(s *site, id int32) fact { m := s.readings()[id].Mode; return word(m.String(), m) },
	words.Value:    readingValue,
	words.Verdict:  readingVerdict,
	words.State:    func(s *site, id int32) fact { return texts(s.readings()[id].State) },
	words.Meter:    func(s *site, id int32) fact { return must(s.readings()[id].Meter) },
	words.Job:      func(s *site, id int32) fact { return stated(s.readings()[id].Job) },
	words.Specimen: func(s *site, id int32) fact { return stated(s.readings()[id].Specimen) },
	words.Author:   func(s *site, id int32) fact { return must(s.readings()[id].By) },
	words.Time:     readingTime,
	words.Text:     func(s *site, id int32) fact { return stated(s.readings()[id].Text) },
}

var expectedFacts = looks{
	words.Target:    func(s *site, id int32) fact { return s.target(s.k.Expected[id].On, board.Target{}) },
	words.Mode:      func(s *site, id int32) fact { m := s.k.Expected[id].Mode; return word(m.String(), m) },
	words.Value:     expectedValue,
	words.Tolerance: tolerance,
	words.Author:    func(s *site, id int32) fact { return must(s.k.Expected[id].By) },
	words.Time:      func(s *site, id int32) fact { return moment(s.k.Expected[id].When) },
	words.Text:      func(s *site, id int32) fact { return stated(s.k.Expected[id].Text) },
}

var noteFacts = looks{
	words.Target: noteTargets,
	words.Text:   func(s *site, id int32) fact { return stated(s.k.Notes[id].Text) },
	words.Tag:    func(s *site, id int32) fact { return texts(s.k.Notes[id].Tags) },
	words.Author: func(s *site, id int32) fact { return must(s.k.Notes[id].By) },
	words.Time:   func(s *site, id int32) fact { return moment(s.k.Notes[id].When) },
}

var jobFacts = looks{
	words.Name:    named(words.Jobs),
	words.Device:  func(s *site, id int32) fact { return must(s.jobs()[id].Of) },
	words.Symptom: func(s *site, id int32) fact { return stated(s.jobs()[id].Symptom) },
	words.Opened:  func(s *site, id int32) fact { return moment(s.jobs()[id].Opened) },
	words.Closed:  closed,
	words.Supply:  func(s *site, id int32) fact { return quantity(s.jobs()[id].Supply) },
	words.Limit:   func(s *site, id int32) fact { return quantity(s.jobs()[id].Limit) },
	words.Draw:    func(s *site, id int32) fact { return quantity(s.jobs()[id].Draw) },
	words.Steps:   func(s *site, id int32) fact { return count(len(s.jobs()[id].Steps)) },
	words.Culprit: culprits,
	words.Outcome: func(s *site, id int32) fact { return stated(s.jobs()[id].Outcome) },
	words.Remark:  func(s *site, id int32) fact { return stated(s.jobs()[id].Remark) },
	words.Author:  func(s *site, id int32) fact { return must(s.jobs()[id].By) },
}

var observationFacts = looks{
	words.Name: func(s *site, id int32) fact {
		name := s.name(words.Observations, id)
		return single(value.OfName("", name, words.QuoteName(name)))
	},
	words.Job:    func(s *site, id int32) fact { return stated(s.observed(id).job.ID) },
	words.Done:   func(s *site, id int32) fact { return stated(s.observed(id).Kind.String()) },
	words.Target: observationTargets,
	words.Mode:   observationMode,
	words.Value:  observationValue,
	words.State:  func(s *site, id int32) fact { return texts(s.observed(id).state) },
	words.Text:   func(s *site, id int32) fact { return stated(s.observed(id).Remark) },
	words.Author: func(s *site, id int32) fact { return must(cmp.Or(s.observed(id).By, s.observed(id).job.By)) },
	words.Time:   func(s *site, id int32) fact { return moment(s.observed(id).When) },
}

var boardFacts = looks{
	words.Name:       named(words.Boards),
	words.Revision:   func(s *site, _ int32) fact { return stated(s.b.Revision) },
	words.Text:       func(s *site, _ int32) fact { return stated(s.b.Title) },
	words.Layers:     layers,
	words.Width:      func(s *site, _ int32) fact { return length(s.b.Size.W, s.b.Size.W != 0, notStated) },
	words.Height:     func(s *site, _ int32) fact { return length(s.b.Size.H, s.b.Size.H != 0, notStated) },
	words.PartCount:  func(s *site, _ int32) fact { return count(len(s.b.Parts)) },
	words.PinCount:   func(s *site, _ int32) fact { return count(len(s.b.Pins)) },
	words.NetCount:   func(s *site, _ int32) fact { return count(len(s.b.Nets)) },
	words.PadCount:   func(s *site, _ int32) fact { return count(len(s.b.Pads)) },
	words.CoverCount: func(s *site, _ int32) fact { return count(len(s.b.Covers)) },
}

// target is what a statement is about, in one cell: "VMAIN", "P11 to P12".
func (s *site) target(on, to board.Target) fact {
	role := cmp.Or(on.Role, s.role)
	shown := s.targetText(on, role)
	if to != (board.Target{}) {
		shown += " to " + s.targetText(to, cmp.Or(to.Role, s.role))
	}
	return single(value.OfTarget(role, bareTarget(on), shown))
}

// targetValue is a target that says its role itself.
func (s *site) targetValue(t board.Target) value.Value {
	return value.OfTarget(t.Role, bareTarget(t), s.targetText(t, t.Role))
}

// targetText is a target in the form in which it can be asked for. Its kind is
// said only where the name alone would mean something else.
func (s *site) targetText(t board.Target, role string) string {
	bare := board.Target{Name: t.Name, Pin: t.Pin}
	meant, _ := s.find(t)
	alone, ok := s.find(bare)
	text := words.QuoteName(bareTarget(t))
	if role != "" {
		text = role + ":" + text
	}
	if t.Kind != board.AnyTarget && (!ok || alone != meant) {
		text = t.Kind.String() + " " + text
	}
	return text
}

func bareTarget(t board.Target) string {
	if t.Pin == "" {
		return t.Name
	}
	return t.Name + "." + t.Pin
}

// readingTime is when a reading was taken. A step of a job that was opened and
// closed in one day was taken on that day.
func readingTime(s *site, id int32) fact {
	r := &s.readings()[id]
	if day := r.Opened.Truncate(24 * time.Hour); r.When.IsZero() && day.Equal(r.Closed.Truncate(24*time.Hour)) {
		return moment(day)
	}
	return moment(r.When)
}

func observationTargets(s *site, id int32) fact {
	o := s.observed(id)
	var all several
	for _, t := range o.On {
		all.add(s.targetValue(t))
	}
	if o.To != (board.Target{}) {
		all.add(s.targetValue(o.To))
	}
	return fact{sure: all.value()}
}

// observationMode is none for a step that measures nothing.
func observationMode(s *site, id int32) fact {
	if m := s.observed(id).Mode; m != board.ModeUnknown {
		return word(m.String(), m)
	}
	return fact{}
}

func observationValue(s *site, id int32) fact {
	switch o := s.observed(id); {
	case o.Outcome != board.Measured:
		return word(o.Outcome.Word(o.Mode), o.Outcome)
	case o.Value.Known():
		return quantity(o.Value)
	}
	return fact{}
}

// readingValue is a number, or the word for what the meter showed instead.
func readingValue(s *site, id int32) fact {
	r := &s.readings()[id]
	if r.Outcome != board.Measured {
		return word(r.Outcome.Word(r.Mode), r.Outcome)
	}
	return quantity(r.Value)
}

func expectedValue(s *site, id int32) fact {
	e := &s.k.Expected[id]
	if e.Open {
		return word(board.Open.Word(e.Mode), board.Open)
	}
	return quantity(e.Value)
}

// tolerance compares by its wider side and is shown as it is stated.
func tolerance(s *site, id int32) fact {
	within := s.k.Expected[id].Within
	if within == (board.Tolerance{}) {
		return fact{gap: notStated}
	}
	wider := within.Above
	if within.Below.Compare(wider) > 0 {
		wider = within.Below
	}
	return fact{sure: value.OfQuantity(wider), gap: &gap{shown: value.OfText(within.String())}}
}

func noteTargets(s *site, id int32) fact {
	var all several
	for _, t := range s.k.Notes[id].On {
		all.add(s.target(t, board.Target{}).sure)
	}
	return fact{sure: all.value()}
}

// closed is none for a job that is still open.
func closed(s *site, id int32) fact {
	if s.jobs()[id].Closed.IsZero() {
		return fact{}
	}
	return moment(s.jobs()[id].Closed)
}

func culprits(s *site, id int32) fact {
	var all several
	for _, t := range s.jobs()[id].Culprits {
		all.add(s.targetValue(t))
	}
	return fact{sure: all.value()}
}

func layers(s *site, _ int32) fact {
	if s.b.Layers == 0 {
		return fact{gap: notStated}
	}
	return count(int(s.b.Layers))
}
