package sheet

import (
	"strings"
	"sync"

	"netlore/store/board"
)

// Sort tells what a name is the name of.
type Sort uint8

// The sorts of names. Words of the shop are names too: a function, an author,
// the way a cover comes off.
const (
	NoSort     Sort = iota
	AnySort         // of a target: only who knows the board can tell
	BoardSort       // a board
	StackSort       // a stack
	DeviceSort      // a board or a stack, whichever has the name
	RoleSort        // what a board is in a stack
	PartSort
	NetSort
	PadSort
	CoverSort
	BranchSort
	PinSort
	JobSort
	FrameSort
	FunctionSort
	AuthorSort
	MeterSort
	StateSort
	SpecimenSort
	TagSort
	LiftSort
	PackageSort
	OutcomeSort
	RevisionSort
	QuestionSort // a saved question
	AddressSort  // where a meter is on the network
)

// String is the word for one thing of the sort.
func (s Sort) String() string {
	return [...]string{NoSort: "nothing", AnySort: "thing", BoardSort: "board", StackSort: "stack", DeviceSort: "device", RoleSort: "role",
		PartSort: "part", NetSort: "net", PadSort: "pad", CoverSort: "cover", BranchSort: "branch", PinSort: "pin", JobSort: "job",
		FrameSort: "frame", FunctionSort: "function", AuthorSort: "author", MeterSort: "meter", StateSort: "state",
		SpecimenSort: "specimen", TagSort: "tag", LiftSort: "way to lift a cover", PackageSort: "package", OutcomeSort: "outcome",
		RevisionSort: "revision", QuestionSort: "saved question", AddressSort: "address"}[s]
}

// OfBoard reports whether a name of the sort means something on one board
// only, so that another board may have a thing of the same name.
func (s Sort) OfBoard() bool {
	return PartSort <= s && s <= PinSort || s == FrameSort || s == FunctionSort
}

// leadSorts are the names that lines lead with, by form, in their order.
var leadSorts = map[formID][]Sort{
	formBoard: {BoardSort}, formStack: {StackSort}, formRole: {RoleSort, BoardSort},
	formCover: {CoverSort}, formCoverPart: {PartSort}, formCoverPad: {PadSort},
	formPart: {PartSort}, formPin: {PinSort},
	formNet: {NetSort}, formNetPart: {PartSort, PinSort}, formPad: {PadSort},
	formBranch: {BranchSort}, formBranchPad: {PadSort}, formBranchPart: {PartSort, PinSort},
	formJoin: {PadSort, PadSort}, formJob: {JobSort}, formQuestion: {QuestionSort}, formMeter: {MeterSort},
	formStep: {NoSort, RoleSort}, // the first of the steps, draw
}

// wordSorts are the names that stand after a word, which means the same in
// every kind of line.
var wordSorts = map[string]Sort{
	"on": NetSort, "also": NetSort, "over": PartSort, "in": FrameSort, "for": FunctionSort, "by": AuthorSort, "meter": MeterSort,
	"state": StateSort, "specimen": SpecimenSort, "job": JobSort, "tagged": TagSort, "lift": LiftSort, "package": PackageSort,
	"of": DeviceSort, "outcome": OutcomeSort, "rev": RevisionSort, "address": AddressSort,
}

// sortsOf are the sorts of the attributes of every form, NoSort for those that
// hold no names.
var sortsOf = sync.OnceValue(func() [][]Sort {
	all := make([][]Sort, len(compiled()))
	for id, f := range compiled() {
		all[id] = make([]Sort, len(f.attributes))
		for slot := range f.attributes {
			all[id][slot] = f.sortOf(slot)
		}
	}
	return all
})

func (f *form) sortOf(slot int) Sort {
	a := &f.attributes[slot]
	switch a.shape {
	case targetShape, targetsShape:
		return AnySort
	case nameShape, namesShape, rangeShape, pinsShape, chipShape, overShape, endShape, halfShape:
	default:
		return NoSort
	}
	if slot < f.lead {
		return leadSorts[f.id][slot]
	}
	return wordSorts[a.word]
}

// SortOf is the sort of the names of a kind of target.
func SortOf(kind board.TargetKind) Sort { return targetSorts[kind] }

// SplitPin parts a target that is a pin into part and pin.
func SplitPin(t board.Target) (part, pin string) {
	if t.Pin != "" {
		return t.Name, t.Pin
	}
	dot := max(strings.LastIndexByte(t.Name, '.'), 0)
	return t.Name[:dot], strings.TrimPrefix(t.Name[dot:], ".")
}
