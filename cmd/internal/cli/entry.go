package cli

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"netlore/query/readings"
	"netlore/store"
	"netlore/store/board"
)

// entry is one run of netlore read.
type entry struct {
	app    *app
	opt    enterOptions
	mode   board.Mode
	meter  board.Meter  // what is stated of it
	black  bool         // the black probe is on ground
	unit   string       // of numbers without one
	unitBy string       // what says so
	boards []benchBoard // where places are looked up
	state  []string     // of the device

	guided  bool
	list    []listed // the places to read, if a question gave them
	next    int
	skipped map[int]bool
	taken   []accepted
	clock   bool // it was told that the clock is odd

	hold held
}

// accepted is a reading that is in the base.
type accepted struct {
	number  int
	text    string
	spot    int // in the list
	verdict readings.Verdicts
	known   bool // something is expected there
}

// unsaved says that what was typed is right and could not be saved.
type unsaved struct{ error }

func (u unsaved) Unwrap() error { return u.error }

// roomy says that a person looks at all that is printed.
func (e *entry) roomy() bool { return e.app.InTerminal && e.app.OutTerminal && !e.app.json }

// step is the words of a reading, as a sheet has them.
func (e *entry) step(on board.Target, said meterValue) string {
	text := "reading " + e.mode.String() + " " + on.Written() + " " + said.String()
	switch {
	case e.black:
		text += " black-on-ground"
	case e.opt.red || e.mode == board.Diode: // red on ground is common practice, no source
		text += " red-on-ground"
	}
	if e.opt.meter != "" {
		text += " meter " + board.QuoteName(e.opt.meter)
	}
	return text
}

// save puts a reading into the base and tells its verdict.
func (e *entry) save(ctx context.Context, on board.Target, said meterValue) error {
	step := e.step(on, said)
	read, err := readStep(step)
	if err != nil {
		return err
	}
	step = withRoles(e.boards, &read, step)
	var j *store.HeldJob
	if err := e.change(ctx, func(base *store.Base) (err error) {
		j, err = base.Log(ctx, e.opt.job, step, e.app.author())
		return err
	}); err != nil {
		return err
	}
	s := &j.Steps[len(j.Steps)-1]
	judgement := judge(e.boards, s)
	e.taken = append(e.taken, accepted{s.Number, s.Text, e.next, judgement.set, len(judgement.expected) > 0})
	delete(e.skipped, e.next)
	if note := e.app.clockNote(&j.Job); note != "" && !e.clock {
		e.clock = true
		e.app.notice(note)
	}
	return e.tell(&j.Job, s, judgement)
}

// change makes one change to the job.
func (e *entry) change(ctx context.Context, do func(*store.Base) error) error {
	err := e.hold.change(ctx, func(base *store.Base) error {
		return jobError(ctx, base, e.opt.job, do(base))
	})
	if err != nil {
		return unsaved{err}
	}
	return nil
}

// tell prints a reading with its verdict.
func (e *entry) tell(of *board.Job, s *board.Step, j judgement) error {
	if e.app.json {
		object := stepJSON(of, s, e.boards)
		object["job"], object["place"], object["value"], object["difference"] = e.opt.job, s.On[0].String(), quantityJSON(s.Value), quantityJSON(j.off)
		object["open"] = s.Outcome == board.Open
		writeJSON(e.app.Out, object)
		return nil
	}
	return e.app.line("%s%s.%d  %s  %s: %s", e.indent(), board.QuoteName(e.opt.job), s.Number, s.On[0], readingWords(s), j.words(s))
}

// indent stands before what a person looks at.
func (e *entry) indent() string {
	if e.roomy() {
		return "    "
	}
	return ""
}

func readingWords(s *board.Step) string {
	if s.Outcome == board.Open {
		return "open"
	}
	return s.Value.String()
}

// undo takes back the last reading of this run, unless somebody has logged
// another step since.
func (e *entry) undo(ctx context.Context) error {
	if len(e.taken) == 0 {
		return hint(errors.New("nothing was entered in this run"), "netlore job undo "+shellWord(e.opt.job)+" takes back the last step of the job")
	}
	mine := e.taken[len(e.taken)-1]
	var refused error
	if err := e.change(ctx, func(base *store.Base) error {
		j, err := base.Job(ctx, e.opt.job)
		if err != nil {
			return err
		}
		if refused = notLast(j, mine.number, mine.text); refused != nil {
			return nil
		}
		_, err = base.Undo(ctx, e.opt.job, e.app.author())
		return err
	}); err != nil {
		return err
	}
	if refused != nil {
		return refused
	}
	e.taken = e.taken[:len(e.taken)-1]
	e.next = mine.spot
	if e.app.json {
		writeJSON(e.app.Out, map[string]any{"job": e.opt.job, "number": mine.number, "undone": true})
		return nil
	}
	return e.app.line("%s%s.%d taken back", e.indent(), board.QuoteName(e.opt.job), mine.number)
}

// progress is how far this run is: "3 of 14, 1 shorted".
func (e *entry) progress() string {
	text := fmt.Sprint(len(e.taken))
	if e.guided {
		text += fmt.Sprint(" of ", len(e.list))
	}
	return strings.Join(append([]string{text}, e.tally()...), ", ")
}

// tally counts what is not as expected, and what was skipped.
func (e *entry) tally() (parts []string) {
	for _, v := range readings.All() {
		n := 0
		for _, t := range e.taken {
			if t.known && t.verdict == readings.Of(v) {
				n++
			}
		}
		if n > 0 && v != readings.Matching {
			parts = append(parts, fmt.Sprint(n, " ", v))
		}
	}
	if n := len(e.skipped); n > 0 {
		parts = append(parts, fmt.Sprint(n, " skipped"))
	}
	return parts
}

// sumUp says what this run has done.
func (e *entry) sumUp() {
	if e.app.json {
		return
	}
	if len(e.taken) == 0 {
		e.app.say("no reading was saved")
		return
	}
	saved := plural(len(e.taken), "reading") + " saved in job " + board.QuoteName(e.opt.job)
	e.app.say("%s", strings.Join(append([]string{saved}, e.tally()...), ", "))
}
