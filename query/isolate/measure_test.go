package isolate_test

import (
	"context"
	"slices"
	"testing"

	"netlore/query/isolate"
)

// TestMeasure: with a meter that resolves milliohms, a rail of 40 parts that all are
// as likely is measured at five points: one of them reads lowest, so that about a
// fifth is left, 2.3 bits at most. Without the meter, or once it was done, it is not
// proposed; on a lid that is on no point is.
func TestMeasure(t *testing.T) {
	r := newRail(40, 1)
	r.Covers = []isolate.Cover{{Off: isolate.Cost{Minutes: 9}}}
	for i := range 5 {
		x := 4 + 8*float64(i)
		tip := r.tip(x, 0, 0, isolate.Straight, 1)
		spot := isolate.Spot{Board: lowerBoard, X: x, Placed: true, Cover: isolate.None}
		r.Points = append(r.Points, isolate.Point{Tip: tip, At: r.Halves[1].Feed[0], Half: lowerBoard, Spot: spot})
	}
	under := r.Points[0]
	under.Point, under.Spot.Cover = 99, 0
	r.Points = append(r.Points, under)
	c := r.begin(t)
	short := isolate.Short{By: isolate.Reading, At: r.Halves[1].Feed, Seen: true}
	c.Observe(&short)
	measured := func(c *isolate.Case, b isolate.Bench) *isolate.Proposal {
		t.Helper()
		plan, err := c.Next(context.Background(), isolate.State{}, b)
		if err != nil {
			t.Fatal(err)
		}
		at := slices.IndexFunc(plan.Proposals, func(p isolate.Proposal) bool { return p.Kind == isolate.MeasureIt })
		if at < 0 {
			return nil
		}
		return &plan.Proposals[at]
	}
	b := bench()
	b.Camera = false
	if p := measured(c, b); p != nil {
		t.Errorf("without a meter: %+v", p)
	}
	b.Milliohms = true
	p := measured(c, b)
	if p == nil {
		t.Fatal("it is not proposed to measure milliohms")
	}
	if !slices.Equal(p.Points, []int{0, 1, 2, 3, 4}) {
		t.Errorf("it is measured at %v", p.Points)
	}
	if p.Bits < 1.2 || p.Bits > 2.33 {
		t.Errorf("five readings tell %v bits", p.Bits)
	}
	if sum := p.Outcomes[0].P + p.Outcomes[1].P; sum < .999 || sum > 1.001 || p.Outcomes[0].P > .1 {
		t.Errorf("the outcomes are %+v", p.Outcomes)
	}
	var tips []isolate.Tip
	for i := range 5 {
		tip := r.Points[i].Tip
		tip.Ohms, tip.Sigma = .03+.0005*tip.Parts[20], .001
		tips = append(tips, tip)
	}
	if p := measured(r.read(t, c, tips...), b); p != nil {
		t.Errorf("what was measured is proposed again: %+v", p)
	}
}
