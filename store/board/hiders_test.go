package board

import (
	"slices"
	"testing"
)

// The parts that a cover hides are those that have it among their hiders, and
// with the same truth; U3 has no place, so that it may be under SH2.
func TestHiddenByIsHidersTheOtherWayRound(t *testing.T) {
	bu := NewBuilder(Ref{Name: "Heron-A"})
	for i, name := range []string{"U1", "U2"} {
		p := bu.PartAt(bu.Part(name))
		p.Placed, p.Side, p.Size, p.At = true, Top, Size{W: 1000, H: 1000}, Point{X: int32(i) * 10_000}
	}
	bu.Part("U3")
	listed := bu.Cover("SH1")
	*bu.CoverAt(listed) = Cover{Name: "SH1", Part: None, Listed: true, Parts: []PartID{bu.Part("U1"), bu.Part("U2")}}
	drawn := bu.CoverAt(bu.Cover("SH2"))
	drawn.Side, drawn.Outline = Top, Box(Point{X: 9_000, Y: -1_000}, Point{X: 11_000, Y: 1_000})
	b := bu.Build()

	total := 0
	for p := range PartID(len(b.Parts)) {
		for _, h := range b.Hiders(p) {
			total++
			if !slices.Contains(b.HiddenBy(h.Cover), Hidden{p, h.Truth}) {
				t.Errorf("%s is under %s (%s) only one way round", b.Parts[p].Name, b.Covers[h.Cover].Name, h.Truth)
			}
		}
	}
	for c := range CoverID(len(b.Covers)) {
		total -= len(b.HiddenBy(c))
	}
	if total != 0 {
		t.Errorf("%d more parts by one way than by the other", total)
	}
	if got := b.HiddenBy(1); !slices.Equal(got, []Hidden{{1, True}, {2, Unknown}}) {
		t.Errorf("under SH2: %v", got)
	}
}
