package run

import (
	"slices"

	"netlore/query/trace"
	"netlore/query/words"
	"netlore/store/board"
)

// change puts the device into the state that a step leaves it in, and says why the
// step cannot have been made so, if it cannot.
func (l *logged) change(s *board.Step) (cannot string) {
	switch s.Kind {
	case board.StepSeparated, board.StepJoined:
		return l.part(s.Kind == board.StepSeparated)
	case board.StepTape:
		if len(l.frame) == 0 {
			return "no pads here are joined to others, so tape opens nothing"
		}
		return l.mark(&l.state.Taped, s, l.padOf, true, "taped over")
	case board.StepUntape:
		return l.mark(&l.state.Taped, s, l.padOf, false, "taped over")
	case board.StepCoverOff:
		return l.mark(&l.state.Lids, s, l.lidOf, true, "off")
	case board.StepCoverOn:
		return l.mark(&l.state.Lids, s, l.lidOf, false, "off")
	case board.StepLifted, board.StepRemoved, board.StepFitted, board.StepReplaced:
		return l.changeParts(s)
	}
	return ""
}

// part takes the boards apart or puts them together.
func (l *logged) part(apart bool) (cannot string) {
	switch {
	case len(l.scope.Members) == 1:
		return "the device is one board"
	case apart && l.state.Apart:
		cannot = "the boards are apart"
	case !apart && !l.state.Apart:
		cannot = "the boards are together"
	}
	l.state.Loose, l.state.Apart = l.state.Loose || apart, apart
	return cannot
}

// changeParts takes parts off, puts them back, or puts new ones in their place. What
// is lifted only can be taken off, too; what is replaced may be on or off.
func (l *logged) changeParts(s *board.Step) (cannot string) {
	switch s.Kind {
	case board.StepLifted:
		before := l.state.Off
		cannot = l.mark(&l.state.Off, s, l.partOf, true, "off")
		l.lifted = union(l.lifted, except(l.state.Off, before))
	case board.StepRemoved:
		gone := except(l.state.Off, l.lifted)
		cannot = l.mark(&gone, s, l.partOf, true, "off")
		l.state.Off, l.lifted = union(l.state.Off, gone), except(l.lifted, gone)
	case board.StepFitted:
		cannot = l.mark(&l.state.Off, s, l.partOf, false, "off")
	case board.StepReplaced:
		var these []int
		cannot = l.mark(&these, s, l.partOf, true, "")
		l.state.Off, l.state.New = except(l.state.Off, these), union(l.state.New, these)
		l.touched = append(l.touched, these...)
	}
	l.touched = append(l.touched, except(l.state.Off, l.touched)...)
	return cannot
}

// mark puts what a step was done to into a list of the state, or takes it out, and
// says what was as it is now.
func (l *logged) mark(list *[]int, s *board.Step, find func(memberThing) (int, bool), on bool, word string) (cannot string) {
	for _, t := range s.On {
		if s.Kind == board.StepCoverOff || s.Kind == board.StepCoverOn {
			t.Kind = board.OnCover // a name is first that of a cover here
		}
		here := l.here(t)
		if len(here) == 0 && cannot == "" {
			cannot = "nothing here is called " + t.String()
		}
		these := numbered(here, find)
		for _, i := range these {
			switch was := slices.Contains(*list, i); {
			case was != on || word == "" || cannot != "":
			case was:
				cannot = t.String() + " is " + word + " already"
			default:
				cannot = t.String() + " is not " + word
			}
		}
		if *list = except(*list, these); on {
			*list = union(*list, these)
		}
	}
	return cannot
}

// numbered are the numbers of things, each once; some have nothing to do with the rail.
func numbered(things []memberThing, number func(memberThing) (int, bool)) (all []int) {
	for _, x := range things {
		if i, ok := number(x); ok && !slices.Contains(all, i) {
			all = append(all, i)
		}
	}
	return all
}

func (l *logged) padOf(x memberThing) (int, bool) {
	at, ok := l.padAt[trace.Pad{Member: x.member, ID: board.PadID(x.id)}]
	return at, ok && x.noun == words.Pads
}

func (l *logged) partOf(x memberThing) (int, bool) { at, ok := l.partAt[x]; return at, ok }

func (l *logged) lidOf(x memberThing) (int, bool) { at, ok := l.lidAt[x]; return at, ok }

func union(list, more []int) []int {
	list = append(slices.Clip(list), more...)
	slices.Sort(list)
	return slices.Compact(list)
}

func except(list, less []int) []int {
	return slices.DeleteFunc(slices.Clone(list), func(i int) bool { return slices.Contains(less, i) })
}
