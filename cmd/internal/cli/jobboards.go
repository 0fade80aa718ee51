package cli

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/query/readings"
	"netlore/store"
	"netlore/store/board"
)

// benchBoard is a board that is on the bench, alone or as the member of a stack.
type benchBoard struct {
	role     string // empty of a board alone
	b        *board.Board
	expected []board.Expected // stated of the board or, with its role, of the stack
}

// jobOn is a job with the boards that it is about.
func jobOn(ctx context.Context, base *store.Base, id string) (*store.HeldJob, []benchBoard, error) {
	j, err := base.Job(ctx, id)
	if err != nil {
		return j, nil, jobError(ctx, base, id, err)
	}
	boards, err := benchBoards(ctx, base, j.Homes)
	return j, boards, err
}

// benchBoards reads the boards that a job is on. There are none where the base
// does not hold them.
func benchBoards(ctx context.Context, base *store.Base, homes []store.Subject) ([]benchBoard, error) {
	for _, home := range homes {
		if !home.Stack {
			continue
		}
		stack, shared, err := base.Stated(ctx, home)
		if errors.Is(err, store.ErrUnknownSubject) {
			continue
		}
		if err != nil {
			return nil, err
		}
		var all []benchBoard
		for _, m := range stack.Members {
			if all, err = addBenchBoard(ctx, base, all, m); err != nil {
				return nil, err
			}
		}
		for i := range all {
			for _, e := range shared.Expected {
				if e.On.Role == all[i].role || e.On.Role == "" {
					all[i].expected = append(all[i].expected, e)
				}
			}
		}
		return all, nil
	}
	for _, home := range homes {
		if all, err := addBenchBoard(ctx, base, nil, board.Member{Board: home.Ref}); len(all) > 0 || err != nil {
			return all, err
		}
	}
	return nil, nil
}

// addBenchBoard adds a board if the base holds it.
func addBenchBoard(ctx context.Context, base *store.Base, all []benchBoard, m board.Member) ([]benchBoard, error) {
	b, err := base.Board(ctx, m.Board)
	if errors.Is(err, store.ErrUnknownSubject) {
		return all, nil
	}
	if err != nil {
		return nil, err
	}
	_, known, err := base.Stated(ctx, store.BoardSubject(m.Board))
	if err != nil {
		return nil, err
	}
	return append(all, benchBoard{m.Role, b, known.Expected}), nil
}

// targetProblem says why a name is not that of one thing on the bench; nil if it
// is. What is known to lack the name may still be wrong: anyway lets such a name
// pass.
func targetProblem(all []benchBoard, t board.Target, anyway bool) *diag.Diagnostic {
	var have []string // the members that know the name
	known := false
	for _, m := range all {
		if t.Role != "" && t.Role != m.role {
			continue
		}
		known = true
		if len(m.b.Find(t).Kinds) > 0 || len(m.b.Names()) == 0 || t.Kind == board.OnBoard {
			have = append(have, m.role)
		}
	}
	switch {
	case len(all) == 0, len(have) == 1, t.Role != "" && len(have) > 0:
		return nil
	case t.Role != "" && !known:
		return &diag.Diagnostic{Code: "S415", Message: "no board on the bench has the role " + t.Role, Help: rolesOf(all, t.Role)}
	case len(have) > 1:
		bare := t
		bare.Role = ""
		return &diag.Diagnostic{Code: "S409", Message: fmt.Sprintf("%s is on %s; say which", bare, strings.Join(have, " and on ")), Help: []string{"write " + have[0] + ":" + bare.String() + " or " + have[1] + ":" + bare.String()}}
	case anyway:
		return nil
	}
	return unknownTarget(all, t)
}

func rolesOf(all []benchBoard, role string) []string {
	var roles []string
	for _, m := range all {
		roles = append(roles, m.role)
	}
	if near := diag.Closest(role, roles); len(near) > 0 {
		return []string{"did you mean " + near[0] + "?"}
	}
	if len(roles) == 1 && roles[0] == "" {
		return []string{"the job is on one board, so write the name alone"}
	}
	return []string{"there are " + strings.Join(roles, " and ")}
}

