package cli

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"sync"

	"netlore/store"
	"netlore/store/exchange/link"
)

// linking tells what happens while a bench is linked.
type linking struct {
	app    *app
	packer *packer // that signs what is shared; nil if nothing is

	mu       sync.Mutex // of what follows, and of the output
	progress *progress
	doing    string // what the progress tells
	read     link.Progress
	upToDate bool
	home     map[string]int // what was told to stay here
	refused  complaints     // about what is on the log, since it was reached
	cuts     complaints     // about what has cut the link
}

func (l *linking) begin() {
	l.refused, l.cuts = complaints{}, complaints{}
	l.doing = "reaching the log"
	l.progress = newProgress(l.app, l.doing)
}

// tell tells of one event.
func (l *linking) tell(event any) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if home, ok := event.(link.Home); ok && !l.stays(home) {
		return
	}
	if p, ok := event.(link.Progress); ok {
		l.read = p
		l.progress.show("reading the log: %d of %d messages", p.Done, p.Of)
		return
	}
	l.progress.done()
	l.doing = "linked"
	if t, ok := event.(link.Trouble); ok && link.CodeOf(t.Err) != "X404" { // which leaves the link as it is
		l.doing = "not linked"
	}
	defer func() { l.progress = newProgress(l.app, l.doing) }()
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
	case link.Home:
		for _, licence := range slices.Sorted(maps.Keys(l.home)) {
			l.line("not put on the log: %s, which came under %s; netlore link --licence %s shares them", plural(l.home[licence], "statement"), licence, shellWord(licence))
		}
	case link.UpToDate:
		switch {
		case l.upToDate:
		case e.State.Last == 0:
			l.line("up to date: there is nothing on the log yet")
		default:
			l.line("up to date: all that is on the log was read, up to message %d", e.State.Last)
		}
		l.upToDate = true
	case link.Trouble:
		l.upToDate = false
		l.complain(e.Err)
	}
}

// line prints a line. If it cannot, the output keeps that in mind.
func (l *linking) line(format string, args ...any) { l.app.line(format, args...) }

// stays takes together what stays here because of its licence: what this base says, and
// what was signed. It reports whether that is news.
func (l *linking) stays(home link.Home) bool {
	all := maps.Clone(home.Entries)
	for licence, n := range l.packer.others {
		all[licence] += n
	}
	news := !maps.Equal(all, l.home)
	l.home = all
	return news
}

// complaints are those that were made already.
type complaints map[string]bool

// first reports whether a complaint is new, and keeps it in mind, up to so many: anybody can
// put anything on the log.
func (c complaints) first(what string) bool {
	if c[what] || len(c) >= mostTold {
		return false
	}
	c[what] = true
	return true
}

// mostTold is how many complaints are told one by one.
const mostTold = 1000

// trouble tells of an error that does not end the link.
func (l *linking) trouble(err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.progress.done()
	l.app.tell(err)
	l.progress = newProgress(l.app, l.doing)
}

// takenOver tells what was signed in the place of other benches.
func (l *linking) takenOver() {
	l.mu.Lock()
	defer l.mu.Unlock()
	if len(l.packer.over) == 0 {
		return
	}
	l.progress.done()
	l.packer.tellTakenOver()
	l.progress = newProgress(l.app, l.doing)
}

func (l *linking) connected(c link.Connected) {
	l.refused, l.cuts, l.read = complaints{}, complaints{}, link.Progress{}
	copies := "on one server"
	if c.Copies > 1 {
		copies = fmt.Sprintf("on %d servers", c.Copies)
	}
	l.line("linked to %s: log %s, %s, %s, %s", c.Server, c.Log, plural(int(c.Messages), "message"), bytesOf(c.Bytes), copies)
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
	taken, before := *e.Taken, len(l.refused)
	taken.Refused = nil
	for _, why := range e.Taken.Refused {
		if l.refused.first(why.Error()) {
			taken.Refused = append(taken.Refused, why)
		}
	}
	if len(l.refused) == mostTold && before < mostTold {
		l.app.say("netlore: what else on the log is not taken is not told, until it is reached anew")
	}
	if taken.New == 0 && len(taken.Refused) == 0 && len(taken.Said) == 0 {
		return
	}
	on := taken.Adoptions
	if len(on) > mostBoardsTold {
		taken.Adoptions = nil
	}
	if err := l.app.tellTaken(l.app.ctx, e.Base, "the log", &taken, mergeOptions{take: true}); store.IsBaseError(err) {
		l.app.tell(err)
	}
	if len(on) > mostBoardsTold {
		l.line("on %d boards and stacks: %s", len(on), adopted(allOf(on), true))
	}
}

// bytesOf is how much a log holds, in words.
func bytesOf(n uint64) string {
	switch n := float64(n); {
	case n < 1e6:
		return fmt.Sprintf("%.1f kB", n/1e3)
	case n < 1e9:
		return fmt.Sprintf("%.1f MB", n/1e6)
	default:
		return fmt.Sprintf("%.1f GB", n/1e9)
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
	if !l.cuts.first(what) {
		return
	}
	l.app.tell(err)
	l.app.say("netlore: this is tried again by itself; what was taken is kept, and Ctrl-C ends it")
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
	case link.Home:
		out = map[string]any{"event": "stays here", "licences": l.home}
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
		return fail(exitInterrupted, nil)
	}
	return linkError(err)
}
