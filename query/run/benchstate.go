package run

import (
	"slices"

	"netlore/query/trace"
	"netlore/query/words"
	"netlore/store/board"
)

// change puts the device into the state that a step leaves it in, also where it
// cannot have been made so: see handling.
func (l *logged) change(s *board.Step) {
	switch s.Kind {
	case board.StepSeparated, board.StepJoined:
		if len(l.scope.Members) > 1 {
			l.state.Apart = s.Kind == board.StepSeparated
			l.state.Loose = l.state.Loose || l.state.Apart
		}
	case board.StepTape, board.StepUntape:
		l.mark(&l.state.Taped, s, l.padOf, s.Kind == board.StepTape)
	case board.StepCoverOff, board.StepCoverOn:
		l.mark(&l.state.Lids, s, l.lidOf, s.Kind == board.StepCoverOff)
	case board.StepLifted, board.StepRemoved:
		l.mark(&l.state.Off, s, l.partOf, true)
		l.touched = append(l.touched, except(l.state.Off, l.touched)...)
	case board.StepFitted:
		l.mark(&l.state.Off, s, l.partOf, false)
	case board.StepReplaced:
		var these []int
		l.mark(&these, s, l.partOf, true)
		l.state.Off, l.state.New = except(l.state.Off, these), union(l.state.New, these)
		l.touched = append(l.touched, these...)
	}
}

// mark puts what a step was done to into a list of the state, or takes it out.
func (l *logged) mark(list *[]int, s *board.Step, find func(memberThing) (int, bool), on bool) {
	for _, t := range s.On {
		if s.Kind == board.StepCoverOff || s.Kind == board.StepCoverOn {
			t.Kind = board.OnCover // a name is first that of a cover here
		}
		these := numbered(l.here(t), find)
		if *list = except(*list, these); on {
			*list = union(*list, these)
		}
	}
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
