package board

import "testing"

// A reading that does not say which lead was on ground has it by its meter, in
// diode mode only: of ohms it does not matter (common practice, no source).
func TestWithPolarity(t *testing.T) {
	meters := []Meter{{Name: "M1", BlackGround: true}, {Name: "M2", RedGround: true}}
	list := []Reading{
		{Mode: Diode, Meter: "M1"},
		{Mode: Diode, Meter: "M1", RedGround: true},
		{Mode: Resistance, Meter: "M1"},
		{Mode: Diode, Meter: "M2"},
		{Mode: Diode, Meter: "M2", BlackGround: true},
		{Mode: Diode, Meter: "M3"},
		{Mode: Diode},
	}
	want := []bool{true, false, false, false, true, false, false}
	for i, r := range WithPolarity(list, meters) {
		if r.BlackGround != want[i] {
			t.Errorf("%+v: black on ground is %v", list[i], r.BlackGround)
		}
	}
	if list[0].BlackGround {
		t.Error("the list itself was changed")
	}
}

func TestAboveItsOpenVolts(t *testing.T) {
	m := Meter{Name: "M1", Open: MustQuantity("3.2V")}
	for text, above := range map[string]bool{"3.2V": false, "3201mV": true, "40V": true, "-1V": false, "5ohm": false} {
		if why := m.Above(Diode, MustQuantity(text)); (why != "") != above {
			t.Errorf("%s: %q", text, why)
		}
	}
	if why := m.Above(Voltage, MustQuantity("3.8V")); why != "" {
		t.Error("of a powered board:", why)
	}
	if why := (&Meter{}).Above(Diode, MustQuantity("40V")); why != "" {
		t.Error("of a meter that is not known:", why)
	}
}
