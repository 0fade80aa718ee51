// Package bench is the page for the bench: a small web server for this machine
// alone, of pages that work without scripts and are quicker with them.
//
//	guard.go    who may ask at all: hosts, origins, the cookie, limits
//	door.go     the secret that is exchanged for the cookie
//	asking.go   a question and its answer, completion
//	thing.go    all that is known of a part, a pad or a net
//	job.go      the sheet of a job; switches.go the state of its device, tests.go
//	            what to do next; entering.go changes it
//	compare.go  its readings beside what is expected
//	opening.go  opens and closes jobs
//	live.go     tells pages that the base has changed
//	pages.go    the templates and what they all need
//
// The base is opened for each request and never held. What is changed goes the
// way of the commands: see Desk.
package bench

import (
	"context"
	"errors"
	"net"
	"net/http"
	"sync"
	"time"

	"netlore/store"
)

// Desk is what the page has others do, so that it does it as the commands do.
// An error may have a method Help() []string that tells what to do about it.
type Desk interface {
	// Stamp is another number once somebody has changed the base.
	Stamp() (uint64, error)
	// Reading opens the base for questions, and closes it after use.
	Reading(ctx context.Context, use func(*store.Base) error) error
	// Sheet is the story of a job.
	Sheet(ctx context.Context, base *store.Base, job string) (*Sheet, error)
	// Places are those that a question gives, to be read one after the other.
	Places(ctx context.Context, base *store.Base, m Measuring) ([]Place, error)

	// The rest changes the base; all is on disk when it returns without an error.

	// Open opens a job, and returns its number.
	Open(ctx context.Context, o Opening) (string, error)
	// Close closes a job.
	Close(ctx context.Context, job string, e Ending) error
	// Reopen opens a job that was closed.
	Reopen(ctx context.Context, job string) error
	// Log adds steps to a job, in the words of a sheet; nothing if one is wrong.
	Log(ctx context.Context, job string, steps ...string) error
	// Undo takes back steps that are still the last ones of a job.
	Undo(ctx context.Context, job string, from, to int) error
	// Enter adds a reading at a place to a job, in the words of a person: 0.412,
	// OL, or a point for what is expected.
	Enter(ctx context.Context, m Measuring, place, value string) error
}

// Sheet is the story of a job.
type Sheet struct {
	ID, Device, Symptom string
	Facts               []string // supply, when it was opened, how it ended
	Steps               []Step   // in order
	State               []string // of the device, in words
	States              []string // the same as a sheet has it: separated, lower:J7-off
	Covers              []string // that can come off
	Halves              bool     // that can be separated
	Closed              bool
}

// Opening is how a job begins, in the words of a person. All but the first two may
// be empty.
type Opening struct {
	Of      string // board or stack
	Symptom string
	Supply  string // volts
	Limit   string // amps
	Draw    string // amps
}

// Ending is how a job ends, in the words of a person.
type Ending struct {
	Outcome string // repaired, returned, uneconomic
	Culprit string // names, as a sheet has them; may be empty
	Remark  string
}

// Step is a step of a job in words.
type Step struct {
	Number            int
	Words             string
	Verdict, Expected string // of a reading where something is expected
	By, When          string
	Notes             []string // cautions
}

// Measuring is how readings are entered.
type Measuring struct {
	Job    string
	Mode   string // diode, ohms, volts
	Meter  string // may be empty
	Places string // a question for places
}

// Place is a place to read.
type Place struct {
	Name     string // as Enter takes it
	Label    string
	Facts    []string // what helps to find it
	Expected string
}

// Options is what a page is made with.
type Options struct {
	Desk     Desk
	Addr     string // host and port that are listened on
	Now      func() time.Time
	Tools    []string    // what there is to look for a short with; nil for what is usual
	Complain func(error) // tells the person at the terminal what went wrong
}

// Server is the page.
type Server struct {
	Options
	door  door
	watch watch

	// turn lets many requests read the base or one change it, for within a process
	// they would keep each other out for as long as they wait.
	turn sync.RWMutex
	// busy bounds how many requests are worked on at a time, streams how many
	// browsers are told of changes.
	busy, streams chan struct{}
}

// Limits on what a browser can ask for.
const (
	mostBusy     = 8
	mostStreams  = 32
	mostBody     = 64 << 10
	mostHeader   = 16 << 10
	mostQuestion = 4 << 10
	mostRows     = 2000
	mostTime     = 10 * time.Second
)

// New makes a page that is not served yet.
func New(opt Options) *Server {
	return &Server{Options: opt, door: newDoor(opt.Addr), watch: watch{stamp: opt.Desk.Stamp},
		busy: make(chan struct{}, mostBusy), streams: make(chan struct{}, mostStreams)}
}

// Door is the address that lets a browser in. It holds a secret.
func (s *Server) Door() string { return "http://" + s.Addr + "/enter?secret=" + s.door.secret }

// Serve answers until the context ends; requests that are worked on then are
// finished within a few seconds.
func (s *Server) Serve(ctx context.Context, listener net.Listener) error {
	streaming, end := context.WithCancel(context.WithoutCancel(ctx))
	defer end()
	server := &http.Server{
		Handler:           s.Handler(),
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       10 * time.Second,
		WriteTimeout:      30 * time.Second,
		IdleTimeout:       time.Minute,
		MaxHeaderBytes:    mostHeader,
		BaseContext:       func(net.Listener) context.Context { return streaming },
		ErrorLog:          noLog,
	}
	server.RegisterOnShutdown(func() { s.watch.close() })
	served := make(chan error, 1)
	go func() { served <- server.Serve(listener) }()
	go s.watch.run(streaming)
	select {
	case err := <-served:
		return err
	case <-ctx.Done():
	}
	last, cancel := context.WithTimeout(context.WithoutCancel(ctx), 3*time.Second)
	defer cancel()
	if err := server.Shutdown(last); err != nil {
		return errors.Join(err, server.Close())
	}
	return nil
}

// reading opens the base for one request.
func (s *Server) reading(ctx context.Context, use func(*store.Base) error) error {
	s.turn.RLock()
	defer s.turn.RUnlock()
	return s.Desk.Reading(ctx, use)
}

// changing lets one request change the base.
func (s *Server) changing(do func() error) error {
	s.turn.Lock()
	defer s.turn.Unlock()
	err := do()
	s.watch.look()
	return err
}
