// Package words is the table of what can be said in a question: nouns,
// relations, fields, adjectives, and the closed list of reserved words. It
// drives checking, running, completion and the printed reference, so that a
// word is added in one place.
package words

import (
	"strings"

	"netlore/query/readings"
)

// Noun is what a question asks for.
type Noun uint8

const (
	NoNoun Noun = iota
	Parts
	Pins
	Nets
	Pads
	Covers
	Branches
	Readings
	Expected
	Notes
	Jobs
	Observations
	Suspects
	Tests
	Boards
	Functions
	// Groups and Stacks are no nouns of their own: they are what `in IP1` and
	// `jobs on Heron` may name.
	Groups
	Stacks

	NounCount // is no noun, but how many there are
)

// noun is one row of the noun table.
type noun struct {
	plural, singular string
	doc              string
	columns          []FieldID // what an answer shows unless told otherwise
}

var nouns = [...]noun{
	NoNoun:       {},
	Parts:        {"parts", "part", "components, by reference designator", []FieldID{Name, Kind, Value, Package, Side, CoverOf}},
	Pins:         {"pins", "pin", "the terminals of parts: U300.A4", []FieldID{Name, PartOf, NetOf}},
	Nets:         {"nets", "net", "everything that one name connects on a board", []FieldID{Name, Kind, Volts, PartCount, PadCount}},
	Pads:         {"pads", "pad", "bare places to touch: interposer pads, test points", []FieldID{Name, NetOf, Side, Group, CoverOf}},
	Covers:       {"covers", "cover", "what hides parts: shields, connectors, stickers, underfill", []FieldID{Name, Kind, Side, Lift, Minutes, Risk, PartCount}},
	Branches:     {"branches", "branch", "the pieces of copper of a net on one board", []FieldID{Name, NetOf, PadsOf, PartsOf, Function}},
	Readings:     {"readings", "reading", "measured values", []FieldID{Target, Mode, Value, State, Meter, Job, Time, Author}},
	Expected:     {"expected", "expected", "the values that the shop expects", []FieldID{Target, Mode, Value, Tolerance, Author, Text}},
	Notes:        {"notes", "note", "free text on any of a board's things", []FieldID{Target, Text, Tag, Author, Time}},
	Jobs:         {"jobs", "job", "devices on the bench", []FieldID{Name, Device, Symptom, Opened, Closed, Culprit, Outcome}},
	Observations: {"observations", "observation", "the steps of jobs: what was measured, seen and done", []FieldID{Name, Done, Target, Mode, Value, State, Text}},
	Suspects:     {"suspects", "suspect", "what may be bad in a job: a part, a bridge of solder, copper", []FieldID{Name, Chance, What, Side, Needs}},
	Tests:        {"tests", "test", "what to test next in a job", []FieldID{Name, Needs, Minutes, Risk, Bits, IfSeen, IfUnseen}},
	Boards:       {"boards", "board", "the boards at hand", []FieldID{Name, Revision, Text, PartCount, NetCount, PadCount, CoverCount}},
	Functions:    {"functions", "function", "what the device does: what its parts, nets and branches are for", []FieldID{Name, PartsOf, NetOf, BranchesOf, RoleOf}},
	Groups:       {"groups", "group", "the frame or connector that pads belong to: IP1", nil},
	Stacks:       {"stacks", "stack", "boards joined face to face", nil},
}

// String is the plural word: "parts".
func (n Noun) String() string { return nouns[n].plural }

// Singular is the word for one: "part".
func (n Noun) Singular() string { return nouns[n].singular }

// Doc is one line for the reference.
func (n Noun) Doc() string { return nouns[n].doc }

// Columns are the fields that an answer shows unless told otherwise.
func (n Noun) Columns() []FieldID { return nouns[n].columns }

// Placed reports whether such things can have a place on a board.
func (n Noun) Placed() bool { return n == Parts || n == Pins || n == Pads || n == Covers }

// OfNoBoard reports whether such things belong to a device, and not to one board of
// it: a job on a stack is known to every member. They are asked for once for all
// members.
func (n Noun) OfNoBoard() bool {
	return n == Jobs || n == Observations || n == Suspects || n == Tests
}

// AllNouns are the nouns that a question can ask for, in the order of the
// reference.
func AllNouns() []Noun {
	return []Noun{Parts, Pins, Nets, Pads, Covers, Branches, Readings, Expected, Notes, Jobs, Observations, Suspects, Tests, Boards, Functions}
}

