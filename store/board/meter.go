package board

import (
	"fmt"
	"slices"
	"time"
)

// Meter is what is stated of a meter of the shop. What is not stated is not
// known.
type Meter struct {
	Name    string
	Title   string   // "bench meter, left"
	Test    Quantity // amps that diode mode drives into a short
	Open    Quantity // volts of diode mode with the leads apart
	Shows   string   // unit that diode mode displays: V or mV
	Leads   Quantity // ohms of both leads together
	Address string   // on the network
	By      string
	When    time.Time

	// How diode mode is used: RedGround is the red lead on ground, the usual habit
	// (common practice, no source), BlackGround the black one.
	RedGround, BlackGround bool
}

// FindMeter is what is stated of the meter of a name; of none, nothing.
func FindMeter(all []Meter, name string) Meter {
	for i := range all {
		if name != "" && all[i].Name == name {
			return all[i]
		}
	}
	return Meter{Name: name}
}

// Above says why a meter cannot have read a value, empty if it can: diode mode
// cannot show more than the meter has between its open leads.
func (m *Meter) Above(mode Mode, read Quantity) string {
	if mode != Diode || !m.Open.Known() || !read.SameUnit(m.Open) || read.Compare(m.Open) <= 0 {
		return ""
	}
	return "the meter " + QuoteName(m.Name) + " has " + m.Open.String() + " between its leads when they touch nothing, and can show no more"
}

// OnGround is the lead that is on ground: "red", "black", or nothing if that is
// not stated.
func (m *Meter) OnGround() string {
	switch {
	case m.RedGround:
		return "red"
	case m.BlackGround:
		return "black"
	}
	return ""
}

// Facts is what is stated of the meter besides its name and title, in plain
// words.
func (m *Meter) Facts() (facts []string) {
	add := func(known bool, format string, args ...any) {
		if known {
			facts = append(facts, fmt.Sprintf(format, args...))
		}
	}
	add(m.Test.Known(), "drives %s into a short", m.Test)
	add(m.Open.Known(), "has %s between its leads when they touch nothing", m.Open)
	add(m.Shows != "", "shows %s, so a number without a unit is in %[1]s", m.Shows)
	add(m.Leads.Known(), "its leads have %s", m.Leads)
	add(m.OnGround() != "", "used with %s on ground", m.OnGround())
	add(m.Address != "", "on the network at %s", m.Address)
	return facts
}

// BlackOnGround reports whether a reading by the meter in a mode had the black
// lead on ground: as it says itself, else in diode mode as the meter is used.
func (m *Meter) BlackOnGround(mode Mode, red, black bool) bool {
	return black || mode == Diode && !red && m.BlackGround
}

// WithPolarity is readings of which those that do not say which lead was on
// ground have it by their meter. The list itself is not changed.
func WithPolarity(list []Reading, meters []Meter) []Reading {
	if !slices.ContainsFunc(meters, func(m Meter) bool { return m.BlackGround }) {
		return list
	}
	list = slices.Clone(list)
	for i := range list {
		r := &list[i]
		m := FindMeter(meters, r.Meter)
		r.BlackGround = m.BlackOnGround(r.Mode, r.RedGround, r.BlackGround)
	}
	return list
}
