// Package check turns the tree of a question into a typed tree: every name
// bound to a board's ids, every field known, every number with a unit that
// fits. It reports all that is wrong, with places, and gives a typed tree only
// when nothing is.
package check

import (
	"sync"

	"netlore/query/diag"
	"netlore/query/readings"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// Member is one board that a question is asked of. Role is empty unless the
// board is a member of a stack. Knowledge may be nil.
type Member struct {
	Role      string
	Board     *board.Board
	Knowledge *board.Knowledge
	// Extra says that the member is asked only where the question names it.
	Extra bool
	// InStack is the stack that the board is a member of, and Within its role
	// there, where it is asked by itself.
	InStack, Within string
}

// Scope is what a question is asked of: one board, the members of a stack, or
// any boards that the question names.
type Scope struct {
	Members []Member
	Stack   string // name of the stack, if the members are one
	// Joins are the joins of the stack.
	Joins []board.Join
	// Meters are what is stated of the meters that read them.
	Meters []board.Meter
	// Chances are what the shop states of them.
	Chances []board.Chance
	// Lenient says that the question is asked of every board: a name that a
	// member does not know is counted in Question.Missing and is no error.
	Lenient bool
	// Others are boards that could be named but are no members; for suggestions.
	Others []string
}

// Question is a question that can be run on the scope it was checked with.
type Question struct {
	Text      string     // as it was asked
	Reading   string     // how it was read, in canonical form
	Echo      bool       // the reading is worth showing: `or` was mixed
	Set       Set        // nil when a route is asked for
	Route     *Route     // instead of Set
	Aggregate *Aggregate // nil when rows are asked for
	By        []Field    // groups; of the noun of Set
	Show      []Field    // nil: the columns of the noun
	Sort      []Key      // in front of natural order
	First     int        // 0: all rows
	PlanOf    bool       // asked how it would be run
	Possibly  bool       // asked for the merely possible rows
	Why       *Why       // asked why things are in the set, or not
	Missing   []Missing  // names unknown to members of a lenient scope
	Scope     *Scope

	kept *sync.Map // see Keep
}

// InOrder reports whether the answer is rows of things in natural order, member
// by member, so that none that is found later comes before them.
func (q *Question) InOrder() bool {
	return q.Route == nil && q.Why == nil && !q.PlanOf && q.Aggregate == nil && q.By == nil && q.Sort == nil
}

// Missing is a name that some members do not know.
type Missing struct {
	Name    string
	Members []int // indices into Scope.Members
}

// AggregateKind is how rows are put together.
type AggregateKind uint8

const (
	Count AggregateKind = iota + 1
	Total
	Least
	Greatest
	Mean
	Median
	Parallel // of resistances, inductances, capacitances
)

// Aggregate puts the rows of a set, or of each group, together. Field is the
// zero Field for Count.
type Aggregate struct {
	Kind  AggregateKind
	Field Field
}

// Field is a field where the question names it.
type Field struct {
	*words.Field
	Span diag.Range
}

// Key is one key of `sorted by`: a field, or what the aggregate gives for each
// group; Field is then the zero Field.
type Key struct {
	Field     Field
	Aggregate bool
	Down      bool
}

// Set is an expression whose value is a set of things of one noun, in each
// member.
type Set interface {
	Noun() words.Noun
	Range() diag.Range
	set()
}

// Select is all things of a noun for which everything said holds: one of the
// kinds (if any are named), every adjective, and Where.
type Select struct {
	Of         words.Noun
	Kinds      []PartKind        // of Parts; nil: any
	CoverKinds []board.CoverKind // of Covers; nil: any
	Adjectives []words.Adjective
	Where      Pred  // nil: all of them
	Members    []int // indices into Scope.Members that it is asked of, ascending
	Span       diag.Range
	// Jobs are those that Suspects or Tests are asked of, by number; every job that
	// is known if EveryJob.
	Jobs     []string
	EveryJob bool
}

// PartKind is a class of parts, or 0 ohm.
type PartKind = words.PartKind

// SetOp combines two sets of the same noun.
type SetOp uint8

const (
	Union  SetOp = iota + 1 // and also
	Except                  // except
	Shared                  // shared with
)

// Combine is two sets put together, from left to right.
type Combine struct {
	Op   SetOp
	L, R Set
	Span diag.Range
}

// Pred is what must hold for a thing.
type Pred interface{ pred() }

// All holds if every one of at least two predicates holds.
type All struct{ Preds []Pred }

// Any holds if one of at least two predicates holds.
type Any struct{ Preds []Pred }

// Not holds if Pred does not.
type Not struct{ Pred Pred }

// Related holds for a thing that stands in the relation to one of the operand.
// Distance is for Within only, Trace for the relations that are traced.
type Related struct {
	Relation words.Relation
	Operand  Operand
	Distance board.Quantity // a length
	Trace    *Trace
	Said     string // of CulpritIn, how it was said: "culprit on VMAIN"
	Span     diag.Range
}

// Trace is what a supply is followed through, and where it comes from if the
// question says so.
type Trace struct {
	Passes []Pass
	From   Operand // nil: what feeds it is looked for
}

// Pass is a kind of parts that a trace goes through, or Any part whatever is
// inside it. With a bound, which Below holds then, only those whose resistance
// is below it, or AtMost that.
type Pass struct {
	Any    bool
	Kind   PartKind
	Below  board.Quantity // Unit NoUnit: no bound
	AtMost bool
}

// Route is the shortest way from one of some things to one of others.
type Route struct {
	From, To     Operand
	Trace        *Trace
	ByResistance bool  // else by steps
	Members      []int // indices into Scope.Members that it is asked of, ascending
}

// Compare holds for a thing with a value of the field that fits one of Values.
// For IsNot, no value of the field may fit any of them.
type Compare struct {
	Field  Field
	Op     CompareOp
	Values []Value
	Span   diag.Range
}

// Has holds for a thing that has a value of the field; `without` is Not{Has}.
type Has struct{ Field Field }

// IsUnknown holds for a thing whose field is not known.
type IsUnknown struct{ Field Field }

// CompareOp is a comparison.
type CompareOp uint8

const (
	Equal CompareOp = iota + 1
	NotEqual
	Less
	LessEqual
	Greater
	GreaterEqual
	Between // Value.Low to Value.High, both included
)

// Value is what a field is compared with. One of its parts is used, by the
// type of the field: Quantity for quantities (and numbers, in board.One), Low
// and High for Between and for a quantity with a tolerance under Equal and
// NotEqual (Interval is then true), Text or Pattern for text and words (both without regard to case), Choice for the words of a closed list,
// and From and To for times (a day is the whole day: From included, To not).
type Value struct {
	Quantity  board.Quantity
	Interval  bool
	Low, High board.Quantity
	Outcome   board.Outcome // of readings and expected values: Measured, or Open
	Role      string        // that stands before the text, if it is a name with one
	Text      string
	Pattern   *value.Pattern // nil if it is none
	Choice    Choice
	From, To  int64 // nanoseconds since 1970 UTC
	Span      diag.Range
}

// Choice is a word of a closed list, already looked up.
type Choice struct {
	Part      PartKind
	NetKind   board.NetKind
	CoverKind board.CoverKind
	Side      board.Side
	Risk      board.Risk
	Mode      board.Mode
	Verdict   readings.Verdict
	Fault     words.FaultKind
}

// Operand is what a relation ties to.
type Operand interface{ operand() }

// Names is things by name; a thing related to any of them will do.
type Names struct{ List []Name }

// Name is one name, range or pattern, and all the things it stands for.
type Name struct {
	Text  string // in the form in which it can be asked again
	Found []Found
	Span  diag.Range
}

// Found is the things of one noun in one member that a name stands for. IDs are
// of that noun, ascending, and never empty. Texts is used instead of IDs for
// Groups, Jobs, Boards and Stacks, which have no ids.
type Found struct {
	Member int
	Noun   words.Noun
	IDs    []int32
	Texts  []string
}

// Anything is everything of the noun: any cover, any net.
type Anything struct{ Of words.Noun }

// Kinds is all things of some kinds: shield or connector; power nets;
// capacitors.
type Kinds struct {
	Of         words.Noun
	Parts      []PartKind
	NetKinds   []board.NetKind
	CoverKinds []board.CoverKind
}

// Sub is the things of another set.
type Sub struct{ Set Set }

// Either is several operands of different sorts, any of which will do.
type Either struct{ List []Operand }

func (s *Select) Noun() words.Noun   { return s.Of }
func (s *Select) Range() diag.Range  { return s.Span }
func (s *Select) set()               {}
func (c *Combine) Noun() words.Noun  { return c.L.Noun() }
func (c *Combine) Range() diag.Range { return c.Span }
func (c *Combine) set()              {}
func (All) pred()                    {}
func (Any) pred()                    {}
func (Not) pred()                    {}
func (Related) pred()                {}
func (Compare) pred()                {}
func (Has) pred()                    {}
func (IsUnknown) pred()              {}
func (Names) operand()               {}
func (Anything) operand()            {}
func (Kinds) operand()               {}
func (Sub) operand()                 {}
func (Either) operand()              {}
