package run

import (
	"netlore/query/readings"
	"netlore/query/words"
	"netlore/store/board"
)

// learned is what readings of known-good boards say is expected on this member,
// each at the very place where it was taken.
func (s *site) learned() *readings.Learned[thing] {
	if s.good == nil {
		s.good = readings.Learn(s.readings(), s.placeOf)
	}
	return s.good
}

// learnedAt is what was learned of a place in a mode, else of its net, and of
// which of the two.
func (s *site) learnedAt(place thing, mode board.Mode, meter string) (readings.Expectation, thing, bool) {
	if e, ok := s.learned().At(place, mode, meter); ok {
		return e, place, true
	}
	net := thing{words.Nets, int32(s.netOf(place))}
	if net.id == board.None {
		return readings.Expectation{}, thing{}, false
	}
	e, ok := s.learned().At(net, mode, meter)
	return e, net, ok
}

// expects is what is expected where and how a reading was taken: what is stated,
// else what was learned for its meter.
func (x *read) expects(r *board.Reading) []board.Expected {
	if x.expected != nil {
		return x.expected
	}
	if e, _, ok := x.site.learnedAt(x.place, x.mode, r.Meter); ok {
		return []board.Expected{e.Expected}
	}
	return nil
}

// meter is what is stated of the meter of a reading.
func (s *site) meter(r *board.Reading) *board.Meter {
	m := board.FindMeter(s.assembly.scope.Meters, r.Meter)
	return &m
}

// learnedFrom are the statements that what was learned of a place rests on.
func (s *site) learnedFrom(place thing, mode board.Mode) []board.Statement {
	_, of, ok := s.learnedAt(place, mode, "")
	if !ok {
		return nil
	}
	var all []board.Statement
	for _, id := range s.learned().From(of, mode) {
		r := &s.readings()[id]
		all = appendNew(all, board.Statement{Head: "reading " + mode.String() + " " + r.On.Written()})
	}
	return all
}