// NounByWord finds the noun of a plural word. Case does not count.
func NounByWord(word string) (Noun, bool) {
	for _, n := range AllNouns() {
		if strings.EqualFold(nouns[n].plural, word) {
			return n, true
		}
	}
	return NoNoun, false
}

// NounBySingular finds the noun of a singular word, which can stand before a
// name: "net 5V", "stack Heron".
func NounBySingular(word string) (Noun, bool) {
	for n := Parts; n <= Stacks; n++ {
		if strings.EqualFold(nouns[n].singular, word) {
			return n, true
		}
	}
	return NoNoun, false
}

// Adjective stands before a noun and narrows it.
type Adjective uint8

const (
	NoAdjective Adjective = iota
	Hidden
	Visible
	OnTop
	OnBottom
	Fitted
	Unfitted
	GroundNet
	PowerNet
	SignalNet
	Good
	Shorted
	LowRead
	MatchingRead
	HighRead
	OpenRead
	Measured
	Unmeasured
)

// measurable are the nouns that readings are taken at.
var measurable = []Noun{Pads, Nets, Pins}

type adjective struct {
	word  string
	nouns []Noun
	doc   string
}

var adjectives = [...]adjective{
	NoAdjective:  {},
	Hidden:       {"hidden", []Noun{Parts, Pins, Pads, Suspects}, "under some cover"},
	Visible:      {"visible", []Noun{Parts, Pins, Pads, Suspects}, "under no cover"},
	OnTop:        {"top", []Noun{Parts, Pins, Pads, Covers}, "on the top of the board"},
	OnBottom:     {"bottom", []Noun{Parts, Pins, Pads, Covers}, "on the bottom of the board"},
	Fitted:       {"fitted", []Noun{Parts}, "on the real board"},
	Unfitted:     {"unfitted", []Noun{Parts}, "drawn, but not on the real board"},
	GroundNet:    {"ground", []Noun{Nets}, "stated to be ground"},
	PowerNet:     {"power", []Noun{Nets}, "stated to be a supply"},
	SignalNet:    {"signal", []Noun{Nets}, "stated to be a signal"},
	Good:         {"good", []Noun{Readings}, "taken on a known-good board"},
	Shorted:      {"shorted", measurable, "its newest reading is next to nothing, where more is expected"},
	LowRead:      {"low", measurable, "its newest reading is below what is expected, but no short"},
	MatchingRead: {"matching", measurable, "its newest reading is as expected"},
	HighRead:     {"high", measurable, "its newest reading is above what is expected"},
	OpenRead:     {"open", measurable, "its newest reading is open, where a number is expected"},
	Measured:     {"measured", measurable, "there is a reading of it"},
	Unmeasured:   {"unmeasured", measurable, "there is no reading of it"},
}

// Measurable reports whether readings are taken at such things.
func (n Noun) Measurable() bool { return n == Pads || n == Nets || n == Pins }

// Verdict is the verdict that an adjective asks for, if it is one.
func (a Adjective) Verdict() (readings.Verdict, bool) {
	for _, v := range readings.All() {
		if adjectives[a].word == v.String() {
			return v, true
		}
	}
	return readings.NoVerdict, false
}

// String is the word: "hidden".
func (a Adjective) String() string { return adjectives[a].word }

// Doc is what it says of a thing.
func (a Adjective) Doc() string { return adjectives[a].doc }

// Fits reports whether the adjective can stand before the noun.
func (a Adjective) Fits(n Noun) bool {
	for _, m := range adjectives[a].nouns {
		if m == n {
			return true
		}
	}
	return false
}

// Nouns are the nouns that the adjective can stand before.
func (a Adjective) Nouns() []Noun { return adjectives[a].nouns }

// AllAdjectives are all of them, in the order of the reference.
func AllAdjectives() []Adjective {
	all := make([]Adjective, 0, len(adjectives)-1)
	for a := Hidden; int(a) < len(adjectives); a++ {
		all = append(all, a)
	}
	return all
}

// AdjectiveByWord finds an adjective. Case does not count.
func AdjectiveByWord(word string) (Adjective, bool) {
	for _, a := range AllAdjectives() {
		if strings.EqualFold(adjectives[a].word, word) {
			return a, true
		}
	}
	return NoAdjective, false
}

// IsNoun reports whether a plural word can be asked for: parts, capacitors,
// shields.
func IsNoun(word string) bool {
	if _, ok := NounByWord(word); ok {
		return true
	}
	if _, ok := KindByWord(word); ok {
		return true
	}
	_, ok := CoverKindByPlural(word)
	return ok
}
