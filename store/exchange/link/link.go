// Package link joins benches through a shared log on a NATS JetStream server.
//
// The log is a mailbox, not the memory. Each bench keeps all that it has taken in
// its own base, works without the log, and puts there what the log lacks: what it
// has signed itself, and what it has once read there of shops that it knows. So a
// log that is lost, wiped or cut off costs nothing but the way.
//
// A message is one batch with its signature, or one word of a shop about its keys.
// What comes in goes through the same rules as a pack, see store.Base.Take. The
// server is not trusted: whatever it or another of its users says, messages are
// known by the hash of what is in them.
package link

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"time"

	"netlore/query/diag"
	"netlore/store"
	"netlore/store/exchange"
)

// DefaultLog is the name of the log if none is given.
const DefaultLog = "shops"

// FromLog begins what a receipt says of where something came from; the name of the log
// follows.
const FromLog = "link "

// logName is how a log may be called. It is part of the names of a stream and of a
// subject on the server.
var logName = regexp.MustCompile(`^[a-z0-9][a-z0-9-]{0,31}$`)

// CheckLog reports whether a log may have this name.
func CheckLog(name string) error {
	if !logName.MatchString(name) {
		return fmt.Errorf("%s is no name of a log: up to 32 small letters, digits and dashes", diag.Quote(name))
	}
	return nil
}

// Bench is who is linked.
type Bench struct {
	Author  string
	Program string // and its version: what one cannot read, another may
	Now     func() time.Time
	// Change opens the base for as long as do takes; others get it in between.
	Change func(ctx context.Context, do func(*store.Base) error) error
	Offer  Offer
	// Tell, when set, is told what happens: Connected, Progress, Took, Sent, Home,
	// UpToDate, Trouble.
	Tell func(event any)
}

// Offer says what of a bench's own may leave it.
type Offer struct {
	Keys    []exchange.Key   // of the shop
	Words   []*exchange.Word // that the shop has said about its keys
	Licence string           // under which its entries are shared; empty if they are not
	Kinds   []exchange.Kind
	Of      func(store.Subject) bool // on which; nil for all
	// Sign, when set, signs what is new, before it is looked for what the log lacks.
	Sign func(ctx context.Context, base *store.Base) error
}

// Options says how to be linked.
type Options struct {
	Log  string
	Once bool // end when both sides have all
	// Every is how often it is looked for what the log lacks.
	Every time.Duration
	// Patience is how long a server may say nothing.
	Patience time.Duration

	window int // bytes that are read before they are taken
}

// DefaultPatience is how long a server may say nothing.
const DefaultPatience = 10 * time.Second

// Connected says that the log was reached.
type Connected struct {
	Server   string
	Log      string
	Made     bool // the log was not there, and was made
	Lost     bool // it is another one than it was: what it lacks is put there again
	Messages uint64
	Bytes    uint64
	Copies   int
}

// Progress says how far reading the log has come.
type Progress struct{ Done, Of uint64 }

// Took says what came in.
type Took struct {
	Base  *store.Base // still open, for the time of the call
	Taken *store.Taken
}

// Sent says what was put on the log.
type Sent struct{ Messages, Entries int }

// Home says, after each look at what the log lacks, how much of the shop's own stays where
// it is, because it was shared under another licence: statements, by that licence.
type Home struct{ Entries map[string]int }

// UpToDate says that the bench has all that the log has, and the log all that the
// bench may give.
type UpToDate struct{ State store.LinkState }

// Trouble says that the link was cut, and when it is tried again.
type Trouble struct {
	Err   error
	Again time.Duration
}

// Run links a bench to a log, until ctx ends, or with Options.Once until both have
// all. It goes on after any cut. Errors that only a person can set right end it:
// wrong credentials, a certificate that is not trusted. All that was told of as taken
// is on disk. What was taken out of the base since it was read is taken again by the next
// Run, not by one that goes on: who takes a pack back has to see what it is like without.
func Run(ctx context.Context, server *Server, bench Bench, opt Options) error {
	if opt.Patience == 0 {
		opt.Patience = DefaultPatience
	}
	if opt.window == 0 {
		opt.window = windowBytes
	}
	if opt.Every == 0 {
		opt.Every = time.Hour
	}
	if bench.Tell == nil {
		bench.Tell = func(any) {}
	}
	wait := waits{least: opt.Patience / 20, most: 3 * opt.Patience}
	var others time.Time
	again := true
	for {
		s := session{server: server, bench: bench, opt: opt, others: others, again: again}
		err := s.run(ctx)
		others, again = s.others, s.again
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err == nil || opt.Once && !errors.Is(err, errBack) || lasting(err) {
			return err
		}
		if s.gotOn {
			wait.last = 0
		}
		if errors.Is(err, errBack) {
			continue
		}
		again := wait.next()
		bench.Tell(Trouble{err, again})
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(again):
		}
	}
}

// lasting reports whether trying again is of no use.
func lasting(err error) bool {
	var d diag.Diagnostic
	if errors.As(err, &d) {
		switch d.Code {
		case codeServer, codeFull, codeGone, codeNoLogs: // some servers of a cluster come later
			return false
		}
		return true
	}
	return store.IsBaseError(err) && !isLocked(err)
}

func isLocked(err error) bool {
	var locked *store.LockedError
	return errors.As(err, &locked)
}
