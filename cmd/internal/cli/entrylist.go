package cli

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"netlore/query"
	"netlore/query/diag"
	"netlore/query/run"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store"
	"netlore/store/board"
)

// listed is a place on the list, and what helps to find it.
type listed struct {
	on    board.Target
	facts []string
}

// prepare looks up the job, its boards and the list.
func (e *entry) prepare(ctx context.Context, base *store.Base, question string) error {
	j, err := base.Job(ctx, e.opt.job)
	if err == nil && !j.Closed.IsZero() {
		err = fmt.Errorf("job %s %w", e.opt.job, store.ErrJobClosed)
	}
	if err != nil {
		return jobError(ctx, base, e.opt.job, err)
	}
	if e.boards, err = benchBoards(ctx, base, j.Homes); err != nil {
		return err
	}
	if len(e.boards) == 0 {
		return hint(fmt.Errorf("the knowledge base does not hold %s, so no place can be looked up", deviceOf(j.Of, j.Homes)), "netlore boards lists what it holds")
	}
	if err := e.know(ctx, base); err != nil {
		return err
	}
	device := e.homeOf(j)
	if e.opt.on != "" {
		if device, err = e.keep(e.opt.on, device); err != nil {
			return err
		}
	}
	e.state = j.State()
	if !e.guided {
		return nil
	}
	return e.ask(ctx, base, question, device)
}

// homeOf names the stack that the job is on, else its board.
func (e *entry) homeOf(j *store.HeldJob) string {
	for _, h := range j.Homes {
		if h.Stack && e.boards[0].role != "" {
			return h.Ref.String()
		}
	}
	return e.boards[0].b.Ref.String()
}

// keep leaves the board that --on names, by its name or its role.
func (e *entry) keep(on, device string) (string, error) {
	if strings.EqualFold(on, device) {
		return device, nil
	}
	var names []string
	for _, m := range e.boards {
		if ref := m.b.Ref; strings.EqualFold(on, ref.Name) || strings.EqualFold(on, ref.String()) || strings.EqualFold(on, m.role) {
			e.boards = []benchBoard{m}
			return ref.String(), nil
		}
		names = append(names, m.b.Ref.String())
	}
	return "", hint(fmt.Errorf("job %s is not on %s", e.opt.job, on), "it is on "+few(names))
}

// ask makes the list of what answers a question.
func (e *entry) ask(ctx context.Context, base *store.Base, question, device string) error {
	options := query.Options{On: device, Rows: 10_000, Time: 30 * time.Second, Now: e.app.Now}
	q, err := query.Compile(ctx, base, options, question)
	if err != nil {
		return err
	}
	e.app.complain(q.Notes)
	answer, err := q.Run(ctx, base, options)
	if err != nil {
		return err
	}
	facts, err := e.facts(ctx, base, options, q.Reading, answer.Noun)
	if err != nil {
		return err
	}
	for _, r := range answer.Rows {
		on, ok := e.target(answer.Noun, r)
		if !ok {
			return hint(errors.New("this question gives no list of places"), "ask for pads, pins or nets: unmeasured pads on VMAIN")
		}
		e.list = append(e.list, listed{on, facts[on]})
	}
	if len(e.list) == 0 || !answer.Complete() || len(answer.Possible) > 0 {
		e.app.notice(answer.Footer(false))
	}
	if len(e.list) == 0 {
		return fail(exitFound, nil)
	}
	return nil
}

// target is what a row is about. It is false of a row that is no place.
func (e *entry) target(noun words.Noun, r run.Row) (board.Target, bool) {
	for _, m := range e.boards {
		if r.ID == board.None || r.Of == nil || m.b.Ref != r.Of.Board || r.Of.Role != "" && m.role != r.Of.Role {
			continue
		}
		t := board.Target{Role: m.role}
		switch noun {
		case words.Pads:
			t.Kind, t.Name = board.OnPad, m.b.Pads[r.ID].Name
		case words.Nets:
			t.Kind, t.Name = board.OnNet, m.b.Nets[r.ID].Name
		case words.Pins:
			part, pin, _ := strings.Cut(m.b.PinName(board.PinID(r.ID)), ".")
			t.Kind, t.Name, t.Pin = board.OnPin, part, pin
		default:
			return t, false
		}
		return t, true
	}
	return board.Target{}, false
}

// placeFields are what helps to find a place.
var placeFields = map[words.Noun][]string{
	words.Pads: {"net", "side", "x", "y", "group", "cover"},
	words.Pins: {"net", "side", "x", "y", "cover"},
	words.Nets: {"kind", "volts"},
}

// facts are what is known of the places that a question read in this way gives.
func (e *entry) facts(ctx context.Context, base *store.Base, options query.Options, read string, noun words.Noun) (map[board.Target][]string, error) {
	fields := placeFields[noun]
	if fields == nil || read == "" {
		return nil, nil
	}
	options.It = read
	answer, err := query.Ask(ctx, base, options, "it show name, "+strings.Join(fields, ", "))
	var list diag.List
	if errors.As(err, &list) {
		return nil, nil // the question itself says what to show
	}
	if err != nil {
		return nil, err
	}
	all := map[board.Target][]string{}
	for _, r := range answer.Rows {
		if on, ok := e.target(noun, r); ok {
			all[on] = e.factsOf(fields, r.Cells[1:])
		}
	}
	return all, nil
}

// factsOf words the cells of a place.
func (e *entry) factsOf(fields []string, cells []value.Value) []string {
	var at, rest []string
	for i, field := range fields {
		c := cells[i]
		if field == "cover" {
			rest = append(rest, e.covers(c))
			continue
		}
		if c.Missing() {
			continue
		}
		switch field {
		case "net", "group":
			at = append(at, field+" "+c.String())
		case "side":
			at = append(at, c.String()+" side")
		case "x", "y":
			at = append(at, field+" "+c.In("mm")+" mm")
		case "volts":
			at = append(at, c.String())
		default:
			at = append(at, c.String())
		}
	}
	return slices.DeleteFunc(append([]string{strings.Join(at, "  ")}, rest...), func(s string) bool { return s == "" })
}

// covers says what is over a place, and whether it is on the device now.
func (e *entry) covers(c value.Value) string {
	switch c.Kind() {
	case value.Unknown:
		return "whether a cover is over it is not known"
	case value.None:
		return ""
	}
	names := []string{c.String()}
	if items := c.Items(); len(items) > 0 {
		names = nil
		for _, item := range items {
			names = append(names, item.String())
		}
	}
	for i, name := range names {
		where := ", which is on"
		if slices.Contains(e.state, name+"-off") {
			where = ", which is off"
		}
		names[i] = "under " + name + where
	}
	return strings.Join(names, "; ")
}
