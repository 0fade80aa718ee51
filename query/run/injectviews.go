package run

import (
	"fmt"
	"slices"
	"strings"

	"netlore/query/isolate"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// What a suspect must have to be counted in a view, and how much of a view must have
// a current for anything to show in it.
const (
	leastShown = 1e-4
	leastFlow  = .05
)

// views tell of each view with suspects whether they would show now.
func (a *advice) views() {
	var order []isolate.View
	in := map[isolate.View][]isolate.Suspect{}
	for _, s := range a.isolation.at.Suspects() {
		if f := a.isolation.at.Fault(s.Faults[0]); len(f.Sites) > 0 && s.P >= leastShown {
			v := f.Sites[0].Spot.View()
			if in[v] == nil {
				order = append(order, v)
			}
			in[v] = append(in[v], s)
		}
	}
	var cold []isolate.Suspect
	for _, v := range order {
		if chance, flows := a.inView(in[v]); flows < leastFlow*chance {
			cold = append(cold, in[v]...)
		} else {
			a.lookAt(v, in[v], chance)
		}
	}
	if chance, _ := a.inView(cold); chance > 0 {
		a.add("elsewhere", percent(chance), "stays cold, for no current gets there now: "+a.likely(cold))
	}
}

// inView is how likely one of some suspects is it, and how likely it has a current,
// too.
func (a *advice) inView(suspects []isolate.Suspect) (chance, flows float64) {
	for _, s := range suspects {
		chance += s.P
		flows += s.P * a.flows[s.Faults[0]]
	}
	return chance, flows
}

// lookAt is a row: what is suspected in a view, and whether a camera sees it now.
func (a *advice) lookAt(v isolate.View, suspects []isolate.Suspect, chance float64) {
	a.add(a.view(v), percent(chance), a.verdict(v)+": "+a.likely(suspects))
	a.behind(v)
}

// likely are the likeliest of some suspects, and how many more there are.
func (a *advice) likely(suspects []isolate.Suspect) string {
	var names []string
	for _, s := range suspects {
		names = append(names, strings.ReplaceAll(a.named(a.isolation.at.Fault(s.Faults[0])), ", ", " with "))
	}
	return firstOf(names, 3)
}

// firstOf are the first of some names, and how many more there are.
func firstOf(names []string, most int) string {
	text := strings.Join(names[:min(len(names), most)], ", ")
	if more := len(names) - most; more > 0 {
		text += fmt.Sprintf(", %d more", more)
	}
	return text
}

// verdict says whether what is in a view can be seen now.
func (a *advice) verdict(v isolate.View) string {
	spot := v.Spot()
	switch {
	case v.Cover != isolate.None && !slices.Contains(a.state.Lids, v.Cover):
		text := "cannot be seen, for " + a.coverName(v.Cover) + " lies over it"
		if a.device.IsBackOpen(&spot, &a.state) {
			text += " (some of the heat comes through to the other side)"
		}
		return text
	case !a.device.IsOpen(&spot, &a.state):
		return "cannot be seen, for it faces the other board"
	case v.Side == board.SideUnknown:
		return "can be seen as far as is known, on a side that no sheet says"
	}
	return "can be seen"
}

func (a *advice) coverName(lid int) string {
	c := a.covers[lid]
	return a.site(c.member).nameValue(words.Covers, c.id).String()
}

// behind says what else becomes hot, if a cover has to come off with heat.
func (a *advice) behind(v isolate.View) {
	if v.Cover == isolate.None || slices.Contains(a.state.Lids, v.Cover) {
		return
	}
	x := a.covers[v.Cover]
	s := a.site(x.member)
	outline, side := s.outline(x.thing)
	if isSpot(outline) || !strings.Contains(s.b.Covers[x.id].Lift, "air") {
		return
	}
	var names []string
	parts := s.b.Space().PartsBehind(outline, side)
	for _, p := range parts {
		names = append(names, s.b.Parts[p].Name)
	}
	if len(names) > 0 {
		a.add("behind "+a.coverName(v.Cover), value.OfText(plural(len(parts), "part")), "become hot, too, when it comes off with hot air: "+firstOf(board.CompressRange(names), 6))
	}
}
