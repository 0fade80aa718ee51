package board

import "strings"

// ClassOf returns the class that the letters of a reference designator tell:
// those of IEEE 315 (clause 22.4, also ASME Y14.44), and where the standard
// has none, those in common use. Upper and lower case are the same, and what
// follows the letters does not matter: C1201A, fb3 and RN_TX are a capacitor,
// a bead and a network.
//
// The letters must be known as a whole, but for one letter more after those
// that boards are full of (UA5, CX12), which shops add for a page or a block.
// A longer word that merely begins with a known letter (CHARGE1) says nothing.
func ClassOf(name string) Class {
	n := 0
	for n < len(name) && letter(name[n]) {
		n++
	}
	if n == 0 || n > longestLetters {
		return ClassUnknown
	}
	letters := strings.ToUpper(name[:n])
	if c, ok := byLetters[letters]; ok {
		return c
	}
	if n == 2 && strings.IndexByte("CRLDQUJ", letters[0]) >= 0 {
		return byLetters[letters[:1]]
	}
	return ClassUnknown
}

func letter(c byte) bool { return 'A' <= c && c <= 'Z' || 'a' <= c && c <= 'z' }

const longestLetters = 7

// byLetters gives the class of the letters. E is the standard's letter for
// some thirty unlike things (aerials, ferrite beads, electric fences), so it
// says nothing; it is here so that nobody thinks it forgotten.
var byLetters = map[string]Class{
	// IEEE 315.
	"A": ModulePart, "AT": Attenuator, "B": Motor, "BT": Battery,
	"C": Capacitor, "CR": DiodePart, "D": DiodePart, "DS": LED, "E": ClassUnknown,
	"F": Fuse, "FL": Filter, "H": Mechanical, "HS": Mechanical,
	"J": ConnectorPart, "K": Relay, "L": Inductor, "LS": Speaker,
	"MK": Microphone, "MP": Mechanical, "P": ConnectorPart, "PS": ModulePart,
	"Q": Transistor, "R": Resistor, "RT": Thermistor, "RV": Varistor,
	"S": Switch, "T": Transformer, "TB": ConnectorPart, "TC": Sensor,
	"TP": TestPoint, "U": Chip, "VR": Zener, "XA": ConnectorPart,
	"XDS": ConnectorPart, "XF": ConnectorPart, "XU": ConnectorPart,
	"Y": Crystal, "Z": Network,

	// Common use: KiCad library convention S6.1 and the lists of letters that
	// depart from the standard.
	"AE": Antenna, "FB": Bead, "FEB": Bead, "FD": Fiducial, "FID": Fiducial,
	"FU": Fuse, "EC": Capacitor, "CN": ConnectorPart, "CON": ConnectorPart,
	"IC": Chip, "JP": Jumper, "LED": LED, "M": Motor, "MH": Mechanical,
	"NT": Jumper, "RN": Network, "SW": Switch, "TH": Thermistor,
	"X": Crystal, "XTAL": Crystal, "ZD": Zener,

	// Common practice, no source.
	"ANT": Antenna, "BAT": Battery, "BTN": Switch, "BZ": Speaker,
	"CAP": Capacitor, "CHOKE": Inductor, "CONN": ConnectorPart, "CPU": Processor,
	"DISP": Display, "EMI": Filter, "HDMI": ConnectorPart, "MEM": Memory,
	"IND": Inductor, "LCD": Display, "LD": LED, "MIC": Microphone, "MOD": ModulePart,
	"MOV": Varistor, "NTC": Thermistor, "OSC": Crystal, "PB": Switch,
	"PTC": Thermistor, "RES": Resistor, "RLY": Relay, "RY": Relay,
	"SH": ShieldCan, "SHD": ShieldCan, "SHLD": ShieldCan, "SHIELD": ShieldCan,
	"SIM": ConnectorPart, "SPK": Speaker, "TEST": TestPoint, "USB": ConnectorPart,
	"XFMR": Transformer, "XO": Crystal,

	// Power sections whose letters all begin with P (common practice, no
	// source): PC30 is a capacitor there, not a connector.
	"PC": Capacitor, "PD": DiodePart, "PF": Fuse, "PJ": ConnectorPart,
	"PL": Inductor, "PQ": Transistor, "PR": Resistor, "PU": Chip,
}
