package bench

import (
	"slices"
	"strings"

	"netlore/store/board"
)

// toggle is a state of the device that a tap changes.
type toggle struct {
	What, Is string
	On       bool
	Step     string // what a tap logs
}

// switches are the halves of the device, what tape is over, what is off its pads,
// and the covers.
func switches(s *Sheet) (all []toggle) {
	if s.Halves {
		t := toggle{What: "halves", Is: "together", Step: "separated"}
		if slices.Contains(s.States, "separated") {
			t.Is, t.On, t.Step = "apart", true, "joined"
		}
		all = append(all, t)
	}
	if pads := inState(s, "taped"); pads != nil {
		all = append(all, toggle{What: "tape over " + strings.Join(ranged(pads), ", "), Is: "on", On: true, Step: "untape " + strings.Join(s.written(pads), ", ")})
	}
	for _, word := range []string{"lifted", "removed"} {
		for _, part := range inState(s, word) {
			all = append(all, toggle{What: part, Is: word, On: true, Step: "fitted " + s.written([]string{part})[0]})
		}
	}
	for _, c := range s.Covers {
		name := s.written([]string{c})[0]
		t := toggle{What: c, Is: "on", Step: "cover-off " + name}
		if slices.Contains(s.States, c+"-off") {
			t.Is, t.On, t.Step = "off", true, "cover-on "+name
		}
		all = append(all, t)
	}
	return all
}

// written are names as a step has them: in quotation marks where they need it. On a
// stack they begin with the role of their board.
func (s *Sheet) written(names []string) (all []string) {
	for _, name := range names {
		target := board.Target{Name: name}
		if role, plain, has := strings.Cut(name, ":"); has && s.Halves {
			target.Role, target.Name = role, plain
		}
		all = append(all, target.Written())
	}
	return all
}

// inState are the names of what is in a state.
func inState(s *Sheet, word string) (names []string) {
	for _, state := range s.States {
		if name, ok := strings.CutSuffix(state, "-"+word); ok {
			names = append(names, name)
		}
	}
	return names
}

// ranged are names with their roles, as ranges where they can be.
func ranged(names []string) (all []string) {
	byRole, roles := map[string][]string{}, []string(nil)
	for _, name := range names {
		role, plain, has := strings.Cut(name, ":")
		if !has {
			role, plain = "", name
		}
		if byRole[role] == nil {
			roles = append(roles, role)
		}
		byRole[role] = append(byRole[role], plain)
	}
	for _, role := range roles {
		for _, run := range board.CompressRange(byRole[role]) {
			if role != "" {
				run = role + ":" + run
			}
			all = append(all, run)
		}
	}
	return all
}
