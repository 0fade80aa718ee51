package board

// Class is the kind of a part: capacitor, inductor, transceiver. Some classes
// are kinds of others: a transceiver is a chip.
type Class uint8

// The classes. ClassUnknown is the class of a part whose letters say nothing.
// DiodePart, ConnectorPart and ModulePart carry "Part" in their names because
// Diode is a Mode, and Connector and Module are cover kinds.
const (
	ClassUnknown Class = iota
	Capacitor
	Resistor
	Inductor
	Bead
	DiodePart
	LED
	Zener
	Transistor
	Chip
	Transceiver
	Regulator
	Converter
	Amplifier
	Memory
	Processor
	Charger
	LoadSwitch
	Sensor
	PowerManager
	Logic
	ConnectorPart
	Crystal
	Fuse
	Switch
	Relay
	Battery
	Antenna
	Filter
	Attenuator
	Transformer
	Thermistor
	Varistor
	Network
	ShieldCan
	TestPoint
	Jumper
	Fiducial
	Mechanical
	Display
	Speaker
	Microphone
	Motor
	ModulePart
	classes // how many there are
)

// kind is one row of the class table.
type kind struct {
	word, plural string
	parent       Class
	value        Unit // what the value of such a part is given in, if anything
}

// kinds is indexed by Class.
var kinds = [classes]kind{
	Capacitor:     {"capacitor", "capacitors", ClassUnknown, Farad},
	Resistor:      {"resistor", "resistors", ClassUnknown, Ohm},
	Inductor:      {"inductor", "inductors", ClassUnknown, Henry},
	Bead:          {"bead", "beads", ClassUnknown, Ohm},
	DiodePart:     {"diode", "diodes", ClassUnknown, NoUnit},
	LED:           {"led", "leds", DiodePart, NoUnit},
	Zener:         {"zener", "zeners", DiodePart, NoUnit},
	Transistor:    {"transistor", "transistors", ClassUnknown, NoUnit},
	Chip:          {"chip", "chips", ClassUnknown, NoUnit},
	Transceiver:   {"transceiver", "transceivers", Chip, NoUnit},
	Regulator:     {"regulator", "regulators", Chip, NoUnit},
	Converter:     {"converter", "converters", Chip, NoUnit},
	Amplifier:     {"amplifier", "amplifiers", Chip, NoUnit},
	Memory:        {"memory", "memories", Chip, NoUnit},
	Processor:     {"processor", "processors", Chip, NoUnit},
	Charger:       {"charger", "chargers", Chip, NoUnit},
	LoadSwitch:    {"load-switch", "load-switches", Chip, NoUnit},
	Sensor:        {"sensor", "sensors", Chip, NoUnit},
	PowerManager:  {"power-manager", "power-managers", Chip, NoUnit},
	Logic:         {"logic", "logics", Chip, NoUnit},
	ConnectorPart: {"connector", "connectors", ClassUnknown, NoUnit},
	Crystal:       {"crystal", "crystals", ClassUnknown, Hertz},
	Fuse:          {"fuse", "fuses", ClassUnknown, NoUnit},
	Switch:        {"switch", "switches", ClassUnknown, NoUnit},
	Relay:         {"relay", "relays", ClassUnknown, NoUnit},
	Battery:       {"battery", "batteries", ClassUnknown, NoUnit},
	Antenna:       {"antenna", "antennas", ClassUnknown, NoUnit},
	Filter:        {"filter", "filters", ClassUnknown, NoUnit},
	Attenuator:    {"attenuator", "attenuators", ClassUnknown, NoUnit},
	Transformer:   {"transformer", "transformers", ClassUnknown, NoUnit},
	Thermistor:    {"thermistor", "thermistors", ClassUnknown, Ohm},
	Varistor:      {"varistor", "varistors", ClassUnknown, NoUnit},
	Network:       {"network", "networks", ClassUnknown, Ohm},
	ShieldCan:     {"shield-can", "shield-cans", ClassUnknown, NoUnit},
	TestPoint:     {"test-point", "test-points", ClassUnknown, NoUnit},
	Jumper:        {"jumper", "jumpers", ClassUnknown, Ohm},
	Fiducial:      {"fiducial", "fiducials", ClassUnknown, NoUnit},
	Mechanical:    {"mechanical-part", "mechanical-parts", ClassUnknown, NoUnit},
	Display:       {"display", "displays", ClassUnknown, NoUnit},
	Speaker:       {"speaker", "speakers", ClassUnknown, NoUnit},
	Microphone:    {"microphone", "microphones", ClassUnknown, NoUnit},
	Motor:         {"motor", "motors", ClassUnknown, NoUnit},
	ModulePart:    {"module", "modules", ClassUnknown, NoUnit},
}

// String is the word for one such part: "capacitor". ClassUnknown is "".
func (c Class) String() string { return c.kind().word }

// Plural is the word for several such parts: "capacitors".
func (c Class) Plural() string { return c.kind().plural }

// Parent is the class that c is a kind of, or ClassUnknown.
func (c Class) Parent() Class { return c.kind().parent }

// ValueUnit is the unit in which the value of such a part is given: Farad for
// a capacitor. It is NoUnit for a class that has no such value.
func (c Class) ValueUnit() Unit { return c.kind().value }

// Is reports whether c is other or a kind of it. Nothing is ClassUnknown but
// itself.
func (c Class) Is(other Class) bool {
	return c == other || other != ClassUnknown && c.Parent() == other
}

func (c Class) kind() *kind {
	if c >= classes {
		c = ClassUnknown
	}
	return &kinds[c]
}

// Classes returns every class but ClassUnknown, in the order of the table.
func Classes() []Class {
	all := make([]Class, 0, classes-1)
	for c := ClassUnknown + 1; c < classes; c++ {
		all = append(all, c)
	}
	return all
}

// ClassByWord returns the class of a singular word: "capacitor",
// "load-switch".
func ClassByWord(word string) (Class, bool) {
	for c := ClassUnknown + 1; c < classes; c++ {
		if kinds[c].word == word {
			return c, true
		}
	}
	return ClassUnknown, false
}
