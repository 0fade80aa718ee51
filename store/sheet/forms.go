package sheet

import "netlore/store/board"

// formID is the index of a form.
type formID uint8

// The kinds of statement in canonical order, then the kinds of member.
const (
	noForm formID = iota
	formBoard
	formStack
	formOutline
	formCover
	formPart
	formNet
	formPad
	formBranch
	formJoin
	formVia
	formHole
	formTrack
	formExpect
	formReading
	formNote
	formContinuity
	formJob
	formQuestion
	formMeter
	formChance
	formBoardMore // an indented line of a board
	formRole      // a member of a stack
	formCoverPart
	formCoverPad
	formPin // a pin of a part, with its place
	formNetPart
	formBranchPad
	formBranchPart
	formStep // the first of the steps of a job
)

// lastStatement is the last of the kinds of statement.
const lastStatement = formChance

// forms is the table of everything that a line can be.
var forms = append([]form{
	noForm:         {},
	formBoard:      boardForm,
	formStack:      stackForm,
	formOutline:    outlineForm,
	formCover:      coverForm,
	formPart:       partForm,
	formNet:        netForm,
	formPad:        padForm,
	formBranch:     branchForm,
	formJoin:       joinForm,
	formVia:        viaForm,
	formHole:       holeForm,
	formTrack:      trackForm,
	formExpect:     expectForm,
	formReading:    readingForm,
	formNote:       noteForm,
	formContinuity: continuityForm,
	formJob:        jobForm,
	formQuestion:   questionForm,
	formMeter:      meterForm,
	formChance:     chanceForm,
	formBoardMore:  boardMoreForm,
	formRole:       roleForm,
	formCoverPart:  coverPartForm,
	formCoverPad:   coverPadForm,
	formPin:        pinForm,
	formNetPart:    netPartForm,
	formBranchPad:  branchPadForm,
	formBranchPart: branchPartForm,
}, stepForms...)

// A subject is what attributes are put into or taken out of: the one of its
// fields that belongs to the form at hand. When reading, bu is the board in
// the making; when writing, b is the board.
type subject struct {
	bu   *board.Builder
	b    *board.Board
	keep func(string) string // makes a string that does not hold on to the file

	ref      *board.Ref
	outline  *board.Outline
	cover    *board.Cover
	part     *board.Part
	pin      *board.Pin
	net      *board.Net
	pad      *board.Pad
	branch   *board.Branch
	via      *board.Via
	hole     *board.Hole
	track    *board.Track
	stack    *board.Stack
	join     *board.Join
	expected *board.Expected
	reading  *board.Reading
	note     *board.Note
	link     *board.Link
	job      *board.Job
	step     *board.Step
	question *board.SavedQuestion
	meter    *board.Meter
	chance   *board.Chance
}
