package words

import (
	"strings"

	"netlore/store/board"
)

// FieldID is something that is known about a thing. The same id at different
// nouns means the same sort of fact.
type FieldID uint8

const (
	NoField FieldID = iota
	Name
	Kind  // class of a part, kind of a net or cover
	Value // of a part in the unit of its class; of a reading or expected value in the unit of its mode
	Volts // rated voltage of a part, nominal voltage of a net
	Amps  // rated current
	Tolerance
	Text // what a part is; the words of a note; the title of a board
	Package
	Side
	X
	Y
	Width
	Height
	Function
	CoverOf // names of the covers that hide it
	NetOf   // names of the nets it is on
	PartOf  // name of the part it belongs to
	PadsOf  // names of its pads
	PartsOf // names of its parts
	PartCount
	PinCount
	NetCount
	PadCount
	CoverCount
	BoardOf // name of the board, with its revision
	RoleOf  // member of the stack
	Alias
	Group
	Lift
	Minutes
	Risk
	Target // what a reading, expected value or note is about
	Mode
	State
	Meter
	Job
	Specimen
	Author
	Time
	Tag
	Device // what a job has on the bench
	Symptom
	Opened
	Closed
	Supply
	Limit
	Draw
	Steps
	Culprit
	Outcome
	Remark
	Revision
	Layers
	ExpectedOf // the values expected of it
	ReadingsOf // how many readings there are of it
	NotesOf    // how many notes there are on it
	Distance   // from the nearest thing that `within` names
	Done       // what a step of a job was
	Chance     // of a suspect
	Reason     // why it is suspect
	Tells      // how much of what is open a test settles
	Bits       // the same, in bits
	Rank       // place in a list that has an order of its own
	Fault      // kind of a suspect
	What       // what a suspect is, in words
	Needs      // what has to come off, or apart, first
	IfSeen     // what is left if a test shows something
	IfUnseen   // and if it does not
	Away       // how many parts and joins a trace passes on the way to it
	BranchesOf // names of its branches
	Basis      // how a branch, or the net of a pad or pin, is known
	Verdict    // how what was read lies to what is expected

	FieldCount // is no field, but how many ids there are
)

// Type is what a field holds.
type Type uint8

const (
	TextType   Type = iota
	Quantity        // in Unit; NoUnit when it depends on the thing (values)
	Number          // a count
	TimeType        // a date or date-time
	Choice          // one of the words of a closed list
	ThingNames      // names of other things; Names says of which kind
)

// Field is one fact about things of one noun.
type Field struct {
	ID    FieldID
	Word  string
	Noun  Noun
	Type  Type
	Unit  board.Unit // of a Quantity; NoUnit when it depends on the thing
	Names Noun       // of ThingNames
	Many  bool       // a thing can have several
	Doc   string
	Head  string // of its column, if that is not the word

	// NotKnown says that it is not: "value not known".
	NotKnown string
}

// String is the word of the field: "value".
func (f *Field) String() string { return f.Word }

// Column is the head of its column: of a name what sort of thing it is.
func (f *Field) Column() string {
	switch {
	case f.ID == Name:
		return f.Noun.Singular()
	case f.Head != "":
		return f.Head
	}
	return f.Word
}

// FieldsOf are the fields of a noun, in the order of the reference.
func FieldsOf(n Noun) []*Field { return byNoun[n] }

// FieldByWord finds the field of a noun. Case does not count.
func FieldByWord(n Noun, word string) (*Field, bool) {
	for _, f := range byNoun[n] {
		if strings.EqualFold(f.Word, word) {
			return f, true
		}
	}
	return nil, false
}

// FieldByID finds the field of a noun, or nil.
func FieldByID(n Noun, id FieldID) *Field {
	for _, f := range byNoun[n] {
		if f.ID == id {
			return f
		}
	}
	return nil
}
