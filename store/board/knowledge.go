package board

import "time"

// Mode is what a reading measures.
type Mode uint8

const (
	ModeUnknown Mode = iota
	Diode            // volts across a junction at the meter's test current
	Resistance       // ohms
	Voltage          // volts against ground, powered
	Current          // amps drawn
	Continuity       // rings or does not
	HotSpot          // seen by camera, freeze spray or finger
)

// TargetKind says what sort of thing a statement is about.
type TargetKind uint8

const (
	AnyTarget TargetKind = iota // the name alone: a pad, else a net, else a part
	OnBoard
	OnPart
	OnPin
	OnNet
	OnPad
	OnCover
	OnBranch
)

// Target names what a reading, expected value or note is about. It is kept as
// written, so that knowledge can outlive the board it was written for.
type Target struct {
	Kind TargetKind
	Role string // member of a stack: "lower"; empty on a single board
	Name string // VMAIN, P11, C1201
	Pin  string // the pin of the part Name, for OnPin: C1201.2
}

// StepKind is what was done in a step of a job.
type StepKind uint8

const (
	StepUnknown StepKind = iota
	StepDraw
	StepReading
	StepTape
	StepUntape
	StepSeparated
	StepJoined
	StepCoverOff
	StepCoverOn
	StepLifted
	StepFitted
	StepRemoved
	StepReplaced
	StepInject
	StepFreeze
	StepHot
	StepCold
	StepLook
	StepResistance
	StepNote
)

// Outcome is how a reading that is not a number ended.
type Outcome uint8

const (
	Measured  Outcome = iota // Value holds
	Open                     // over the meter's range, "OL"
	Closed                   // continuity rings, a spot is hot
	NotClosed                // continuity does not ring, nothing is hot
)

// Reading is one measured value.
type Reading struct {
	Mode    Mode
	On      Target
	To      Target // second probe; zero Target is ground
	Outcome Outcome
	Value   Quantity
	// RedGround is the red lead on ground, the usual diode-mode habit (common
	// practice, no source), BlackGround the black one; neither is not stated.
	RedGround, BlackGround bool

	Meter    string
	State    []string // device state: "separated", "SH2 off"
	Good     bool     // taken on a known-good board
	Job      string
	Specimen string // which of several like boards: "board 2"
	By       string
	When     time.Time // zero when not stated
	Text     string

	// Of a reading in a step of a job: the number of the step, and when the job
	// was opened and closed (zero when not stated or still open).
	Step           int
	Opened, Closed time.Time
}

// Expected is a value that the shop expects.
type Expected struct {
	Mode   Mode
	On     Target
	Value  Quantity
	Within Tolerance // zero when not stated
	Open   bool      // expected to read open
	By     string
	When   time.Time
	Text   string // where it comes from
}

// Note is free text on any of a board's things.
type Note struct {
	On   []Target
	Text string
	Tags []string
	By   string
	When time.Time
}

// Link is a statement that two places ring through.
type Link struct {
	A, B Target
	By   string
	When time.Time
}

// Job is one device on the bench.
type Job struct {
	ID       string
	Of       string // the stack or board on the bench
	Symptom  string
	Opened   time.Time
	Closed   time.Time // zero while open
	Supply   Quantity  // volts set
	Limit    Quantity  // amps limit
	Draw     Quantity  // amps drawn
	By       string
	Steps    []Step // observations in order
	Culprits []Target
	Outcome  string // repaired, not economic, returned
	Remark   string // free text on the outcome
}

// Step is one observation or change of state in a job.
type Step struct {
	Number int
	Text   string // canonical text after the number, as it is written in a sheet

	// The same taken apart, made when a sheet is read. What goes with a kind is
	// in the specification of the sheet.
	Kind    StepKind
	On      []Target // where, or what it was done to
	To      Target   // second probe; zero Target is ground
	Mode    Mode     // of a reading
	Outcome Outcome  // of a reading or resistance: Measured if Value holds
	Value   Quantity // what was read, ohms of a resistance, amps of a draw
	Volts   Quantity // injected
	Amps    Quantity // limit of the injection
	Lasting Quantity // how long it was injected
	Nothing bool     // nothing was seen
	Half    string   // of a draw: the role of the board that was fed alone

	Gone, Still bool // of what changes the device: the short is gone after it, or still there

	RedGround, BlackGround bool // as in Reading

	Meter  string // of a reading or resistance
	By     string
	When   time.Time // zero when not stated
	Remark string
}

// Knowledge is what is known about one board or stack beyond its structure.
// All slices are in the canonical order of their statements.
type Knowledge struct {
	Expected []Expected
	Readings []Reading
	Notes    []Note
	Links    []Link
	Jobs     []Job

	// They are about no board, and kept for all.
	Questions []SavedQuestion
	Meters    []Meter
	Chances   []Chance
}

// Stack is boards joined face to face.
type Stack struct {
	Name    string
	Title   string
	Members []Member
	Joins   []Join
}

// Member is a board's role in a stack.
type Member struct {
	Role  string // upper, lower
	Board Ref
}

// Join says that a pad of one member is soldered to a pad of another.
type Join struct {
	A, B JoinEnd
	Via  string // the frame between them: IP1
}

// JoinEnd is one pad of one member.
type JoinEnd struct{ Role, Pad string }

// Catalogue lists what a knowledge base holds.
type Catalogue struct {
	Boards []Summary // natural order of name, then revision
	Stacks []Stack

	Questions []SavedQuestion // natural order of name
	Meters    []Meter         // natural order of name
	Chances   []Chance        // natural order of what they are of
}

// Summary is a board in one line of a list.
type Summary struct {
	Ref
	Title                            string
	Parts, Pins, Nets, Pads, Covers  int
	Readings, Expected, Notes, Links int
	Updated                          time.Time
	Hash                             string // content hash, hexadecimal
}
