// Package lsp is the language server: it tells an editor, over a pair of
// pipes, what is wrong in sheets, what can stand where somebody types, what is
// known of a name, and where else it stands. It speaks version 3.17 of the
// Language Server Protocol; sections named in comments are sections of its
// specification.
//
// What editors have open lies over what is on disk. The sheets beside an open
// one in its folder count as well, for they are read as one. The knowledge base
// is opened for one request at a time, read only, and never held.
package lsp

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"runtime"
	"sync"
	"time"

	"netlore/store"
)

// Options is what a server is given.
type Options struct {
	Version string // of the program, for the client's log
	// Base opens the knowledge base, read only; nil if there is none. An error
	// is told where somebody asks for what the base knows, and nowhere else.
	Base func(ctx context.Context) (*store.Base, error)
	// Quiet is how long nobody must have typed before all is checked.
	Quiet time.Duration
}

// ErrNoShutdown says that the client went away without asking for a shutdown
// first: the exit code is then 1 (section Exit Notification).
var ErrNoShutdown = errors.New("the client left without shutdown")

// Serve talks to one client until it says exit. The error is nil if it said
// shutdown before, as it should.
func Serve(ctx context.Context, in io.Reader, out io.Writer, opt Options) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	s := &server{Options: opt, in: newFrameReader(in), out: &frameWriter{out: out}, pending: map[string]context.CancelFunc{},
		turns: make(chan struct{}, runtime.GOMAXPROCS(0)), room: make(chan struct{}, maxPending), changed: make(chan struct{}, 1)}
	checking := make(chan struct{})
	go func() { s.checkOnChange(ctx); close(checking) }()
	err := s.listen(ctx)
	cancel()
	s.running.Wait()
	<-checking
	return err
}

// A server is one conversation. Messages are read one after the other: what
// changes documents is done at once, what asks is answered by goroutines, each
// on the documents as they were when it came in.
type server struct {
	Options
	in  *frameReader
	out *frameWriter

	state  lifecycle
	client client // set by initialize, before anything else runs
	asked  int

	mu      sync.Mutex
	docs    *documents // never changed, but replaced
	pending map[string]context.CancelFunc
	disk    disk

	running sync.WaitGroup
	room    chan struct{} // of requests not yet answered
	turns   chan struct{} // of requests at work
	changed chan struct{} // there is something to check
}

// maxPending is how many requests may wait for their answers. Then no more are
// read until one is done.
const maxPending = 256

type lifecycle uint8

const (
	fresh       lifecycle = iota // before initialize
	initialized                  // after it
	shutDown                     // after shutdown
)

// errExit says that the client said exit.
var errExit = errors.New("exit")

// listen reads messages until the end.
func (s *server) listen(ctx context.Context) error {
	for {
		body, err := s.in.next()
		if err == nil {
			err = s.receive(ctx, body)
		}
		switch {
		case err == nil:
		case errors.Is(err, errTooLarge):
			s.answer(nil, nil, &failure{codeInvalidRequest, err.Error()})
		case ctx.Err() != nil:
			return ctx.Err()
		case s.state == shutDown && (err == errExit || err == io.EOF):
			return nil
		case err == errExit, err == io.EOF:
			return ErrNoShutdown
		default:
			return err
		}
	}
}

// receive deals with one message.
func (s *server) receive(ctx context.Context, body []byte) error {
	m, wrong := decode(body)
	if wrong != nil {
		id := m.ID
		if m.Method == nil {
			id = nil
		}
		s.answer(id, nil, wrong)
		return nil
	}
	switch {
	case m.Method == nil && m.hasID():
		return nil // an answer to a request of ours
	case m.Method == nil:
		s.answer(nil, nil, &failure{codeInvalidRequest, "the message has neither method nor id"})
		return nil
	case m.hasID():
		s.call(ctx, m)
		return nil
	}
	return s.told(m)
}

// told deals with a notification. What is not known is passed over (section
// Notification Message).
func (s *server) told(m message) error {
	if *m.Method == "exit" {
		return errExit
	}
	if s.state != initialized {
		return nil
	}
	if do := notifications[*m.Method]; do != nil {
		do(s, m.Params)
	}
	return nil
}

// call deals with a request.
func (s *server) call(ctx context.Context, m message) {
	do := requests[*m.Method]
	switch {
	case *m.Method == "initialize":
		result, err := s.initialize(m.Params)
		s.answer(m.ID, result, err)
	case s.state == fresh:
		s.answer(m.ID, nil, &failure{codeNotInitialized, "the first request is initialize"})
	case s.state == shutDown:
		s.answer(m.ID, nil, &failure{codeInvalidRequest, "after shutdown there is only exit"})
	case *m.Method == "shutdown":
		s.running.Wait() // what was asked before is answered before
		s.state = shutDown
		s.answer(m.ID, nil, nil)
	case do == nil:
		s.answer(m.ID, nil, &failure{codeNoMethod, fmt.Sprintf("there is no method %q", *m.Method)})
	default:
		s.start(ctx, m, do)
	}
}

// A handler answers a request.
type handler func(v *view, params json.RawMessage) (any, error)

// start answers a request in a goroutine of its own.
func (s *server) start(ctx context.Context, m message, do handler) {
	s.room <- struct{}{}
	ctx, cancel := context.WithCancel(ctx)
	key := string(m.ID)
	v := &view{s: s, ctx: ctx}
	s.mu.Lock()
	v.docs, s.pending[key] = s.docs, cancel
	s.mu.Unlock()
	s.running.Go(func() {
		result, err := s.inTurn(v, m.Params, do)
		s.mu.Lock()
		delete(s.pending, key)
		s.mu.Unlock()
		cancel()
		s.answer(m.ID, result, err)
		<-s.room
	})
}

// inTurn runs a handler when there is a processor for it.
func (s *server) inTurn(v *view, params json.RawMessage, do handler) (any, error) {
	select {
	case <-v.ctx.Done():
		return nil, v.ctx.Err()
	case s.turns <- struct{}{}:
	}
	defer func() { <-s.turns }()
	if err := v.ctx.Err(); err != nil {
		return nil, err
	}
	result, err := do(v, params)
	if v.ctx.Err() != nil {
		return nil, v.ctx.Err() // whatever it has found, it may not be all
	}
	return result, err
}

// cancelRequest stops a request that is being answered (section Cancellation
// Support). It is answered all the same.
func (s *server) cancelRequest(p struct {
	ID json.RawMessage `json:"id"`
}) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if cancel := s.pending[string(p.ID)]; cancel != nil {
		cancel()
	}
}

// A view is what one request sees: the documents as they were when it came.
type view struct {
	s    *server
	ctx  context.Context
	docs *documents
}

// asking makes a handler of a method.
func asking[P any](do func(v *view, p *P) (any, error)) handler {
	return func(v *view, params json.RawMessage) (any, error) {
		var p P
		if err := json.Unmarshal(params, &p); err != nil {
			return nil, &failure{codeInvalidParams, "the parameters cannot be read: " + err.Error()}
		}
		return do(v, &p)
	}
}

// telling makes a handler of a notification. Nobody can be told that its
// parameters cannot be read.
func telling[P any](do func(s *server, p P)) func(s *server, params json.RawMessage) {
	return func(s *server, params json.RawMessage) {
		var p P
		if json.Unmarshal(params, &p) == nil {
			do(s, p)
		}
	}
}
