package run

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"netlore/query/check"
	"netlore/query/isolate"
	"netlore/query/isolate/inject"
	"netlore/query/words"
	"netlore/store/board"
)

// Tests proposes what to do next in a job, the best first.
func Tests(ctx context.Context, scope *check.Scope, i Isolation) (*Answer, error) {
	x, err := isolating(ctx, scope, i, nil)
	if err != nil {
		return nil, err
	}
	next, err := x.at.Next(ctx, x.state, x.tools)
	if err != nil {
		return nil, err
	}
	a := &Answer{listing: testRows, Columns: usualColumns(words.Tests), Things: len(next.Proposals), Remarks: x.remarks()}
	x.inquiry = newInquiry()
	x.inquiry.addTests(x, next.Proposals)
	var shown []isolate.Proposal
	for k := range x.inquiry.tests {
		if p := x.inquiry.tests[k].Proposal; i.Every || k == 0 || k < mostTests && p.Bits >= leastBits {
			x.site(0).listed(a, words.Tests, int32(k))
			a.Ways = append(a.Ways, x.ways(p))
			shown = append(shown, *p)
		}
	}
	if next.Partial {
		a.Partial = "stopped before all was looked into"
	}
	for _, p := range shown {
		if p.Kind == isolate.TapeIt {
			a.Remarks = append(a.Remarks, x.frameBar(&p))
		}
	}
	a.Remarks = append(a.Remarks, x.outlook(&next, shown)...)
	a.setUnits()
	return a, nil
}

// How many tests are proposed, and how many bits all but the first tell at least,
// unless all are asked for.
const (
	mostTests = 5
	leastBits = .2
)

// alternatives are the best test and then the others, by what they tell for what
// they cost.
func alternatives(all []isolate.Proposal, b *isolate.Bench) []isolate.Proposal {
	if len(all) < 2 {
		return all
	}
	worth := func(p isolate.Proposal) float64 { return p.Bits / (p.All.Minutes + p.All.Risk*b.Costs.Harm) }
	rest := slices.Clone(all[1:])
	slices.SortStableFunc(rest, func(p, q isolate.Proposal) int { return cmp.Compare(worth(q), worth(p)) })
	return append(all[:1:1], rest...)
}

// outlook says how much is still to come, and what to mind.
func (x *isolation) outlook(next *isolate.Plan, shown []isolate.Proposal) []string {
	if len(next.Proposals) == 0 {
		return []string{"no test that is known of tells any more"}
	}
	about := "about "
	if next.Exact {
		about = ""
	}
	all := append([]string{fmt.Sprintf("%s%.0f minutes more on average until it is repaired, harm counted as time", about, next.Mean)}, cautions...)
	if slices.ContainsFunc(shown, func(p isolate.Proposal) bool { return p.Kind == isolate.InjectIt }) {
		all = append(all, x.feeding())
	}
	all = append(all, x.clamps(shown)...)
	if slices.ContainsFunc(shown, func(p isolate.Proposal) bool { return p.Kind == isolate.InjectIt && p.With == isolate.FreezeSpray }) {
		all = append(all, FreezerCautions...)
	}
	return all
}

// cautions go with every proposal that feeds a rail or heats a board.
var cautions = []string{
	"before any of it: battery unplugged, capacitors discharged, eyes protected,",
	"fumes drawn off; never above the rail's rated voltage, and with a current limit;",
	"follow the maker's instructions and the rules of the place, and leave to trained",
	"people what is theirs",
}

// FreezerCautions go with freezer spray: what it is filled with burns, or
// decomposes in a flame (safety data sheets of such sprays).
var FreezerCautions = []string{
	"freezer spray: many fillings burn, so keep it from flames, sparks, hot air and",
	"hot irons; air the room; it freezes skin and eyes; let the water that it leaves",
	"dry before anything is fed again",
}

// injection is how to feed the rail to make its short warm: what its ceiling
// suggests, and two amps.
func (x *isolation) injection() inject.Injection {
	safe := x.ceiling()
	return inject.Injection{Volts: safe.suggest(), Amps: usualLimit, Path: usualPath}
}

// testName says what is done and what is looked for.
func (x *isolation) testName(p *isolate.Proposal) string {
	where := "the device"
	if p.Half != isolate.None {
		where = x.half(p.Half) + " alone"
	}
	switch p.Kind {
	case isolate.FeedIt:
		return "feed " + where + " and read the draw"
	case isolate.TapeIt:
		return "tape over " + x.run(p.First, p.Pads) + ", put the halves together and feed the device"
	case isolate.ReadIt:
		tip := x.probes[p.Probe]
		return "read " + x.site(tip.member).nameValue(tip.noun, tip.id).String() + " against ground"
	case isolate.MeasureIt:
		return "read milliohms against ground, with four wires, at " + x.pointNames(p.Points) + ": it is nearest where they are lowest"
	case isolate.InjectIt:
		how := "look what becomes warm"
		if p.With == isolate.FreezeSpray {
			how = "look where frost of freezer spray melts first"
		}
		return fmt.Sprintf("feed %s with %gV, %gA at most, and %s: %s", where, x.tools.Feed.Volts, x.tools.Feed.Amps, how, x.view(p.View))
	case isolate.LookAtIt:
		return "look for corrosion: " + x.view(p.View)
	}
	part := x.parts[p.Part]
	return "lift " + x.site(part.member).nameValue(words.Parts, part.id).String() + " and feed " + where
}

// pointNames are places where milliohms are read.
func (x *isolation) pointNames(points []int) string {
	var names []string
	for _, i := range points {
		p := x.points[i]
		names = append(names, x.site(p.member).nameValue(p.noun, p.id).String())
	}
	slices.SortFunc(names, board.CompareNatural)
	return strings.Join(names, ", ")
}

func (x *bench) half(member int) string {
	if role := x.site(member).role; role != "" {
		return role
	}
	return x.site(member).b.Name
}

// view is what is looked at.
func (x *bench) view(v isolate.View) string {
	text := x.half(v.Board)
	if v.Side != board.SideUnknown {
		text += " " + v.Side.String()
	}
	if v.Cover == isolate.None {
		return text
	}
	c := x.covers[v.Cover]
	return text + ", under " + x.site(c.member).nameValue(words.Covers, c.id).String()
}

// run is a run of pads along the frame, by their names on the first board.
func (x *isolation) run(first, pads int) string {
	var names []string
	for i := range pads {
		p := x.frame[(first+i)%len(x.frame)].a
		names = append(names, x.site(p.Member).b.Pads[p.ID].Name)
	}
	short := board.CompressRange(names)
	// Along the frame numbers may fall.
	slices.Reverse(names)
	if back := board.CompressRange(names); len(back) < len(short) {
		short = back
	}
	text := strings.Join(short, ", ")
	if pads > 1 {
		text += fmt.Sprintf(" (%d pads side by side)", pads)
	}
	return text
}
