package run

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"netlore/query/isolate"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

var suspectFacts = looks{
	words.Name:       func(s *site, id int32) fact { return must(s.suspect(id).named(s.suspect(id).fault)) },
	words.Chance:     func(s *site, id int32) fact { return rounded(s.suspect(id).chance, s.suspect(id).p) },
	words.Rank:       func(s *site, id int32) fact { return count(s.suspect(id).rank) },
	words.Fault:      func(s *site, id int32) fact { k := s.suspect(id).kind(); return word(k.String(), k) },
	words.Kind:       suspectClass,
	words.What:       func(s *site, id int32) fact { return must(s.suspect(id).what(s.suspect(id).fault)) },
	words.Side:       suspectSide,
	words.CoverOf:    func(s *site, id int32) fact { return s.suspect(id).covered(words.Name) },
	words.Lift:       func(s *site, id int32) fact { return s.suspect(id).covered(words.Lift) },
	words.Minutes:    func(s *site, id int32) fact { return s.suspect(id).covered(words.Minutes) },
	words.Risk:       func(s *site, id int32) fact { return s.suspect(id).covered(words.Risk) },
	words.Needs:      func(s *site, id int32) fact { return s.suspect(id).toSee() },
	words.PartsOf:    func(s *site, id int32) fact { return s.suspect(id).made(words.Parts) },
	words.PadsOf:     func(s *site, id int32) fact { return s.suspect(id).made(words.Pads) },
	words.BranchesOf: func(s *site, id int32) fact { return s.suspect(id).made(words.Branches) },
	words.NetOf:      suspectNets,
	words.Reason:     func(s *site, id int32) fact { return must(s.suspect(id).reason()) },
	words.Job:        func(s *site, id int32) fact { return stated(s.suspect(id).job.ID) },
	words.BoardOf: func(s *site, id int32) fact {
		return s.suspect(id).ofMembers(func(s *site) value.Value { return value.OfName("", s.b.Ref.String(), boardText(s.b.Ref)) })
	},
	words.RoleOf: func(s *site, id int32) fact {
		return s.suspect(id).ofMembers(func(s *site) value.Value { return stated(s.role).cell() })
	},
}

// nowhere is the gap of what depends on where a suspect is that no sheet tells of.
var nowhere = &gap{open: true, why: "where something else is, is not known"}

// rounded is a share that is compared as it is, and shown in two digits.
func rounded(q board.Quantity, p float64) fact {
	return fact{sure: value.OfQuantity(q), gap: &gap{shown: percent(p)}}
}

// percent is a chance in two digits, and never quite 0 or 100 %.
func percent(p float64) value.Value {
	digits := math.Pow(10, math.Floor(math.Log10(max(p, 1e-4)))-1)
	thousandths := int64(math.Round(math.Round(p/digits) * digits * 1e4))
	q, _ := board.NewQuantity(min(max(thousandths, 1), 9999), -4, board.Ratio)
	return value.OfQuantity(q)
}

var faultKinds = [...]words.FaultKind{
	isolate.Single: words.PartFault, isolate.Several: words.PartsFault, isolate.Bridge: words.BridgeFault,
	isolate.Zone: words.CopperFault, isolate.Elsewhere: words.UnknownFault,
}

func (x *suspect) kind() words.FaultKind { return faultKinds[x.fault.Kind] }

// each puts what is known of the pieces of a suspect together. What no sheet tells
// of is nowhere.
func (x *suspect) each(what func(s *site, p *piece) fact) (all fact) {
	if x.fault.Kind == isolate.Elsewhere {
		return fact{gap: nowhere}
	}
	var sure []value.Value
	for i := range x.pieces {
		f := what(x.site(x.pieces[i].member), &x.pieces[i])
		for _, v := range f.values() {
			if !slices.Contains(sure, v) {
				sure = append(sure, v)
			}
		}
		all.gap = cmp.Or(all.gap, f.gap)
	}
	all.sure = value.OfList(sure)
	return all
}

func suspectClass(s *site, id int32) fact {
	return s.suspect(id).each(func(s *site, p *piece) fact {
		if p.noun != words.Parts {
			return fact{}
		}
		return partFacts[words.Kind](s, p.id)
	})
}

func suspectSide(s *site, id int32) fact { return s.suspect(id).sides() }

