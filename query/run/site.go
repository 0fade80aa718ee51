package run

import (
	"cmp"

	"netlore/query/readings"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// site is one member of a scope: a board, what is known about it, and what is
// worked out from them when it is first needed. It is used by one goroutine.
type site struct {
	member int
	role   string
	self   *Member
	called string // the role by which statements name the member
	stack  string
	b      *board.Board
	k      *board.Knowledge

	said map[words.Noun]*statements

	under   thing         // what lids are over
	lids    []board.Hider // see lidsOver
	readied []*board.Lid  // of each cover; see ready
	judged  int           // how often it was asked what hides a part
	last    struct {      // see lastOutline
		thing   thing
		outline board.Outline
		side    board.Side
	}

	branches *branching
	copper   *board.Copper // see pieces
	extent   *edges        // see site.edges

	jobList     []board.Job
	knownJobs   map[int32][]int // by job, the members that know it
	readingList []board.Reading
	good        *readings.Learned[thing] // see learned
	steps       []observation

	does     []string // see functions
	assembly *assembly
}

func newSite(w *assembly, member int) *site {
	scope := w.scope
	m := scope.Members[member]
	k := m.Knowledge
	if k == nil {
		k = &board.Knowledge{}
	}
	return &site{
		member: member, role: m.Role, self: &Member{m.Board.Ref, m.Role}, called: cmp.Or(m.Role, m.Within), stack: cmp.Or(scope.Stack, m.InStack), b: m.Board, k: k, assembly: w,
	}
}

// count is how many things of a noun there are. Boards is the one board.
func (s *site) count(n words.Noun) int {
	switch n {
	case words.Parts:
		return len(s.b.Parts)
	case words.Pins:
		return len(s.b.Pins)
	case words.Nets:
		return len(s.b.Nets)
	case words.Pads:
		return len(s.b.Pads)
	case words.Covers:
		return len(s.b.Covers)
	case words.Branches:
		return len(s.pieces())
	case words.Readings:
		return len(s.readings())
	case words.Expected:
		return len(s.k.Expected)
	case words.Notes:
		return len(s.k.Notes)
	case words.Jobs:
		return len(s.jobs())
	case words.Observations:
		return len(s.observations())
	case words.Boards:
		return 1
	case words.Functions:
		return len(s.functions())
	case words.Suspects:
		return len(s.assembly.inquiry.suspects)
	case words.Tests:
		return len(s.assembly.inquiry.tests)
	}
	return 0
}

// name is the name of a thing that has one.
func (s *site) name(n words.Noun, id int32) string {
	switch n {
	case words.Parts:
		return s.b.Parts[id].Name
	case words.Pins:
		return s.b.PinName(board.PinID(id))
	case words.Nets:
		return s.b.Nets[id].Name
	case words.Pads:
		return s.b.Pads[id].Name
	case words.Covers:
		return s.b.Covers[id].Name
	case words.Branches:
		return s.pieces()[id].Name
	case words.Jobs:
		return s.jobs()[id].ID
	case words.Observations:
		return s.observed(id).name()
	case words.Boards:
		return s.b.Name
	case words.Functions:
		return s.functions()[id]
	case words.Suspects:
		return s.suspect(id).named(s.suspect(id).fault)
	case words.Tests:
		return s.test(id).testName(s.test(id).Proposal)
	}
	return ""
}

// nameValue is the name of a thing for a cell.
func (s *site) nameValue(n words.Noun, id int32) value.Value {
	name := s.name(n, id)
	role := s.role
	switch n {
	case words.Suspects, words.Tests:
		return value.OfText(name)
	case words.Functions:
		return value.OfName("", name, board.QuoteName(name))
	}
	if n.OfNoBoard() || n == words.Boards {
		role = ""
	}
	return value.OfName(role, name, words.QuoteName(name))
}

// nameValues are the names of several things of a noun.
func nameValues[ID ~int32](s *site, n words.Noun, ids []ID) []value.Value {
	values := make([]value.Value, len(ids))
	for i, id := range ids {
		values[i] = s.nameValue(n, int32(id))
	}
	return values
}

// universe is the things that a noun stands for here. Statements about another
// member of the stack are not among them.
func (s *site) universe(n words.Noun) Bits {
	all := rangeBits(0, s.count(n))
	if n != words.Readings && n != words.Expected && n != words.Notes {
		return all
	}
	st := s.statements(n)
	for id := range all.All() {
		if st.elsewhere[id] {
			all.Clear(id)
		}
	}
	return all
}
