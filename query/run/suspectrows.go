package run

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"netlore/query/check"
	"netlore/query/isolate"
	"netlore/query/trace"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// Suspects ranks what may be bad in a job, the likeliest first.
func Suspects(ctx context.Context, scope *check.Scope, i Isolation) (*Answer, error) {
	x, err := isolating(ctx, scope, i, nil)
	if err != nil {
		return nil, err
	}
	a, rest, told := &Answer{listing: suspectRows, Columns: usualColumns(words.Suspects)}, 0.0, 0.0
	x.inquiry = newInquiry()
	x.inquiry.add(x)
	for id := range x.inquiry.suspects {
		s := &x.inquiry.suspects[id]
		if worth := s.p >= leastChance || id < fewSuspects && told < .5; !worth && !i.Every {
			rest += s.p
			continue
		}
		told += s.p
		x.site(0).listed(a, words.Suspects, int32(id))
	}
	a.Things = len(x.inquiry.suspects)
	a.Remarks = x.remarks()
	if more := a.Things - len(a.Rows); more > 0 {
		remark := fmt.Sprintf("%d more suspects have %s together", more, percent(rest))
		if more == 1 {
			remark = fmt.Sprintf("1 more suspect has %s", percent(rest))
		}
		if i.More != "" {
			remark += "; " + i.More
		}
		a.Remarks = append(a.Remarks, remark)
	}
	a.setUnits()
	return a, nil
}

// Suspicion says what of a job has spoken for and against a suspect, in bits: by
// how many doublings it is likelier than in the mean over all others.
func Suspicion(ctx context.Context, scope *check.Scope, i Isolation, suspect board.Target) (*Answer, error) {
	x, err := isolating(ctx, scope, i, nil)
	if err != nil {
		return nil, err
	}
	fault, p, err := x.faultOf(suspect)
	if err != nil {
		return nil, err
	}
	a := &Answer{listing: spokenRows, Columns: []Column{{Name: "step"}, {Name: "seen"}, {Name: "speaks"}, {Name: "bits"}}}
	for n, t := range x.steps {
		a.Rows = append(a.Rows, x.spoken(n, &t, fault))
	}
	a.Things = len(x.seen)
	a.Remarks = append([]string{fmt.Sprintf("%s: %s, from %s before anything was seen", x.named(x.at.Fault(fault)), percent(p), percent(x.prior(fault)))}, x.withoutIt(x.at.Fault(fault))...)
	a.Remarks = append(a.Remarks, x.remarks()...)
	a.setUnits()
	return a, nil
}

// faultOf is the likeliest fault of a part, and how likely the part is bad.
func (x *isolation) faultOf(t board.Target) (fault int, p float64, err error) {
	for _, s := range x.at.Suspects() {
		f := x.at.Fault(s.Faults[0])
		if f.Kind != isolate.Single {
			continue
		}
		for _, part := range x.here(t) {
			if at, ok := x.partAt[part]; ok && at == f.Sites[0].Part {
				return s.Faults[0], s.P, nil
			}
		}
	}
	return 0, 0, fmt.Errorf("%s is no suspect: it is not between %s and ground, as far as is known", t, x.rail)
}

// prior is how likely a suspect was before anything was seen.
func (x *isolation) prior(fault int) float64 {
	sum, mine := 0.0, 0.0
	for i := range x.faults {
		f := &x.faults[i]
		sum += f.Weight
		if f.Kind == isolate.Single && f.Sites[0].Part == x.faults[fault].Sites[0].Part {
			mine += f.Weight
		}
	}
	return mine / sum
}

// spoken is a row: a step of the job, and what it says of a fault.
func (x *isolation) spoken(n int, t *told, fault int) Row {
	cells := []value.Value{value.OfCount(t.step.Number), value.OfText(said(t.step)), value.Nothing(), value.Nothing()}
	if o := slices.Index(x.seen, n); o >= 0 {
		bits := x.spoke(o, fault)
		cells[2], cells[3] = value.OfText(speaks(bits)), value.OfText(fmt.Sprintf("%+.2f", bits))
	}
	return Row{ID: board.None, Cells: cells}
}

// leastChance is what a suspect must have to be listed, unless it is one of the first
// few and those before it have not even half of all together.
const (
	leastChance = .01
	fewSuspects = 12
)

// named is what a suspect is called.
func (x *isolation) named(f *isolate.Fault) string {
	switch f.Kind {
	case isolate.Bridge:
		return x.frame[f.Pads[0]].name(x.bench, f.Sites[0].Spot.Board) + " to " + x.frame[f.Pads[1]].name(x.bench, f.Sites[0].Spot.Board)
	case isolate.Zone:
		return "copper of " + x.copperName(x.supply, f.Sites[0].At)
	case isolate.Elsewhere:
		return "something else"
	}
	var names []string
	for _, s := range f.Sites {
		p := x.parts[s.Part]
		name := x.site(p.member).nameValue(words.Parts, p.id).String()
		if s.New {
			name = "the new " + name
		}
		names = append(names, name)
	}
	return strings.Join(names, ", ")
}

// on is the pad of a joint on one board.
func (j joined) on(member int) trace.Pad {
	if j.b.Member == member {
		return j.b
	}
	return j.a
}

// name is what that pad is called.
func (j joined) name(x *bench, member int) string {
	p := j.on(member)
	return x.site(p.Member).nameValue(words.Pads, int32(p.ID)).String()
}

// what is what a suspect is.
func (x *isolation) what(f *isolate.Fault) string {
	switch f.Kind {
	case isolate.Bridge:
		return "solder bridge"
	case isolate.Zone:
		return "corroded, scratched"
	case isolate.Several:
		if f.Second > 0 {
			return "both"
		}
		return "both, side by side"
	case isolate.Elsewhere:
		return "in no sheet"
	}
	p := x.parts[f.Sites[0].Part]
	part := &x.site(p.member).b.Parts[p.id]
	text := part.Class.String()
	if part.Value.Known() {
		text += ", " + part.Value.String()
	}
	return text
}
