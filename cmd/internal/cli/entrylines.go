package cli

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"strings"

	"netlore/query/diag"
	"netlore/store"
	"netlore/store/board"
)

// listen takes readings from the input, line by line, to its end.
func (e *entry) listen(ctx context.Context) (first error) {
	text := questionLines(e.app.In)
	var csv *columnsOf
	for line := 1; e.wanted(); line++ {
		if err := e.prompt(true); err != nil {
			return err
		}
		if !text.Scan() || ctx.Err() != nil {
			break
		}
		words := strings.TrimSpace(strings.TrimPrefix(text.Text(), "\ufeff"))
		indent := strings.Index(text.Text(), words)
		if csv == nil && line == 1 && !e.app.InTerminal {
			var err error
			if csv, err = e.header(words); err != nil {
				return inFile(err, "", line, indent)
			}
			if csv != nil {
				continue
			}
		}
		err := e.hear(ctx, csv, words)
		if errors.Is(err, errLeft) {
			return first
		}
		if err == nil {
			continue
		}
		if first = e.app.told(first, e.located(err, line, indent)); e.stops(err) {
			return first
		}
	}
	return e.ended(ctx, text, first)
}

// wanted says whether more is to be entered: at a terminal a list ends the run,
// while a pipe may have a line too many, which must be told.
func (e *entry) wanted() bool {
	return !e.guided || !e.app.InTerminal || e.next < len(e.list)
}

// ended is how a run ends whose input has ended.
func (e *entry) ended(ctx context.Context, text *bufio.Scanner, first error) error {
	if err := readingError(text.Err(), askOptions{}); err != nil && ctx.Err() == nil {
		first = e.app.told(first, err)
	}
	if e.roomy() {
		e.app.print("\n")
	}
	if left := len(e.list) - e.next; e.guided && left > 0 && !e.app.json && ctx.Err() == nil {
		e.app.say("%d of the list left: from %s on", left, e.list[e.next].on)
	}
	if first != nil {
		return first
	}
	return ctx.Err()
}

// stops says that an error is one of every later line, too. Who is at a terminal
// can try again while another process holds the base.
func (e *entry) stops(err error) bool {
	var not unsaved
	if !errors.As(err, &not) {
		return errors.Is(err, context.Canceled)
	}
	var locked *store.LockedError
	return !(e.app.InTerminal && errors.As(err, &locked))
}

// located says in which line of a pipe an error is.
func (e *entry) located(err error, line, indent int) error {
	var list diag.List
	var not unsaved
	switch {
	case errors.As(err, &list):
		return inFile(err, "", line, indent)
	case errors.As(err, &not) && e.app.InTerminal:
		return withHelp(fmt.Errorf("not saved: %w", err), err)
	case errors.As(err, &not):
		return withHelp(fmt.Errorf("line %d was not saved: %w", line, err), err)
	case e.app.InTerminal:
		return err
	}
	return withHelp(fmt.Errorf("line %d: %w", line, err), err)
}

// withHelp is an error with the help of the one that it is about.
func withHelp(err, about error) error {
	var h hinted
	if errors.As(about, &h) {
		return hint(err, h.help...)
	}
	return err
}

// hear does what a line says. A place of the list whose line was wrong is
// passed over if nobody can type it again: else all later readings would go to
// the place before theirs.
func (e *entry) hear(ctx context.Context, csv *columnsOf, words string) error {
	if words == "" || words[0] == '#' {
		return nil
	}
	if csv != nil {
		return e.row(ctx, csv, words)
	}
	switch words {
	case "q", "quit":
		return errLeft
	case "u", "undo":
		return e.undo(ctx)
	}
	if !e.guided {
		return e.placed(ctx, words)
	}
	if e.next >= len(e.list) {
		return fmt.Errorf("the list has %s, and this is one reading more: %s", plural(len(e.list), "place"), diag.Printable(words))
	}
	if words == "s" || words == "skip" {
		e.skip()
		return nil
	}
	err := e.readHere(ctx, words)
	if err == nil || !e.app.InTerminal {
		e.next++
	}
	return err
}

func (e *entry) skip() {
	if e.skipped == nil {
		e.skipped = map[int]bool{}
	}
	e.skipped[e.next] = true
	e.next++
}

// readHere takes a reading for the next place of the list.
func (e *entry) readHere(ctx context.Context, words string) error {
	on := e.list[e.next].on
	said, err := e.asSaid(on, words, words)
	if err != nil {
		return at(on, err)
	}
	return e.save(ctx, on, said)
}

