package query

import (
	"strings"

	"netlore/store/board"
)

// tell adds a step to the story. Notes are the shop's own.
func (r *Report) tell(s *board.Step, notes bool) {
	switch s.Kind {
	case board.StepInject:
		r.Injected = true
	case board.StepLifted, board.StepFitted, board.StepRemoved, board.StepReplaced, board.StepCoverOff:
		r.Heat = true
	case board.StepNote:
		if !notes {
			return
		}
	}
	text := stepText(s)
	if s.Remark != "" && (notes || s.Kind == board.StepLook) {
		text += ": " + s.Remark
	}
	if text != "" {
		r.Story = append(r.Story, text)
	}
}

// done are the steps that are told by a verb and what it was done to.
var done = map[board.StepKind]string{
	board.StepTape: "taped over", board.StepUntape: "took the tape off", board.StepCoverOff: "took off", board.StepCoverOn: "put back",
	board.StepLifted: "lifted", board.StepFitted: "put back", board.StepRemoved: "removed", board.StepReplaced: "replaced",
	board.StepFreeze: "froze", board.StepLook: "looked at",
	board.StepSeparated: "separated the halves", board.StepJoined: "joined the halves again", board.StepNote: "note",
}

// stepText is a step in plain words.
func stepText(s *board.Step) string {
	on := names(s.On)
	switch s.Kind {
	case board.StepDraw:
		if s.Half != "" {
			return "the supply showed " + known(s.Value) + ", " + s.Half + " alone"
		}
		return "the supply showed " + known(s.Value)
	case board.StepReading, board.StepResistance:
		return "read " + readText(s) + " at " + on + toText(s.To)
	case board.StepInject:
		return "injected " + injectText(s) + " into " + on
	case board.StepHot, board.StepCold:
		if s.Nothing || on == "" {
			return "nothing was " + s.Kind.String()
		}
		return on + " was " + s.Kind.String()
	case board.StepFreeze, board.StepLook:
		if s.Nothing {
			return strings.TrimSpace(done[s.Kind]+" "+on) + " and saw nothing"
		}
	}
	return strings.TrimSpace(done[s.Kind]+" "+on) + shortText(s)
}

// shortText says whether the short was gone after a step.
func shortText(s *board.Step) string {
	switch {
	case s.Gone:
		return ", and the short was gone"
	case s.Still:
		return ", and the short was still there"
	}
	return ""
}

func names(targets []board.Target) string {
	var all []string
	for _, t := range targets {
		all = append(all, t.String())
	}
	return strings.Join(all, ", ")
}

func toText(t board.Target) string {
	if t == (board.Target{}) {
		return ""
	}
	return " to " + t.String()
}

func readText(s *board.Step) string {
	if s.Outcome != board.Measured {
		return s.Outcome.Word(s.Mode) + " in " + s.Mode.String()
	}
	if s.Mode == board.Diode {
		return s.Value.String() + " in diode mode"
	}
	return s.Value.String()
}

func injectText(s *board.Step) string {
	var all []string
	for _, q := range []board.Quantity{s.Volts, s.Amps} {
		if q.Known() {
			all = append(all, q.String())
		}
	}
	text := strings.Join(all, ", ")
	if s.Lasting.Known() {
		text += " for " + s.Lasting.String()
	}
	return text
}
