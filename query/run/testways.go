package run

import (
	"fmt"
	"slices"
	"strings"

	"netlore/query/isolate"
	"netlore/query/words"
	"netlore/store/board"
)

// Way is one way in which a proposed test may come out, and how it is logged.
type Way struct {
	Says   string // "the short is gone"
	Leaves string // what is left to suspect then, as in the answer; empty of a way that stands for several
	Steps  []Typed
}

// Typed is a step in the words of a sheet. If it Wants something, such as
// "amps", that goes between Text and After.
type Typed struct{ Text, Wants, After string }

// Cautions are the lines that go with every proposal of a test.
func Cautions() []string { return cautions }

// How a test comes out if nothing was seen, and if something was.
const (
	unseen = 0
	seen   = 1
)

// ways are the ways in which a test may come out. What has to be done to the
// device before it is logged with each.
func (x *isolation) ways(p *isolate.Proposal) []Way {
	first := x.firstSteps(p)
	if p.Kind == isolate.MeasureIt {
		return []Way{{Says: "what the meter showed", Steps: append(first, x.milliohms(p)...)}}
	}
	var all []Way
	add := func(outcome int, says string, steps ...Typed) {
		w := Way{Says: says, Steps: append(slices.Clip(first), steps...)}
		if outcome >= 0 {
			w.Leaves = left(p.Outcomes[outcome]).sure.String()
		}
		all = append(all, w)
	}
	switch p.Kind {
	case isolate.FeedIt:
		x.feedWays(p, add)
	case isolate.TapeIt:
		add(unseen, "the short is gone", Typed{Text: "tape " + x.taped(p) + " gone"})
		add(seen, "still there", Typed{Text: "tape " + x.taped(p) + " still"})
	case isolate.ReadIt:
		at := x.tipAt(p)
		add(seen, "rings: the short is there", Typed{Text: "reading continuity " + at + " rings"})
		add(unseen, "does not ring", Typed{Text: "reading continuity " + at + " silent"})
		add(isolate.None, "diode mode", Typed{Text: "reading diode " + at + " ", Wants: "volts, or open"})
	case isolate.InjectIt:
		x.warmWays(p, add)
	case isolate.LookAtIt:
		add(unseen, "no corrosion", Typed{Text: "look nothing " + quoted(cleanOf+x.view(p.View))})
		add(seen, "corrosion at", Typed{Text: "look ", Wants: "the part that is nearest", After: ` "corrosion"`})
	case isolate.LiftIt:
		part := x.written(x.parts[p.Part])
		add(unseen, "the short is gone", Typed{Text: "lifted " + part + " gone"})
		add(seen, "still there", Typed{Text: "lifted " + part + " still"})
	}
	return all
}

// tipAt is where the tip of the meter goes: of a part, the pin that is meant.
func (x *isolation) tipAt(p *isolate.Proposal) string {
	tip := x.probes[p.Probe]
	if tip.noun == words.Parts {
		if pin := x.supply.PinAt(tip.member, board.PartID(tip.id), p.At[0]); pin != board.None {
			tip.thing = thing{words.Pins, int32(pin)}
		}
	}
	return x.written(tip)
}

// firstSteps are what has to be done to the device first, as far as it changes it.
func (x *isolation) firstSteps(p *isolate.Proposal) (all []Typed) {
	if p.State.Apart && !x.state.Apart {
		all = append(all, Typed{Text: board.StepSeparated.String()})
	}
	for _, lid := range p.Lids {
		all = append(all, Typed{Text: board.StepCoverOff.String() + " " + x.written(x.covers[lid])})
	}
	return all
}

// feedWays are what the supply may show.
func (x *isolation) feedWays(p *isolate.Proposal, add func(int, string, ...Typed)) {
	half := ""
	if p.Half != isolate.None {
		half = board.QuoteName(x.site(p.Half).role) + " "
	}
	l := logged{bench: x.bench, job: x.job}
	normal, limit, _ := l.usualAmps(p.At)
	add(unseen, fmt.Sprintf("%s or less: the short is gone", normal), Typed{Text: "draw " + half + normal.String() + ` "or less"`})
	add(seen, fmt.Sprintf("at the limit, %s: still there", limit), Typed{Text: "draw " + half + limit.String() + ` "at the limit"`})
	add(isolate.None, "it draws", Typed{Text: "draw " + half, Wants: "amps"})
}

