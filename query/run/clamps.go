package run

import (
	"fmt"
	"slices"
	"strings"

	"netlore/query/isolate"
	"netlore/query/trace"
	"netlore/store/board"
)

// clamps say of each half that a proposal feeds alone in how many pieces its rail is
// then, if in more than one, and where to clamp each; once for each half.
func (x *isolation) clamps(shown []isolate.Proposal) (said []string) {
	halves := map[int]bool{}
	for i := range shown {
		p := &shown[i]
		feeds := p.Kind == isolate.FeedIt || p.Kind == isolate.InjectIt || p.Kind == isolate.LiftIt
		if p.Half == isolate.None || !feeds || halves[p.Half] {
			continue
		}
		halves[p.Half] = true
		if pieces := x.device.Pieces(p.At, &p.State); len(pieces) > 1 {
			said = append(said, fmt.Sprintf("alone, %s has the rail in %d pieces: clamp each of them, %s",
				x.half(p.Half), len(pieces), x.clampsOn(pieces, p)))
		}
	}
	return said
}

// mostClamps is how many places for clamps are named.
const mostClamps = 8

// clampsOn names a place for a clamp on each of some pieces of a rail.
func (x *isolation) clampsOn(pieces []*trace.Reach, p *isolate.Proposal) string {
	var at []string
	for _, piece := range pieces {
		i := slices.IndexFunc(x.device.Probes, func(tip isolate.Probe) bool {
			return tip.Half == p.Half && piece.Has(tip.At) && x.device.IsOpen(&tip.Spot, &p.State)
		})
		if i >= 0 {
			tip := x.probes[i]
			at = append(at, x.site(tip.member).nameValue(tip.noun, tip.id).String())
		}
	}
	slices.SortFunc(at, board.CompareNatural)
	text := "as at " + strings.Join(at[:min(len(at), mostClamps)], ", ")
	if more := len(at) - mostClamps; more > 0 {
		text += fmt.Sprintf(", %d more", more)
	}
	switch bare := len(pieces) - len(at); {
	case len(at) == 0:
		return "though nothing of them lies open"
	case bare > 0:
		return fmt.Sprintf("%s; of %d nothing lies open", text, bare)
	}
	return text
}
