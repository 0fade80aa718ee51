package board

import (
	"slices"
	"strings"
	"time"
)

// Chance is what a shop states of how likely something is before anything is seen:
// of a class of parts, of devices with a history, or of a way to look for a short.
// What is not stated is not known to be otherwise than usual. All quantities are
// ratios.
type Chance struct {
	Of    string   // "capacitor", "liquid", "tape"
	Text  string   // where it comes from
	Often Quantity // of a class: how often it fails, against what is usual
	Short Quantity // and how many of its failures are shorts

	// Of a history: how many of the devices have which kind of fault, and how many
	// with a bad part something else that is bad.
	Part, Bridge, Zone, Several, Else, Second Quantity

	// Of a way to look: how often nothing is seen of what is there, and something of
	// what is not.
	Miss, Alarm Quantity

	By   string
	When time.Time
}

// Histories are what devices went through, as far as that shifts what is likely.
var Histories = []string{"usual", "liquid", "drop"}

// WaysToLook are the ways in which a short is looked for, and how each can be wrong:
// what warmth misses is worked out from its power.
var WaysToLook = []struct {
	Name  string
	Alarm bool // only something can be seen of what is not there
}{{"draw", false}, {"tape", false}, {"reading", false}, {"corrosion", false}, {"camera", true}, {"freeze", true}}

// FindChance is what is stated of something; of nothing, no more than its name.
func FindChance(all []Chance, of string) Chance {
	if i := slices.IndexFunc(all, func(c Chance) bool { return c.Of == of }); i >= 0 {
		return all[i]
	}
	return Chance{Of: of}
}

// Kinds are the shares of the kinds of fault, in their order: one part, solder
// between pads, copper of a zone, several parts, something else.
func (c *Chance) Kinds() [5]Quantity {
	return [5]Quantity{c.Part, c.Bridge, c.Zone, c.Several, c.Else}
}

// Impossible says why a chance cannot be as it is stated, empty if it can.
func (c *Chance) Impossible() string {
	sum := 0.0
	for _, share := range c.Kinds() {
		if share.Known() {
			sum += share.Float()
		}
	}
	switch {
	case sum > 1.0001:
		return "the shares of the kinds of fault come to more than 100%"
	case c.Miss.Known() && c.Alarm.Known() && c.Miss.Float()+c.Alarm.Float() >= 1:
		return "what is missed and what is a false alarm come to 100% or more, so it would tell the contrary"
	}
	return ""
}

// Correct lays what another chance states over what this one does.
func (c *Chance) Correct(newer *Chance) {
	for _, text := range []struct{ at, said *string }{{&c.Text, &newer.Text}, {&c.By, &newer.By}} {
		if *text.said != "" {
			*text.at = *text.said
		}
	}
	if !newer.When.IsZero() {
		c.When = newer.When
	}
	mine, said := c.shares(), newer.shares()
	for i := range mine {
		if said[i].at.Known() {
			*mine[i].at = *said[i].at
		}
	}
}

// Statement is what a chance states, in the words of a sheet, but for what it is of.
func (c *Chance) Statement() string {
	var all []string
	if c.Text != "" {
		all = append(all, quoteIf(true, c.Text))
	}
	for _, share := range c.shares() {
		if share.at.Known() {
			all = append(all, share.word+" "+share.at.String())
		}
	}
	return strings.Join(all, " ")
}

// StatesShares reports whether a chance states more than words.
func (c *Chance) StatesShares() bool {
	return slices.ContainsFunc(c.shares(), func(s wordedShare) bool { return s.at.Known() })
}

type wordedShare struct {
	word string
	at   *Quantity
}

// shares are all that a chance can state in numbers, in the order of a sheet.
func (c *Chance) shares() []wordedShare {
	return []wordedShare{{"often", &c.Often}, {"short", &c.Short}, {"part", &c.Part}, {"bridge", &c.Bridge}, {"zone", &c.Zone},
		{"several", &c.Several}, {"else", &c.Else}, {"second", &c.Second}, {"miss", &c.Miss}, {"alarm", &c.Alarm}}
}