func (x *suspect) sides() fact {
	return x.each(func(_ *site, p *piece) fact { return word(p.Side.String(), p.Side) })
}

func suspectNets(s *site, id int32) fact {
	return s.suspect(id).each(func(s *site, p *piece) fact {
		switch p.noun {
		case words.Parts:
			return partFacts[words.NetOf](s, p.id)
		case words.Pads:
			return padFacts[words.NetOf](s, p.id)
		}
		return branchFacts[words.NetOf](s, p.id)
	})
}

// covered is what is known of the covers that hide a suspect.
func (x *suspect) covered(field words.FieldID) fact {
	return x.each(func(s *site, p *piece) fact {
		sure, maybe := s.lidsOn(p)
		var f fact
		var all []value.Value
		for _, c := range sure {
			if field == words.Name {
				all = append(all, s.nameValue(words.Covers, c))
				continue
			}
			one := coverFacts[field](s, c)
			all, f.gap = append(all, one.values()...), cmp.Or(f.gap, one.gap)
		}
		if f.sure = value.OfList(all); maybe != nil {
			f.gap = maybe
		}
		return f
	})
}

// lidsOn are the covers that surely hide a piece, and what is missing to know more.
// Copper is under a cover if the parts on it that make it a suspect of its own are.
func (s *site) lidsOn(p *piece) (sure []int32, missing *gap) {
	if p.noun == words.Branches {
		switch {
		case p.Cover != isolate.None:
			return []int32{p.lid}, nil
		case p.Side == board.SideUnknown:
			return nil, noPosition
		}
		return nil, nil
	}
	for _, l := range s.lidsOver(p.thing) {
		switch {
		case l.Truth == board.True:
			sure = append(sure, int32(l.Cover))
		case missing == nil:
			missing = &gap{why: l.Why}
			fallthrough
		default:
			missing.maybe = append(missing.maybe, s.nameValue(words.Covers, int32(l.Cover)))
		}
	}
	return sure, missing
}

// toSee is what has to come off, or apart, to see a suspect as the job stands.
func (x *suspect) toSee() fact {
	var all []string
	f := x.each(func(s *site, p *piece) fact {
		if p.Inside && !x.state.Apart && !slices.Contains(all, apartFirst) {
			all = append([]string{apartFirst}, all...)
		}
		sure, missing := s.lidsOn(p)
		for _, c := range sure {
			lid, known := x.lidAt[memberThing{p.member, thing{words.Covers, c}}]
			text := s.nameValue(words.Covers, c).String() + " off"
			if known && !slices.Contains(x.state.Lids, lid) && !slices.Contains(all, text) {
				all = append(all, text)
			}
		}
		return fact{gap: missing}
	})
	if f.sure = texts(all).sure; f.gap != nil {
		f.gap = &gap{open: true, why: f.gap.why}
	}
	return f
}

// apartFirst is what is needed where the halves have to come apart.
const apartFirst = "halves apart"

// made are the pieces of a suspect of one noun.
func (x *suspect) made(n words.Noun) fact {
	var all []value.Value
	for _, p := range x.pieces {
		if p.noun == n {
			all = append(all, x.site(p.member).nameValue(n, p.id))
		}
	}
	return fact{sure: value.OfList(all)}
}

func (x *suspect) ofMembers(what func(*site) value.Value) fact {
	return x.each(func(s *site, _ *piece) fact { return fact{sure: what(s)} })
}

// reason names the step of the job that speaks most for a suspect, and the one that
// speaks most against it.
func (x *suspect) reason() string {
	var best, worst float64
	var pro, con string
	for o, n := range x.seen {
		switch bits := x.spoke(o, x.number); {
		case bits > max(best, .05):
			best, pro = bits, x.saidBits("for it", n, bits)
		case bits < min(worst, -.05):
			worst, con = bits, x.saidBits("against it", n, bits)
		}
	}
	return cmp.Or(strings.TrimPrefix(strings.TrimSuffix(pro+"; "+con, "; "), "; "), "no step tells more of it than of others")
}

// saidBits is what a step says: "for it: step 4 (draw 2A), +0.61 bits".
func (x *isolation) saidBits(what string, n int, bits float64) string {
	step := x.steps[n].step
	return fmt.Sprintf("%s: step %d (%s), %+.2f bits", what, step.Number, said(step), bits)
}
