package board

import (
	"strings"
	"testing"
)

func TestClassTable(t *testing.T) {
	words := map[string]Class{}
	for _, c := range Classes() {
		if c.String() == "" || c.Plural() == "" || c.Plural() == c.String() {
			t.Errorf("class %d is called %q, %q", c, c, c.Plural())
		}
		for _, w := range []string{c.String(), c.Plural()} {
			if other, taken := words[w]; taken {
				t.Errorf("%q is both class %d and %d", w, other, c)
			}
			if w != strings.ToLower(w) || strings.ContainsAny(w, " _") {
				t.Errorf("%q is not a word in lower case with hyphens", w)
			}
			words[w] = c
		}
		if back, ok := ClassByWord(c.String()); !ok || back != c {
			t.Errorf("ClassByWord(%q) = %v, %v", c, back, ok)
		}
		if _, ok := ClassByWord(c.Plural()); ok {
			t.Errorf("the plural %q is read", c.Plural())
		}
		if c.Parent() != ClassUnknown && c.Parent().Parent() != ClassUnknown {
			t.Errorf("%v is a kind of a kind; Is looks one step up only", c)
		}
	}
	if len(Classes()) != int(classes)-1 {
		t.Errorf("there are %d classes", len(Classes()))
	}
}

func TestClassUnknown(t *testing.T) {
	if _, ok := ClassByWord(""); ok || ClassUnknown.String() != "" || Class(250).String() != "" {
		t.Error("the class that is not known has a word")
	}
	if Capacitor.Is(ClassUnknown) || !ClassUnknown.Is(ClassUnknown) {
		t.Error("a capacitor is of no known class")
	}
}

func TestIs(t *testing.T) {
	for _, test := range []struct {
		c, of Class
		want  bool
	}{
		{Transceiver, Chip, true}, {LED, DiodePart, true}, {Zener, DiodePart, true}, {Chip, Chip, true},
		{Chip, Transceiver, false}, {Bead, Inductor, false}, {LED, Zener, false}, {Thermistor, Resistor, false},
	} {
		if got := test.c.Is(test.of); got != test.want {
			t.Errorf("%v is %v: %v", test.c, test.of, got)
		}
	}
}

func TestValueUnit(t *testing.T) {
	for c, want := range map[Class]Unit{Capacitor: Farad, Resistor: Ohm, Inductor: Henry, Crystal: Hertz, Bead: Ohm, Chip: NoUnit, ClassUnknown: NoUnit} {
		if got := c.ValueUnit(); got != want {
			t.Errorf("the value of a %v is in %s", c, got.Name())
		}
	}
}

// ieee315 is what the letters mean by IEEE 315-1975 clause 22.4 (taken over by
// ASME Y14.44-2008), as the lists of its letters in circulation give it: the
// KiCad library convention S6.1, and the encyclopaedia article "Reference
// designator". TB, TC, XA, XDS and XU are from memory.
var ieee315 = map[string]Class{
	"A": ModulePart, "AT": Attenuator, "B": Motor, "BT": Battery, "C": Capacitor,
	"CR": DiodePart, "D": DiodePart, "DS": LED, "E": ClassUnknown, "F": Fuse,
	"FL": Filter, "J": ConnectorPart, "K": Relay, "L": Inductor, "LS": Speaker,
	"MK": Microphone, "MP": Mechanical, "P": ConnectorPart, "PS": ModulePart,
	"Q": Transistor, "R": Resistor, "RT": Thermistor, "RV": Varistor, "S": Switch,
	"T": Transformer, "TB": ConnectorPart, "TC": Sensor, "TP": TestPoint, "U": Chip,
	"VR": Zener, "XA": ConnectorPart, "XDS": ConnectorPart, "XF": ConnectorPart,
	"XU": ConnectorPart, "Y": Crystal, "Z": Network,
}

func TestIEEE315Letters(t *testing.T) {
	for letters, want := range ieee315 {
		for _, name := range []string{letters + "1", letters + "1201A", strings.ToLower(letters) + "7"} {
			if got := ClassOf(name); got != want {
				t.Errorf("%s is a %v; by IEEE 315 it is a %v", name, got, want)
			}
		}
	}
}

func TestClassOf(t *testing.T) {
	for name, want := range map[string]Class{
		"C1201A": Capacitor, "C4B1": Capacitor, "Q1C100": Transistor, "J7": ConnectorPart, "JP3": Jumper,
		"SH1": ShieldCan, "FB3": Bead, "TP12": TestPoint, "RN_TX": Network, "RN4": Network, "R_SENSE": Resistor,
		"SW2": Switch, "LED1": LED, "ZD2": Zener, "IC5": Chip, "XTAL1": Crystal, "X1": Crystal, "ANT1": Antenna,
		"PR12": Resistor, "PC30": Capacitor, "PU4": Chip, "UA5": Chip, "CX12": Capacitor, "FID2": Fiducial,
		"USB1": ConnectorPart, "CONN3": ConnectorPart, "NT1": Jumper, "MIC1": Microphone, "M1": Motor,
		// Words that only begin with a letter of the table say nothing.
		"CHARGE1": ClassUnknown, "CDONE0": ClassUnknown, "CHG0": ClassUnknown, "GND": ClassUnknown,
		"": ClassUnknown, "12": ClassUnknown, "$C1": ClassUnknown, "ÄC1": ClassUnknown, "TX1": ClassUnknown,
		strings.Repeat("C", 5000): ClassUnknown,
	} {
		if got := ClassOf(name); got != want {
			t.Errorf("%.20s is a %q; want %q", name, got, want)
		}
	}
}

func TestLettersAreUpperCaseAndShort(t *testing.T) {
	for letters := range byLetters {
		if letters != strings.ToUpper(letters) || len(letters) > longestLetters {
			t.Errorf("letters %q are never found", letters)
		}
	}
}
