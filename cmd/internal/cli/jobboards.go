package cli

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"

	"netlore/query/diag"
	"netlore/query/readings"
	"netlore/store"
	"netlore/store/board"
)

// benchBoard is a board that is on the bench, alone or as the member of a stack.
type benchBoard struct {
	role     string       // empty of a board alone
	joins    []board.Join // of the stack that it is a member of
	b        *board.Board
	expected []board.Expected // stated of the board or, with its role, of the stack
	readings []board.Reading  // likewise
	meters   []board.Meter    // of the shop

	learned func() *readings.Learned[place] // of the readings of good boards
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
	all, err := loadBenchBoards(ctx, base, homes)
	if err != nil {
		return nil, err
	}
	held, err := base.Meters(ctx)
	var meters []board.Meter
	for _, m := range held {
		meters = append(meters, m.Meter)
	}
	for i := range all {
		m := &all[i]
		m.meters, m.readings = meters, board.WithPolarity(m.readings, meters)
		m.learned = sync.OnceValue(m.learn)
	}
	return all, err
}

// meterOf is what is stated of the meter of a name; of none, nothing.
func meterOf(all []benchBoard, name string) *board.Meter {
	for _, m := range all {
		for i := range m.meters {
			if m.meters[i].Name == name {
				return &m.meters[i]
			}
		}
	}
	return &board.Meter{Name: name}
}

// learn is what readings of good boards say is expected on a board.
func (m *benchBoard) learn() *readings.Learned[place] {
	return readings.Learn(m.readings, func(i int) (place, bool) {
		on := m.readings[i].On
		found := m.b.Find(on)
		if len(found.Kinds) == 0 {
			return place{}, false
		}
		return placeOf(on, found), true
	})
}

func loadBenchBoards(ctx context.Context, base *store.Base, homes []store.Subject) ([]benchBoard, error) {
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
			all[i].joins = stack.Joins
			for _, e := range shared.Expected {
				if e.On.Role == all[i].role || e.On.Role == "" {
					all[i].expected = append(all[i].expected, e)
				}
			}
			for _, r := range shared.Readings {
				if r.On.Role == all[i].role || r.On.Role == "" {
					all[i].readings = append(all[i].readings, r)
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
	return append(all, benchBoard{role: m.Role, b: b, expected: known.Expected, readings: known.Readings}), nil
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

// isJoined reports whether a name is first that of pads of both halves that are joined to
// each other, so that tape over one is tape over the other.
func isJoined(all []benchBoard, t board.Target) bool {
	if t.Role != "" {
		return false
	}
	var ends []board.JoinEnd
	for _, m := range all {
		switch found := m.b.Find(t); {
		case len(found.Kinds) == 0:
		case found.Kinds[0] != board.OnPad:
			return false
		default:
			ends = append(ends, board.JoinEnd{Role: m.role, Pad: m.b.Pads[m.b.FindPad(t.Name)].Name})
		}
	}
	return len(ends) == 2 && slices.ContainsFunc(all[0].joins, func(j board.Join) bool {
		return j.A == ends[0] && j.B == ends[1] || j.A == ends[1] && j.B == ends[0]
	})
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
