package board

// limits are what a meter can show of a dead or a live handheld in a mode,
// generously. Common practice, no source: a diode test reads a few volts at
// most, and a few millivolts below zero where a meter is off, and what runs on a battery has neither a kilovolt nor a hundred ampere.
var limits = map[Mode]struct {
	least, most Quantity
	why         string
}{
	Diode:      {Quantity{Coef: -50, Exp: -3, Unit: Volt}, volts(10), "a meter in diode test shows a few volts at most"},
	Resistance: {ohms(0), Quantity{Coef: 1, Exp: 15, Unit: Ohm}, "a resistance is not below zero; swap the leads, or look for a voltage that is left on the net"},
	Continuity: {ohms(0), Quantity{Coef: 1, Exp: 15, Unit: Ohm}, "a resistance is not below zero; swap the leads, or look for a voltage that is left on the net"},
	Voltage:    {volts(-1000), volts(1000), "no handheld has a kilovolt on it"},
	Current:    {amps(-100), amps(100), "no handheld draws a hundred ampere"},
}

func volts(n int64) Quantity { return Quantity{Coef: n, Unit: Volt} }
func ohms(n int64) Quantity  { return Quantity{Coef: n, Unit: Ohm} }
func amps(n int64) Quantity  { return Quantity{Coef: n, Unit: Ampere} }

// Impossible says why a value cannot have been read in a mode; it is empty if it
// can, or if the value is of another unit than the mode reads in.
func Impossible(m Mode, q Quantity) string {
	limit, ok := limits[m]
	switch {
	case !ok || !q.SameUnit(limit.least) || q.Compare(limit.least) >= 0 && q.Compare(limit.most) <= 0:
		return ""
	case m == Diode && q.Coef < 0:
		return "a diode test is not below zero; look for a voltage that is left on the net, and discharge it"
	}
	return limit.why
}

// Impossible says why the values of a step cannot be; it is empty if they can.
func (s *Step) Impossible() string {
	switch {
	case s.Kind == StepDraw && s.Value.Known() && s.Value.Coef < 0:
		return "a supply does not draw less than nothing; look at its leads"
	case s.Kind == StepDraw:
		return Impossible(Current, s.Value)
	case s.Kind == StepInject && s.Volts.Known() && (s.Volts.Coef <= 0 || s.Volts.Compare(volts(100)) > 0):
		return "what is injected is above 0V, and far below 100V"
	case s.Kind == StepInject && s.Amps.Known() && (s.Amps.Coef <= 0 || s.Amps.Compare(amps(100)) > 0):
		return "a current limit is above 0A, and far below 100A"
	case s.Kind == StepReading || s.Kind == StepResistance:
		if s.Outcome == Measured {
			return Impossible(s.Mode, s.Value)
		}
	}
	return ""
}
