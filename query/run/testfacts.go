package run

import (
	"fmt"
	"math"

	"netlore/query/isolate"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// test is what can be tested next in a job.
type test struct {
	*isolation
	*isolate.Proposal
	rank int
	made []memberThing // the pads and parts that it is made at, and the covers that come off
}

// addTests adds what can be tested next in a job, the best first.
func (q *inquiry) addTests(x *isolation, all []isolate.Proposal) {
	for k, p := range alternatives(all, &x.tools) {
		one := test{isolation: x, Proposal: &p, rank: k + 1, made: x.madeAt(&p)}
		for _, t := range one.made {
			q.at[t] = append(q.at[t], int32(len(q.tests)))
		}
		q.tests = append(q.tests, one)
	}
}

// madeAt are the pads and parts that a test is made at, and the covers that have to
// come off.
func (x *isolation) madeAt(p *isolate.Proposal) (all []memberThing) {
	switch p.Kind {
	case isolate.TapeIt:
		for i := range p.Pads {
			both := x.frame[(p.First+i)%len(x.frame)]
			all = append(all, memberThing{both.a.Member, thing{words.Pads, int32(both.a.ID)}}, memberThing{both.b.Member, thing{words.Pads, int32(both.b.ID)}})
		}
	case isolate.ReadIt:
		all = append(all, x.probes[p.Probe])
	case isolate.MeasureIt:
		for _, i := range p.Points {
			all = append(all, x.points[i])
		}
	case isolate.LiftIt:
		all = append(all, x.parts[p.Part])
	}
	for _, lid := range p.Lids {
		all = append(all, x.covers[lid])
	}
	return all
}

var testFacts = looks{
	words.Name:     func(s *site, id int32) fact { return must(s.test(id).testName(s.test(id).Proposal)) },
	words.Rank:     func(s *site, id int32) fact { return count(s.test(id).rank) },
	words.Needs:    func(s *site, id int32) fact { return single(s.test(id).needs(s.test(id).Proposal)) },
	words.Minutes:  func(s *site, id int32) fact { return takes(s.test(id).All.Minutes) },
	words.Risk:     func(s *site, id int32) fact { return share(s.test(id).All.Risk) },
	words.Bits:     func(s *site, id int32) fact { return hundredths(s.test(id).Proposal.Bits) },
	words.Tells:    func(s *site, id int32) fact { return share(s.test(id).Proposal.Bits / s.test(id).at.Entropy()) },
	words.IfSeen:   func(s *site, id int32) fact { return left(s.test(id).Outcomes[1]) },
	words.IfUnseen: func(s *site, id int32) fact { return left(s.test(id).Outcomes[0]) },
	words.Target: func(s *site, id int32) fact {
		var all several
		for _, t := range s.test(id).made {
			all.add(s.assembly.site(t.member).nameValue(t.noun, t.id))
		}
		return fact{sure: all.value()}
	},
	words.Job: func(s *site, id int32) fact { return stated(s.test(id).job.ID) },
}

// takes is how long something takes: to half a minute if it is short.
func takes(minutes float64) fact {
	halves := int64(math.Round(2 * minutes))
	if minutes >= 10 {
		halves = 2 * int64(math.Round(minutes))
	}
	q, _ := board.NewQuantity(30*halves, 0, board.Second)
	return quantity(q)
}

// share is a probability, or a share of a whole.
func share(p float64) fact {
	q, _ := board.NewQuantity(int64(math.Round(p*1e9)), -9, board.Ratio)
	return rounded(q, p)
}

// hundredths is a plain number with two places behind the point.
func hundredths(x float64) fact {
	q, _ := board.NewQuantity(int64(math.Round(x*100)), -2, board.One)
	return quantity(q)
}

// left is what an outcome leaves: how many suspects share all but a twentieth.
func left(l isolate.Left) fact {
	if l.P < 1e-6 {
		return must("will not be")
	}
	return must(fmt.Sprintf("%.0f left (%s)", math.Ceil(l.Suspects), percent(l.P)))
}

// needs is what has to be done first.
func (x *isolation) needs(p *isolate.Proposal) value.Value {
	var all []value.Value
	if p.Unsolder {
		all = append(all, value.OfText(apartFirst))
	}
	for _, lid := range p.Lids {
		c := x.covers[lid]
		all = append(all, value.OfText(x.site(c.member).nameValue(words.Covers, c.id).String()+" off"))
	}
	return value.OfList(all)
}
