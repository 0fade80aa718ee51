package run

import (
	"fmt"
	"strings"

	"netlore/query/isolate"
	"netlore/query/words"
)

// verdict says whether what was taken off or replaced explains the short, and what
// proves it.
func (x *isolation) verdict() []string {
	v, ok := x.at.Verdict()
	switch rest := 1 - v.Explained - v.Second; {
	case !ok:
		return nil
	case v.Explained >= .5:
		return []string{x.explained(v)}
	case v.Second > rest:
		return []string{fmt.Sprintf("most likely a second short (%s): what is off was bad, and so is %s", percent(v.Second), x.named(x.at.Fault(v.Left)))}
	default:
		return []string{fmt.Sprintf("%s: %s that this explains the short, %s that a second one is bad besides, %s that nothing of it was bad",
			x.changed(), percent(v.Explained), percent(v.Second), percent(rest))}
	}
}

// changed names the parts that are off or new.
func (x *isolation) changed() string {
	var all []string
	for _, part := range x.state.Off {
		all = append(all, x.partName(part)+" off")
	}
	for _, part := range except(x.state.New, x.state.Off) {
		all = append(all, x.partName(part)+" replaced")
	}
	return strings.Join(all, ", ")
}

func (x *isolation) partName(part int) string {
	return x.site(x.parts[part].member).nameValue(words.Parts, x.parts[part].id).String()
}

// explained says which part explains the short, and which step says so most.
func (x *isolation) explained(v isolate.Verdict) string {
	most, step := 0.0, -1
	for o, n := range x.seen {
		if bits := x.spoke(o, v.Fault); bits > most {
			most, step = bits, n
		}
	}
	name, how := x.named(x.at.Fault(v.Fault)), "explains"
	if v.Explained < sure {
		how = "most likely explains"
	}
	text := fmt.Sprintf("%s %s the short; nothing more is shorted (%s)", name, how, percent(v.Explained))
	if step >= 0 {
		text += fmt.Sprintf("; step %d (%s) says so most, by %.1f bits", x.steps[step].step.Number, said(x.steps[step].step), most)
	}
	return text
}

// sure is the chance at which something is told without reserve.
const sure = .95

// ruledOut says that the fault is not among what is known, and what to do.
func (x *isolation) ruledOut() []string {
	most, step := 0.0, -1
	for f := range x.faults {
		if x.faults[f].Kind != isolate.Elsewhere {
			continue
		}
		for o, n := range x.seen {
			if bits := x.spoke(o, f); bits > most {
				most, step = bits, n
			}
		}
	}
	text := []string{fmt.Sprintf("the fault is most likely not among what these sheets know: %d suspects on %s, and the steps rule nearly all of them out", len(x.at.Suspects())-1, x.rail)}
	if step >= 0 {
		text = append(text, fmt.Sprintf("make step %d (%s) again, which ruled most out; if it stands, look for parts and nets that no sheet has,", x.steps[step].step.Number, said(x.steps[step].step)),
			"and for a pad or a track that the list of the rail lacks: netlore ring finds where a pad leads")
	}
	return text
}