// unknownTarget words a name that is on none of the boards.
func unknownTarget(all []benchBoard, t board.Target) *diag.Diagnostic {
	var near, where []string
	for _, m := range all {
		if t.Role != "" && t.Role != m.role {
			continue
		}
		where = append(where, m.b.Ref.String())
		for _, name := range diag.Closest(nameOf(t), namesFor(m.b, t)) {
			if m.role != "" {
				name = m.role + ":" + name
			}
			near = append(near, "did you mean "+name+"?")
		}
	}
	bare := t
	bare.Role = ""
	return &diag.Diagnostic{Code: "S410", Message: fmt.Sprintf("nothing on %s is called %s", strings.Join(where, " or "), bare),
		Help: append(near[:min(len(near), 3)], "if the board has it and the base lacks it, add --anyway")}
}

// nameOf is the name of a target with its pin.
func nameOf(t board.Target) string { t.Role = ""; return t.String() }

// namesFor are the names that may be meant by a target: the pins of a part that
// is there, else all names.
func namesFor(b *board.Board, t board.Target) []string {
	part := t.Name
	if t.Pin == "" {
		part, _, _ = strings.Cut(t.Name, ".")
	}
	id := b.FindPart(part)
	if id == board.None || part == nameOf(t) {
		return b.Names()
	}
	var names []string
	for first, last := b.PinsOf(id); first < last; first++ {
		names = append(names, b.PinName(first))
	}
	return names
}

// judged is the verdict on a reading in a step, and what is expected there. Both
// are empty where nothing is expected, or it was not read against ground.
func judged(all []benchBoard, s *board.Step) (verdict, expected string) {
	if s.Kind != board.StepReading && s.Kind != board.StepResistance || len(s.On) != 1 || s.To != (board.Target{}) {
		return "", ""
	}
	for _, m := range all {
		on := s.On[0]
		if on.Role != "" && on.Role != m.role {
			continue
		}
		hold := m.expectedAt(on, s.Mode)
		if len(hold) == 0 {
			continue
		}
		set, why := readings.Judge(&board.Reading{Mode: s.Mode, On: on, Outcome: s.Outcome, Value: s.Value}, hold)
		verdict = set.String()
		if why != "" {
			verdict += " (" + why + ")"
		}
		return verdict, expectedText(hold)
	}
	return "", ""
}

// place is a thing on a board, whatever names it has.
type place struct {
	kind board.TargetKind
	net  board.NetID // of a net
	name string      // of anything else
}

func placeOf(t board.Target, found board.Found) place {
	if found.Kinds[0] == board.OnNet {
		return place{board.OnNet, found.Net, ""}
	}
	return place{found.Kinds[0], board.None, nameOf(t)}
}

// expectedAt is what is expected in a mode of the thing itself, else of its net.
func (m *benchBoard) expectedAt(t board.Target, mode board.Mode) []board.Expected {
	found := m.b.Find(t)
	if len(found.Kinds) == 0 {
		return nil
	}
	at := func(p place) []board.Expected {
		return readings.Expected(slices.DeleteFunc(slices.Clone(m.expected), func(e board.Expected) bool {
			on := m.b.Find(e.On)
			return e.Mode != mode || len(on.Kinds) == 0 || placeOf(e.On, on) != p
		}))
	}
	if list := at(placeOf(t, found)); list != nil || found.Net == board.None {
		return list
	}
	return at(place{board.OnNet, found.Net, ""})
}

func expectedText(list []board.Expected) string {
	var all []string
	for _, e := range list {
		text := "open"
		if !e.Open {
			text = strings.TrimSpace(e.Value.String() + " " + e.Within.String())
		}
		if e.By != "" {
			text += " by " + e.By
		}
		all = append(all, text)
	}
	return strings.Join(all, ", or ")
}
