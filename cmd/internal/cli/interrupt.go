package cli

import (
	"context"
	"io"
)

// stoppable reads from in until ctx ends. A terminal or pipe that says nothing
// must not keep an interrupted command alive; what is read after that is lost,
// and nobody reads it any more.
type stoppable struct {
	ctx  context.Context
	in   io.Reader
	next chan chunk // of the read under way, nil if there is none
	left []byte
	err  error
}

type chunk struct {
	text []byte
	err  error
}

func (s *stoppable) Read(p []byte) (int, error) {
	if len(s.left) == 0 && s.err == nil {
		if err := s.wait(len(p)); err != nil {
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
func (s *stoppable) wait(size int) error {
	if s.next == nil {
		next := make(chan chunk, 1)
		s.next = next
		go func() {
			text := make([]byte, size)
			n, err := s.in.Read(text)
			next <- chunk{text[:n], err}
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
