package run

import (
	"context"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/words"
	"netlore/store/board"
)

// CannotBe says of each step of a job why it cannot have been made so, the device
// being as the steps before it left it: "lower:C1 is off already". It is empty of a
// step that can.
func CannotBe(ctx context.Context, scope *check.Scope, job *board.Job) []string {
	h := newHandling(newAssembly(scope, plan.Options{}, &brake{ctx: ctx, pace: 256}), job)
	all := make([]string, len(job.Steps))
	for i := range job.Steps {
		all[i] = h.take(&job.Steps[i])
	}
	return all
}

// handling is what was done to a device by hand: which boards are apart, what is
// taped over, off or lifted. It knows names and joins; the isolation has a state of
// its own, of what is on the rail.
type handling struct {
	*assembly
	other   map[memberThing]memberThing // of a joined pad, the pad that stands for both
	partial bool                        // the job is of a stack, of which one board is looked at
	apart   bool
	// What is taped over, the covers and parts that are off, and the parts that are
	// lifted at one end only.
	taped, open, off, lifted map[memberThing]bool
}

func newHandling(w *assembly, job *board.Job) *handling {
	h := &handling{assembly: w, other: map[memberThing]memberThing{}, taped: map[memberThing]bool{}, open: map[memberThing]bool{},
		off: map[memberThing]bool{}, lifted: map[memberThing]bool{}}
	if one := w.scope.Members[0]; len(w.scope.Members) == 1 && one.InStack != "" {
		h.partial = job.Of == one.InStack
	}
	for _, j := range w.scope.Joins {
		a, b := h.end(j.A), h.end(j.B)
		if len(a) > 0 && len(b) > 0 {
			h.other[a[0]], h.other[b[0]] = a[0], a[0]
		}
	}
	return h
}

func (h *handling) end(e board.JoinEnd) []memberThing {
	return h.here(board.Target{Role: e.Role, Kind: board.OnPad, Name: e.Pad})
}

// take takes one step, and says why it cannot have been made so, if it cannot.
func (h *handling) take(s *board.Step) (cannot string) {
	switch s.Kind {
	case board.StepSeparated, board.StepJoined:
		return h.part(s.Kind == board.StepSeparated)
	case board.StepTape, board.StepUntape:
		return h.tape(s)
	case board.StepCoverOff, board.StepCoverOn:
		return h.each(s, words.Covers, func(cover memberThing) string {
			return switched(h.open, cover, s.Kind == board.StepCoverOff, "off")
		})
	case board.StepLifted, board.StepRemoved, board.StepFitted, board.StepReplaced:
		return h.each(s, words.Parts, func(part memberThing) string { return h.change(s.Kind, part) })
	}
	return ""
}

// part takes the boards apart or puts them together.
func (h *handling) part(apart bool) (cannot string) {
	switch {
	case h.partial:
	case len(h.scope.Members) == 1:
		return "the device is one board"
	case apart && h.apart:
		cannot = "the boards are apart already"
	case !apart && !h.apart:
		cannot = "the boards are together already"
	}
	h.apart = apart
	return cannot
}

func (h *handling) tape(s *board.Step) (cannot string) {
	switch {
	case h.partial: // the joins are not looked at
		return ""
	case len(h.other) == 0:
		return "no pads here are joined to others, so tape opens nothing"
	}
	return h.each(s, words.Pads, func(pad memberThing) string {
		if _, ok := h.other[pad]; !ok {
			return "is joined to no other pad, so tape opens nothing there"
		}
		return switched(h.taped, pad, s.Kind == board.StepTape, "taped over")
	})
}

// change takes a part off, puts it back, or puts a new one in its place. What is
// lifted only can be taken off, too; what is replaced may be on or off.
func (h *handling) change(kind board.StepKind, part memberThing) (cannot string) {
	switch {
	case kind == board.StepLifted && h.lifted[part]:
		return "is lifted already"
	case (kind == board.StepLifted || kind == board.StepRemoved) && h.off[part]:
		return "is off already"
	case kind == board.StepFitted && !h.off[part] && !h.lifted[part]:
		return "is not off"
	}
	h.off[part], h.lifted[part] = kind == board.StepRemoved, kind == board.StepLifted
	if lid := h.lidOver(part); lid != "" && kind != board.StepFitted {
		return "lies under " + lid + ", which is still on: log cover-off before it"
	}
	return ""
}

// lidOver is a cover that surely lies over a part and was not taken off, empty if
// there is none. A cover that is a part can be taken off as that.
func (h *handling) lidOver(part memberThing) string {
	s := h.site(part.member)
	for _, x := range s.b.Hiders(board.PartID(part.id)) {
		lid := memberThing{part.member, thing{words.Covers, int32(x.Cover)}}
		body := memberThing{part.member, thing{words.Parts, int32(s.b.Covers[x.Cover].Part)}}
		if x.Truth == board.True && !h.open[lid] && !h.off[body] {
			return s.nameValue(lid.noun, lid.id).String()
		}
	}
	return ""
}

// each does something to the things of a kind that a step names, and says what of it
// first cannot be.
func (h *handling) each(s *board.Step, noun words.Noun, do func(memberThing) string) (cannot string) {
	for _, t := range s.On {
		if noun == words.Covers {
			t.Kind = board.OnCover // a name is first that of a cover here
		}
		if why := h.one(t, noun, do); why != "" && cannot == "" {
			cannot = why
		}
	}
	return cannot
}

// one does something to what a target names, to a pad with that of the other board
// that it is joined to once.
func (h *handling) one(t board.Target, noun words.Noun, do func(memberThing) string) (cannot string) {
	all := h.here(t)
	if len(all) == 0 {
		return "no " + noun.Singular() + " here is called " + t.String()
	}
	cannot = t.String() + " is no " + noun.Singular()
	done := map[memberThing]bool{}
	for _, x := range all {
		legs := x.noun == words.Pins && noun == words.Parts // one can be off while others are on
		if legs {
			x.thing = thing{words.Parts, int32(h.site(x.member).b.Pins[x.id].Part)}
		}
		if both, ok := h.other[x]; ok {
			x = both
		}
		if x.noun != noun || done[x] {
			continue
		}
		done[x], cannot = true, ""
		if why := do(x); why != "" && !legs {
			return t.String() + " " + why
		}
	}
	return cannot
}

// switched turns a thing on or off in a set, and says that it is so already.
func switched(set map[memberThing]bool, x memberThing, on bool, word string) (cannot string) {
	switch {
	case set[x] && on:
		return "is " + word + " already"
	case !set[x] && !on:
		return "is not " + word
	}
	set[x] = on
	return ""
}