// at says at which place something is wrong.
func at(on board.Target, err error) error {
	var list diag.List
	if errors.As(err, &list) {
		for i := range list {
			list[i].Message = on.String() + ": " + list[i].Message
		}
		return list
	}
	return err
}

func (e *entry) asSaid(on board.Target, line, words string) (meterValue, error) {
	if words == "." {
		return e.asExpected(on)
	}
	return e.value(line, words)
}

// placed takes a line that names its place: lower:P11 0.412.
func (e *entry) placed(ctx context.Context, line string) error {
	place, words := splitPlace(line)
	if place == "" {
		return hint(fmt.Errorf("%s is a place or a reading, and a line needs both", diag.Quote(line)), "such as "+e.somePlace()+" "+e.example(), "a question gives a list of places: netlore read --help")
	}
	return e.readAt(ctx, line, place, words)
}

func (e *entry) readAt(ctx context.Context, line, place, words string) error {
	on, err := e.place(line, place)
	if err != nil {
		return err
	}
	said, err := e.asSaid(on, line, words)
	if err != nil {
		return at(on, err)
	}
	return e.save(ctx, on, said)
}

// splitPlace cuts a line into a place and a reading, whose unit may be a word of
// its own.
func splitPlace(line string) (place, words string) {
	cut := func(s string) (string, string) {
		i := strings.LastIndexAny(s, " \t")
		if i < 0 {
			return "", s
		}
		return strings.TrimSpace(s[:i]), s[i+1:]
	}
	place, words = cut(line)
	if before, number := cut(place); before != "" && strings.Trim(number, "+-.0123456789") == "" && strings.Trim(words, "kMmVohΩ") == "" {
		return before, line[strings.LastIndex(line, number):]
	}
	return place, words
}

// place looks up a place.
func (e *entry) place(line, text string) (board.Target, error) {
	read, err := readStep("reading " + e.mode.String() + " " + text + " open")
	if err != nil || len(read.On) != 1 || read.Remark != "" {
		return board.Target{}, hint(fmt.Errorf("%s is no name of a place", diag.Quote(text)), "places are pads, pins and nets, such as "+e.somePlace())
	}
	on := read.On[0]
	if d := targetProblem(e.boards, on, false); d != nil {
		d.Help = withoutAnyway(d.Help)
		return on, diag.List{inWords(*d, line, on.String(), nameOf(on))}
	}
	return on, nil
}

// withoutAnyway leaves out the hint on an option that read does not have: who
// enters fast must not make places by a slip.
func withoutAnyway(help []string) []string {
	var all []string
	for _, h := range help {
		if !strings.HasSuffix(h, "--anyway") {
			all = append(all, h)
		}
	}
	return all
}

// somePlace is the name of a place on the bench.
func (e *entry) somePlace() string {
	m := e.boards[0]
	name := "VMAIN"
	if len(m.b.Pads) > 0 {
		name = m.b.Pads[0].Name
	}
	return board.Target{Role: m.role, Name: name}.String()
}

// prompt shows the next place to a person, with room around it, and waits for
// a word if one is to be typed.
func (e *entry) prompt(typed bool) error {
	if !e.app.InTerminal || e.app.json {
		return nil
	}
	where, note := "place and reading", ""
	var lines []string
	if e.guided {
		if e.next >= len(e.list) {
			return nil
		}
		where = e.list[e.next].on.String()
		lines = e.shown(e.list[e.next])
		note = e.progress()
	}
	if !e.roomy() {
		e.app.say("next: %s", where)
		return nil
	}
	if e.guided {
		block := append([]string{"", "", "    " + where, ""}, lines...)
		for _, l := range append(block, "", "    "+note) {
			if err := e.app.line("%s", l); err != nil {
				return err
			}
		}
	}
	if !typed {
		return nil
	}
	return e.app.print("\n    " + diag.Printable(e.mode.String()+" "+e.unit) + "> ")
}

// shown is what is known of a place, and what is expected there.
func (e *entry) shown(s listed) []string {
	var lines []string
	for _, fact := range s.facts {
		lines = append(lines, "    "+fact)
	}
	text := "nothing is expected here"
	if hold := e.expected(s.on); len(hold) > 0 {
		text = "expected " + expectedText(hold)
	}
	return append(lines, "    "+text)
}
