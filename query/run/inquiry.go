package run

import (
	"math"
	"time"

	"netlore/query/isolate"
	"netlore/query/words"
	"netlore/store/board"
)

// inquiry is the jobs that suspects and tests are asked of, each worked out once. Of
// both nouns the ids are indices: job by job, and in each the likeliest suspect, or
// the best test, first.
type inquiry struct {
	suspects []suspect
	tests    []test
	of       map[memberThing][]int32 // the suspects that a part, pad or branch is, or may be
	at       map[memberThing][]int32 // the tests that are made at one
	remarks  []jobRemarks
	took     time.Duration
}

func newInquiry() *inquiry {
	return &inquiry{of: map[memberThing][]int32{}, at: map[memberThing][]int32{}}
}

// suspect is what may be bad in a job.
type suspect struct {
	*isolation
	fault  *isolate.Fault // the likeliest of its faults
	number int            // of that
	p      float64
	chance board.Quantity
	rank   int
	pieces []piece
}

// piece is a part, pad or branch that a suspect is.
type piece struct {
	memberThing
	isolate.Spot
	lid int32 // the cover of the spot, if it has one
}

// add adds the suspects of a job. Their chances are rounded so that they sum up to 1.
func (q *inquiry) add(x *isolation) {
	const digits = 9
	sum, so := 0.0, int64(0)
	for rank, s := range x.at.Suspects() {
		sum += s.P
		upTo := int64(math.Round(sum * 1e9))
		chance, _ := board.NewQuantity(max(upTo-so, 1), -digits, board.Ratio)
		so = upTo
		one := x.suspected(s)
		one.chance, one.rank = chance, rank+1
		for _, p := range one.pieces {
			q.of[p.memberThing] = append(q.of[p.memberThing], int32(len(q.suspects)))
		}
		q.suspects = append(q.suspects, one)
	}
}

// suspected is a suspect by itself, with neither rounded chance nor rank.
func (x *isolation) suspected(s isolate.Suspect) suspect {
	f := x.at.Fault(s.Faults[0])
	return suspect{isolation: x, fault: f, number: s.Faults[0], p: s.P, pieces: x.pieces(f)}
}

// pieces are what a fault is at.
func (x *isolation) pieces(f *isolate.Fault) (all []piece) {
	for i, site := range f.Sites {
		add := func(member int, t thing) {
			p := piece{memberThing: memberThing{member, t}, Spot: site.Spot, lid: board.None}
			if p.Cover != isolate.None {
				p.lid = x.covers[p.Cover].id
			}
			all = append(all, p)
		}
		switch {
		case site.Part != isolate.None:
			add(x.parts[site.Part].member, x.parts[site.Part].thing)
		case f.Kind == isolate.Bridge && i == 0:
			for _, pad := range f.Pads {
				p := x.frame[pad].on(site.Spot.Board)
				add(p.Member, thing{words.Pads, int32(p.ID)})
			}
		default:
			if branch := x.branchAt(site); branch != board.None {
				add(x.supply.Copper(site.At).Member, thing{words.Branches, branch})
			}
		}
	}
	return all
}

// branchAt is the piece of copper of a site, board.None if it is not known.
func (x *isolation) branchAt(site isolate.Site) int32 {
	c := x.supply.Copper(site.At)
	branch := int32(c.Branch)
	if branch == board.None && c.Net != board.None {
		netBranches(x.site(c.Member), int32(c.Net), func(id int32, sure bool) {
			if sure {
				branch = id
			}
		})
	}
	return branch
}

// suspect is one of those that are asked of.
func (s *site) suspect(id int32) *suspect { return &s.assembly.inquiry.suspects[id] }

// test is one of those that are asked of.
func (s *site) test(id int32) *test { return &s.assembly.inquiry.tests[id] }

// member is the member that a suspect is on, the first of several; nil if that is not
// known.
func (x *suspect) member() *Member {
	if len(x.fault.Sites) == 0 {
		return nil
	}
	return x.site(x.fault.Sites[0].Spot.Board).self
}

// usualColumns are the columns that a noun shows.
func usualColumns(n words.Noun) (all []Column) {
	for _, field := range n.Columns() {
		all = append(all, Column{Name: words.FieldByID(n, field).Column()})
	}
	return all
}

// listed adds a row for a suspect or a test, with those columns.
func (s *site) listed(a *Answer, n words.Noun, id int32) {
	a.inquiry = s.assembly.inquiry
	r := Row{ID: id, Of: s.rowOf(n, id)}
	for _, field := range n.Columns() {
		r.Cells = append(r.Cells, s.fact(words.FieldByID(n, field), id).cell())
	}
	a.Rows = append(a.Rows, r)
}

// rowOf is the board that the row of a thing is of.
func (s *site) rowOf(n words.Noun, id int32) *Member {
	switch n {
	case words.Tests:
		return nil
	case words.Suspects:
		return s.suspect(id).member()
	}
	return s.self
}
