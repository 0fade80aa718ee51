package cli

import (
	"context"
	"errors"
	"fmt"

	"netlore/query/diag"
	"netlore/store"
	"netlore/store/exchange/link"
)

// linking tells what happens while a bench is linked.
type linking struct {
	app      *app
	progress *progress
	read     link.Progress
	upToDate bool
	told     map[string]bool // complaints that were made already
	err      error           // of the output
}

func (l *linking) begin() { l.progress = newProgress(l.app, "reaching the log") }

// tell tells of one event.
func (l *linking) tell(event any) {
	if p, ok := event.(link.Progress); ok {
		l.read = p
		l.progress.show("reading the log: %d of %d messages", p.Done, p.Of)
		return
	}
	l.progress.done()
	defer func() { l.progress = newProgress(l.app, "linked") }()
	if l.app.json {
		l.json(event)
		return
	}
	switch e := event.(type) {
	case link.Connected:
		l.connected(e)
	case link.Took:
		l.took(e)
	case link.Sent:
		l.line("sent: %s with %s", plural(e.Messages, "message"), plural(e.Entries, "statement"))
	case link.UpToDate:
		if !l.upToDate {
			l.line("up to date: all that is on the log was read, up to message %d", e.State.Last)
		}
		l.upToDate = true
	case link.Trouble:
		l.upToDate = false
		l.complain(e.Err)
	}
}

func (l *linking) line(format string, args ...any) {
	l.err = errors.Join(l.err, l.app.line(format, args...))
}

func (l *linking) connected(c link.Connected) {
	l.told, l.read = map[string]bool{}, link.Progress{}
	copies := "on one server"
	if c.Copies > 1 {
		copies = fmt.Sprintf("on %d servers", c.Copies)
	}
	l.line("linked to %s: log %s, %s, %s, %s", c.Server, c.Log, plural(int(c.Messages), "message"), megabytes(int64(c.Bytes)), copies)
	if c.Made {
		l.line("the server had no such log; it was made")
	}
	if c.Lost {
		l.line("the log is another one than it was, or was cleared: it is read from its beginning, and what it lacks is put there again")
	}
}

// took tells what came in. Of what is not taken, the same is told once as long as
// the link holds.
func (l *linking) took(e link.Took) {
	taken := *e.Taken
	taken.Refused = nil
	for _, why := range e.Taken.Refused {
		if !l.told[why.Error()] {
			l.told[why.Error()] = true
			taken.Refused = append(taken.Refused, why)
		}
	}
	if taken.New == 0 && len(taken.Refused) == 0 && len(taken.Said) == 0 {
		return
	}
	on := taken.Adoptions
	if len(on) > mostBoardsTold {
		taken.Adoptions = nil
	}
	l.err = errors.Join(l.err, l.app.tellTaken(l.app.ctx, e.Base, "the log", &taken, mergeOptions{take: true}))
	if len(on) > mostBoardsTold {
		l.line("on %d boards and stacks: %s", len(on), adopted(allOf(on), true))
	}
}

// mostBoardsTold is of how many boards it is told one by one what counts now.
const mostBoardsTold = 5

// allOf is what counts on several subjects together.
func allOf(all []store.Adoption) (sum store.Adoption) {
	for _, ad := range all {
		sum.Added, sum.Withdrawn, sum.Agreed, sum.Moved = sum.Added+ad.Added, sum.Withdrawn+ad.Withdrawn, sum.Agreed+ad.Agreed, sum.Moved+ad.Moved
		sum.Yielded, sum.Waiting, sum.Disputed = sum.Yielded+ad.Yielded, sum.Waiting+ad.Waiting, append(sum.Disputed, ad.Disputed...)
	}
	return sum
}

// complain tells what has cut the link, unless it is what was told before: a server
// that is not there is told once, whatever the words.
func (l *linking) complain(err error) {
	what := err.Error()
	if code := link.CodeOf(err); code == "X401" {
		what = code
	}
	if l.told[what] {
		return
	}
	l.told[what] = true
	l.app.tell(err)
	l.app.say("netlore: tried again until it goes on; what was taken is kept, and Ctrl-C ends it")
}

func (l *linking) json(event any) {
	out := map[string]any{}
	switch e := event.(type) {
	case link.Connected:
		out = map[string]any{"event": "connected", "server": e.Server, "log": e.Log, "made": e.Made, "lost": e.Lost, "messages": e.Messages, "bytes": e.Bytes, "copies": e.Copies}
	case link.Took:
		out = takenJSON("log", e.Taken)
		out["event"] = "took"
	case link.Sent:
		out = map[string]any{"event": "sent", "messages": e.Messages, "statements": e.Entries}
	case link.UpToDate:
		l.upToDate = true
		out = map[string]any{"event": "up to date", "message": e.State.Last}
	case link.Trouble:
		l.upToDate = false
		out = map[string]any{"event": "trouble", "error": e.Err.Error(), "again_seconds": e.Again.Seconds()}
	}
	writeJSON(l.app.Out, out)
}

// end tells how it ended.
func (l *linking) end(err error) error {
	l.progress.done()
	if errors.Is(err, context.Canceled) && !l.app.json {
		switch {
		case l.upToDate:
			l.line("stopped; all that was on the log is in the base")
		case l.read.Of > 0:
			l.line("stopped, and not all was read: %d of %d messages are taken and stay; netlore link goes on from there", l.read.Done, l.read.Of)
		default:
			l.line("stopped before the log was read")
		}
	}
	var d diag.Diagnostic
	if l.err != nil && !errors.As(err, &d) {
		return l.err
	}
	return linkError(err)
}
