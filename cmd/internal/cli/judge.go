package cli

import (
	"slices"
	"strings"

	"netlore/query/readings"
	"netlore/store/board"
)

// judgement is how a reading in a step lies to what is expected there.
type judgement struct {
	set      readings.Verdicts
	why      string           // there is more than one verdict
	expected []board.Expected // empty of a reading that is not judged
	off      board.Quantity   // from what is expected; not known unless that is one number
}

// judge is the verdict on a reading in a step. It is empty where nothing is
// expected, or it was not read against ground with the usual polarity.
func judge(all []benchBoard, s *board.Step) judgement {
	meter := meterOf(all, s.Meter)
	if s.Kind != board.StepReading && s.Kind != board.StepResistance || len(s.On) != 1 || s.To != (board.Target{}) ||
		readings.Reversed(s.Mode, meter.BlackOnGround(s.Mode, s.RedGround, s.BlackGround)) {
		return judgement{}
	}
	j := judgement{expected: expectedOn(all, s.On[0], s.Mode, s.Meter)}
	j.set, j.why = readings.Judge(&board.Reading{Mode: s.Mode, On: s.On[0], Outcome: s.Outcome, Value: s.Value}, j.expected, meter)
	if len(j.expected) == 1 && !j.expected[0].Open && s.Outcome == board.Measured {
		less := j.expected[0].Value
		less.Coef = -less.Coef
		j.off, _ = s.Value.Add(less)
	}
	return j
}

// judged is the verdict on a reading in a step, and what is expected there. Both
// are empty where there is none.
func judged(all []benchBoard, s *board.Step) (verdict, expected string) {
	j := judge(all, s)
	if len(j.expected) == 0 {
		return "", ""
	}
	return j.verdict(), expectedText(j.expected)
}

func (j *judgement) verdict() string {
	if j.why != "" {
		return j.set.String() + " (" + j.why + ")"
	}
	return j.set.String()
}

// words is the verdict with the difference: "low, 0.1V below the expected
// 0.412V".
func (j *judgement) words(s *board.Step) string {
	switch {
	case j.set == 0:
		return "no verdict"
	case len(j.expected) > 0:
		return j.verdict() + ", " + j.difference() + "expected " + expectedText(j.expected)
	case j.set.Is(readings.Of(readings.Shorted)) != board.False:
		return "next to nothing, and nothing is expected here: possibly shorted"
	}
	return "nothing is expected here"
}

func (j *judgement) difference() string {
	off := j.off
	switch {
	case !off.Known():
		return ""
	case off.Coef == 0:
		return "just the "
	case off.Coef < 0:
		off.Coef = -off.Coef
		return off.String() + " below the "
	}
	return off.String() + " above the "
}

// expectedOn is what is expected in a mode at a place on the bench.
func expectedOn(all []benchBoard, on board.Target, mode board.Mode, meter string) []board.Expected {
	for _, m := range all {
		if on.Role != "" && on.Role != m.role {
			continue
		}
		if hold := m.expectedAt(on, mode, meter); len(hold) > 0 {
			return hold
		}
	}
	return nil
}

// place is a thing on a board, whatever names it has.
type place struct {
	kind board.TargetKind
	net  board.NetID // of a net
	name string      // of anything else
}

func placeOf(t board.Target, found board.Found) place {
	if found.Kinds[0] == board.OnNet {
		return place{board.OnNet, found.Net, ""}
	}
	return place{found.Kinds[0], board.None, nameOf(t)}
}

// expectedAt is what is stated in a mode of the thing itself, else of its net;
// else what was learned of the two, for a meter.
func (m *benchBoard) expectedAt(t board.Target, mode board.Mode, meter string) []board.Expected {
	found := m.b.Find(t)
	if len(found.Kinds) == 0 {
		return nil
	}
	at := func(p place) []board.Expected {
		return readings.Expected(slices.DeleteFunc(slices.Clone(m.expected), func(e board.Expected) bool {
			on := m.b.Find(e.On)
			return e.Mode != mode || len(on.Kinds) == 0 || placeOf(e.On, on) != p
		}))
	}
	places := []place{placeOf(t, found)}
	if net := (place{board.OnNet, found.Net, ""}); found.Net != board.None && places[0] != net {
		places = append(places, net)
	}
	for _, p := range places {
		if list := at(p); list != nil {
			return list
		}
	}
	for _, p := range places {
		if e, ok := m.learned().At(p, mode, meter); ok {
			e.By = "good boards"
			return []board.Expected{e.Expected}
		}
	}
	return nil
}

func expectedText(list []board.Expected) string {
	var all []string
	for _, e := range list {
		text := "open"
		if !e.Open {
			text = strings.TrimSpace(e.Value.String() + " " + e.Within.String())
		}
		if e.By != "" {
			text += " by " + e.By
		}
		all = append(all, text)
	}
	return strings.Join(all, ", or ")
}