// mostWarm is how many parts are offered as what became warm; others are typed.
const mostWarm = 3

// warmWays are what may become warm: the likeliest suspects in view.
func (x *isolation) warmWays(p *isolate.Proposal, add func(int, string, ...Typed)) {
	c := x.supply.Copper(p.At[0])
	net := x.written(memberThing{c.Member, thing{words.Nets, int32(c.Net)}})
	fed := Typed{Text: fmt.Sprintf("inject %s %gV %gA", net, x.tools.Feed.Volts, x.tools.Feed.Amps)}
	how, first := "hot ", " is warm"
	if p.With == isolate.FreezeSpray {
		how, first = "freeze ", " thaws first"
	}
	add(unseen, "nothing", fed, Typed{Text: how + "nothing"})
	for _, name := range x.likeliestIn(p.View, mostWarm) {
		add(isolate.None, name+first, fed, Typed{Text: how + name})
	}
	add(seen, "another", fed, Typed{Text: how, Wants: "the part that is" + strings.TrimPrefix(first, " is")})
}

// likeliestIn are the likeliest parts in a view, by their names.
func (x *isolation) likeliestIn(v isolate.View, most int) (names []string) {
	for _, s := range x.at.Suspects() {
		f := x.at.Fault(s.Faults[0])
		if len(names) == most {
			break
		}
		if f.Kind != isolate.Single || f.Sites[0].Spot.View() != v {
			continue
		}
		if name := x.written(x.parts[f.Sites[0].Part]); !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}

// milliohms is a step for each place.
func (x *isolation) milliohms(p *isolate.Proposal) (all []Typed) {
	for _, i := range p.Points {
		at := x.written(x.points[i])
		all = append(all, Typed{Text: "resistance " + at + " ", Wants: "ohms at " + at})
	}
	return all
}

// taped are the pads of a run that no tape is over yet.
func (x *isolation) taped(p *isolate.Proposal) string {
	byMember := make([][]string, len(x.scope.Members))
	for i := range p.Pads {
		pad := (p.First + i) % len(x.frame)
		if end := x.frame[pad].a; !slices.Contains(x.state.Taped, pad) {
			byMember[end.Member] = append(byMember[end.Member], x.site(end.Member).b.Pads[end.ID].Name)
		}
	}
	var all []string
	for member, names := range byMember {
		slices.SortFunc(names, board.CompareNatural)
		for _, run := range board.CompressRange(names) {
			name := run
			if slices.Contains(names, run) {
				name = board.QuoteName(run)
			}
			all = append(all, rolePrefix(x.site(member).role)+name)
		}
	}
	return strings.Join(all, ", ")
}

func rolePrefix(role string) string {
	if role == "" {
		return ""
	}
	return board.QuoteName(role) + ":"
}

// targetKinds are the kinds of targets that are things on a board.
var targetKinds = map[words.Noun]board.TargetKind{words.Parts: board.OnPart, words.Pads: board.OnPad, words.Covers: board.OnCover, words.Nets: board.OnNet}

// written is a thing as a step names it; its kind is told if others share its name.
func (x *bench) written(t memberThing) string {
	s := x.site(t.member)
	on := board.Target{Role: s.role, Name: s.name(t.noun, t.id)}
	if t.noun == words.Pins {
		pin := &s.b.Pins[t.id]
		on.Name, on.Pin = s.b.Parts[pin.Part].Name, pin.Name
	} else if len(s.b.Find(board.Target{Name: on.Name}).Kinds) > 1 {
		on.Kind = targetKinds[t.noun]
	}
	return on.Written()
}

// cleanOf begins the text of a look that found no corrosion; what was looked at
// follows. It is what cleanView understands.
const cleanOf = "no corrosion, "

func quoted(text string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(text) + `"`
}

// cleanView is the view of which a text says that no corrosion was seen.
func (x *bench) cleanView(text string) (isolate.View, bool) {
	said, ok := strings.CutPrefix(text, cleanOf)
	for i := range x.device.Parts {
		if v := x.device.Parts[i].Spot.View(); ok && x.view(v) == said {
			return v, true
		}
	}
	return isolate.View{}, false
}
