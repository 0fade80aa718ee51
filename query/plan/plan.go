// Package plan decides how a checked question is run on one board: what is
// looked up in an index, what is tested thing by thing, and in which order. A
// plan is a tree of small nodes that print in the words of the language. The
// choice changes the time that a question takes and nothing else.
package plan

import (
	"netlore/query/check"
	"netlore/query/words"
	"netlore/store/board"
)

// Op is what a node does.
type Op uint8

const (
	Select    Op = iota // the things of a noun that pass every kid, in turn
	Union               // either kid
	Except              // the first kid less the second
	Shared              // both kids
	All                 // every kid holds
	Any                 // one of the kids holds
	Not                 // the only kid does not hold
	Tie                 // related to one of the operand; kids are sub-questions
	Kind                // of one of the kinds of parts or covers
	Adjective           // as the adjective says
	Compare             // a field fits
	Has                 // a field has a value
	IsUnknown           // a field is not known
	Reads               // a reading fits
	Inside              // in a region
)

// Path is how the things that fulfil a Tie are found.
type Path uint8

const (
	Test       Path = iota // each thing in turn
	LinkIndex              // from the operand, by what the board keeps of its nets, parts and pads
	SpaceIndex             // from the operand, by place
	ListIndex              // from the operand, all of which are covers with lists
	Follow                 // from the operand, along what can carry a supply
)

// Node is one step. Of its fields, Op says which are used: Related for Tie,
// Compared for Compare, Reads for Reads, Inside for Inside, Field for Has and IsUnknown, Kinds and CoverKinds for
// Kind, Adjective for Adjective.
type Node struct {
	Op         Op
	Noun       words.Noun // what is tested or selected
	Related    check.Related
	Path       Path
	Compared   *check.Compare
	Reads      *check.Reads
	Inside     *check.Inside
	Field      check.Field
	Kinds      []check.PartKind
	CoverKinds []board.CoverKind
	Adjective  words.Adjective
	Kids       []*Node

	Said int // place among its siblings in the question
	Rows int // how many are expected to remain after it
	Cost float64
	keep float64 // the share of things that is expected to pass
	Near *Node   // of Compare, Has and IsUnknown: the Tie that a distance is of
	// Followed is the Tie that a number of steps is of, likewise.
	Followed *Node
	Empty    bool // of a Select: the member is not asked
	// Members are those that a Select asks. Jobs and observations, which are of
	// no one board, are asked once for all.
	Members []int
	// Jobs are those that a Select asks suspects or tests of.
	Jobs  []string
	all   int       // of a Select: how many there are
	apart []operand // of a Tie: its operand
	reach float64   // of a Tie: how many things are expected to stand in it
}

// Plan is how a set is found on one member of a scope.
type Plan struct {
	Root *Node
	// Sets are the nodes of all sets, sub-questions included.
	Sets map[check.Set]*Node
}

// Options steer the choice.
type Options struct {
	// Scan tests each thing in the order in which the question says things, and
	// uses no index. It is there to compare with.
	Scan bool
}

// Of plans a set for one member of a scope.
func Of(set check.Set, scope *check.Scope, member int, opt Options) *Plan {
	p := planner{
		site: newSite(scope, member),
		opt:  opt,
		plan: &Plan{Sets: map[check.Set]*Node{}},
	}
	p.plan.Root = p.set(set)
	return p.plan
}

// OfOperand plans the sub-questions in an operand for one member of a scope.
// The plan has no root.
func OfOperand(o check.Operand, scope *check.Scope, member int, opt Options) *Plan {
	p := planner{
		site: newSite(scope, member),
		opt:  opt,
		plan: &Plan{Sets: map[check.Set]*Node{}},
	}
	for _, set := range subs(o) {
		p.set(set)
	}
	return p.plan
}
