package cli

import (
	"context"
	"io"
	"os"
)

// interruptible runs what an interrupt stops; whoever asks one question after
// the other wants no more of this answer, and not to leave.
func interruptible(ctx context.Context, interrupts <-chan os.Signal, do func(context.Context) error) error {
	select {
	case <-interrupts: // that came too late for what was done before
	default:
	}
	working, stop := context.WithCancel(ctx)
	defer stop()
	done := make(chan struct{})
	defer close(done)
	go func() {
		select {
		case <-interrupts:
			stop()
		case <-done:
		}
	}()
	return do(working)
}

// stoppable reads from in until ctx ends. A terminal or pipe that says nothing
// must not keep an interrupted command alive; what is read after that is lost,
// and nobody reads it any more.
type stoppable struct {
	ctx  context.Context
	in   io.Reader
	room []byte     // what reads fill, one after the other
	next chan chunk // of the read under way, nil if there is none
	left []byte     // of the last chunk, not handed out yet
	err  error
}

type chunk struct {
	text []byte
	err  error
}

func (s *stoppable) Read(p []byte) (int, error) {
	if len(s.left) == 0 && s.err == nil {
		if err := s.wait(); err != nil {
			return 0, err
		}
	}
	n := copy(p, s.left)
	if s.left = s.left[n:]; n > 0 {
		return n, nil
	}
	return 0, s.err
}

// wait waits for the next chunk or the end of the context.
func (s *stoppable) wait() error {
	if s.room == nil {
		s.room = make([]byte, 64<<10)
	}
	if s.next == nil {
		next := make(chan chunk, 1)
		s.next = next
		go func() {
			n, err := s.in.Read(s.room)
			next <- chunk{s.room[:n], err}
		}()
	}
	select {
	case <-s.ctx.Done():
		return s.ctx.Err()
	case c := <-s.next:
		s.next, s.left, s.err = nil, c.text, c.err
		return nil
	}
}
