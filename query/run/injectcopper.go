package run

import (
	"context"
	"fmt"
	"math"

	"netlore/query/copper"
	"netlore/query/isolate"
	"netlore/query/isolate/inject"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// way is what is known of the copper from the clamp to what is suspected.
type way struct {
	ohms  float64 // to the likeliest suspect that tracks lead to
	to    string
	thin  *copper.Line // that the current makes warmest on the way to any of the likeliest
	of    memberNet
	past  string  // the suspect on the way to which it is
	most  float64 // amps in all that make it warmer by so much
	melts float64 // amps in all that melt it
}

// How many of the likeliest suspects are looked at, and in how many seconds a track
// is said to melt.
const (
	mostWays = 12
	melting  = 1
)

// wire works out the copper on the way, and keeps the current to what it carries.
func (a *advice) wire(ctx context.Context) error {
	r, err := a.copperOfRail(ctx, a.Copper, a.state)
	if err != nil || r == nil {
		return err
	}
	from := r.node(a.clamp)
	if from == copper.None {
		return nil
	}
	looked := 0
	for _, s := range a.isolation.at.Suspects() {
		if looked == mostWays {
			break
		}
		f := &a.faults[s.Faults[0]]
		if len(f.Sites) == 0 || f.Sites[0].Part == isolate.None {
			continue
		}
		part := a.parts[f.Sites[0].Part]
		if to := r.node(part); to != copper.None && to != from && r.solved.Joined(from, to) {
			looked++
			a.follow(r, from, to, a.site(part.member).nameValue(words.Parts, part.id).String())
		}
	}
	if a.way == nil {
		return nil
	}
	a.feed.Path += a.way.ohms
	switch {
	case a.way.thin == nil || a.feed.Amps <= a.way.most:
	case a.Amps.Known():
		a.limit = fmt.Sprintf("as you said, though the thinnest track on the way becomes more than %g K warmer", a.Rise)
	default:
		a.feed.Amps = a.way.most
		a.limit = fmt.Sprintf("what the thinnest track on the way carries without becoming more than %g K warmer", a.Rise)
	}
	return nil
}

// follow looks at the way to one suspect.
func (a *advice) follow(r *railCopper, from, to copper.Node, name string) {
	volts := r.solved.Volts(map[copper.Node]float64{from: 1, to: -1})
	if a.way == nil {
		a.way = &way{ohms: volts[from] - volts[to], to: name, most: math.Inf(1)}
	}
	for net, l := range r.nets {
		for i := range l.Lines {
			line := &l.Lines[i]
			share := math.Abs(volts[line.A]-volts[line.B]) / line.Ohms
			layer := inject.Internal
			if line.Outside {
				layer = inject.External
			}
			thick := r.Micrometres(line.Outside)
			most := inject.Carries(line.Width, thick, a.Rise, layer) / share
			if w := a.way; most < w.most*(1-1e-9) {
				w.thin, w.of, w.past, w.most = line, net, name, most
				w.melts = inject.Fuses(line.Width, thick, melting, a.Copper.Celsius) / share
			}
		}
	}
}

// wires are the rows of the copper on the way.
func (a *advice) wires() {
	if a.way == nil {
		a.add("copper on the way", value.Nothing(), "no sheet has the tracks that lead there, so how much they can carry is not known: watch what else becomes warm")
		return
	}
	m := &a.Copper
	a.add("copper on the way", amount(a.way.ohms, board.Ohm), fmt.Sprintf("to %s by the tracks that are drawn, %gum thick outside and %gum inside", a.way.to, m.Outer, m.Inner))
	if t := a.way.thin; t != nil {
		at := fmt.Sprintf("%g,%g", float64(t.Middle.X)/1000, float64(t.Middle.Y)/1000)
		net := a.site(a.way.of.member).nameValue(words.Nets, int32(a.way.of.net)).String()
		a.add("thinnest track on the way", value.OfQuantity(board.Millimetres(int32(math.Round(t.Width*1000)))),
			fmt.Sprintf("of %s on layer %d at %s, to %s: %s make it %g K warmer (IPC-2221), %s melt it in %d s (Onderdonk)", net, t.Layer, at, a.way.past,
				amount(a.way.most, board.Ampere), a.Rise, amount(a.way.melts, board.Ampere), melting))
	}
}
