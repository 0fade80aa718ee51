package sheet

import (
	"time"

	"netlore/store/board"
)

var meterForm = form{word: "meter", title: "a meter", lead: 1, named: true,
	doc:     "a meter of the shop and how it is used in diode mode; it is about no board",
	example: `meter M1 "bench meter, left" test 1mA open 3.2V shows mV leads 0.2ohm red-on-ground address 10.0.0.7`,
	attributes: append([]attribute{nameOfIt("the name that readings have for it"),
		called("text", textAttribute(func(s *subject) *string { return &s.meter.Title }, "which it is, in quotation marks", false)),
		called("test current", positive(quantityAttribute("test", "test current of diode mode", board.Ampere, func(s *subject) *board.Quantity { return &s.meter.Test }))),
		called("open-circuit voltage", positive(quantityAttribute("open", "voltage of diode mode with the leads apart", board.Volt, func(s *subject) *board.Quantity { return &s.meter.Open }))),
		{word: "shows", words: meterUnits, shape: wordShape, label: "unit that diode mode displays", noun: "display unit",
			set: func(s *subject, v *value) { s.meter.Shows = meterUnits[v.word-1] },
			get: func(s *subject, v *value) bool {
				v.word = 0
				for i, unit := range meterUnits {
					if unit == s.meter.Shows {
						v.word = i + 1
					}
				}
				return v.word > 0
			}},
		positive(quantityAttribute("leads", "resistance of both leads together", board.Ohm, func(s *subject) *board.Quantity { return &s.meter.Leads })),
		withSet(polarityAttribute, func(s *subject, v *value) { s.meter.RedGround, s.meter.BlackGround = v.word == 1, v.word == 2 },
			func(s *subject, v *value) bool {
				v.word = 1
				if s.meter.BlackGround {
					v.word = 2
				}
				return s.meter.RedGround || s.meter.BlackGround
			}),
		nameAttribute("address", "address on the network", func(s *subject) *string { return &s.meter.Address })},
		about(func(s *subject) *string { return &s.meter.By }, func(s *subject) *time.Time { return &s.meter.When })...)}

// meterUnits are what meters display in diode mode.
var meterUnits = []string{"V", "mV"}

func (r *reader) readMeter(group []*block) {
	m := board.Meter{Name: r.bu.Intern(group[0].name)}
	r.s.meter = &m
	r.take()
	r.content.Knowledge.Meters = append(r.content.Knowledge.Meters, m)
}
