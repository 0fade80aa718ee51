package board

import "testing"

func TestImpossible(t *testing.T) {
	for _, c := range []struct {
		step Step
		fine bool
	}{
		{Step{Kind: StepReading, Mode: Diode, Value: MustQuantity("412mV")}, true},
		{Step{Kind: StepReading, Mode: Diode, Value: MustQuantity("10V")}, true},
		{Step{Kind: StepReading, Mode: Diode, Value: MustQuantity("10.001V")}, false},
		{Step{Kind: StepReading, Mode: Diode, Value: MustQuantity("-40V")}, false},
		{Step{Kind: StepReading, Mode: Diode, Value: MustQuantity("-0.4V")}, false},
		{Step{Kind: StepReading, Mode: Diode, Value: MustQuantity("-2mV")}, true},
		{Step{Kind: StepReading, Mode: Diode, Outcome: Open}, true},
		{Step{Kind: StepReading, Mode: Voltage, Value: MustQuantity("40V")}, true},
		{Step{Kind: StepReading, Mode: Voltage, Value: MustQuantity("1.1kV")}, false},
		{Step{Kind: StepReading, Mode: Resistance, Value: MustQuantity("0ohm")}, true},
		{Step{Kind: StepReading, Mode: Continuity, Value: MustQuantity("-1ohm")}, false},
		{Step{Kind: StepReading, Mode: HotSpot}, true},
		{Step{Kind: StepResistance, Mode: Resistance, Value: MustQuantity("-0.1ohm")}, false},
		{Step{Kind: StepResistance, Mode: Resistance, Outcome: Open}, true},
		{Step{Kind: StepDraw, Value: MustQuantity("0A")}, true},
		{Step{Kind: StepDraw, Value: MustQuantity("-1mA")}, false},
		{Step{Kind: StepDraw, Value: MustQuantity("240A")}, false},
		{Step{Kind: StepInject, Volts: MustQuantity("1V"), Amps: MustQuantity("2A")}, true},
		{Step{Kind: StepInject, Volts: MustQuantity("0V")}, false},
		{Step{Kind: StepInject, Volts: MustQuantity("1V"), Amps: MustQuantity("-2A")}, false},
		{Step{Kind: StepInject}, true},
		{Step{Kind: StepSeparated}, true},
	} {
		if why := c.step.Impossible(); (why == "") != c.fine {
			t.Errorf("%+v: %q", c.step, why)
		}
	}
}
