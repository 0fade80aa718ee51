package scpi

import (
	"context"
	"errors"
	"os"
	"strings"
)

// A Reader asks one instrument questions. It is for one goroutine.
//
// A connection that breaks is made again once in the middle of a question; then
// the same instrument must answer as before.
type Reader struct {
	address  Address
	options  Options
	link     *link // nil while there is no connection
	identity Identity

	// begin, if there is one, makes a new connection ready for use.
	begin     func(context.Context) error
	beginning bool // a connection is being made ready
	single    bool // the instrument takes one question at a time
}

// NewReader returns a Reader. It connects with the first question.
func NewReader(address Address, options Options) *Reader {
	return &Reader{address: address, options: options.filled()}
}

// Name is the instrument as messages call it: "the meter at 10.0.0.7:5025".
func (r *Reader) Name() string { return "the " + r.options.Kind + " at " + r.address.String() }

// Stranger is the instrument as messages call one of another kind.
func (r *Reader) Stranger() string { return "what answers at " + r.address.String() }

// Notice tells a person something although nothing has failed.
func (r *Reader) Notice(text string) { r.options.Notice(text) }

// Identify says what the instrument is; it connects if need be.
func (r *Reader) Identify(ctx context.Context) (Identity, error) {
	if r.link == nil {
		if err := r.exchange(ctx, "", func(*link) error { return nil }); err != nil {
			return Identity{}, err
		}
	}
	return r.identity, nil
}

// Ask asks one question. Errors: M102 to M105, M201, or the context's.
func (r *Reader) Ask(ctx context.Context, q Query) (Answer, error) {
	a := Answer{To: q.text, From: r.Name()}
	err := r.exchange(ctx, q.text+"\n", func(l *link) (err error) {
		a.Text, err = l.line()
		return err
	})
	return a, err
}

// Close ends the connection.
func (r *Reader) Close() error {
	if r.link == nil {
		return nil
	}
	err := r.link.conn.Close()
	r.link = nil
	return err
}

// exchange sends a message and hears what comes back; if the connection breaks
// it does so once more on a new one.
func (r *Reader) exchange(ctx context.Context, say string, hear func(*link) error) error {
	err := r.once(ctx, say, hear)
	switch {
	case err == nil || CodeOf(err) != "" || ctx.Err() != nil:
		return err
	case errors.Is(err, os.ErrDeadlineExceeded):
		return r.silent(say)
	case errors.Is(err, errTooLong):
		return newFault("M201", err, []string{"is it the port for SCPI?"}, "%s sends a line of more than %d bytes in answer to %s", r.Name(), maxLine, asked(say))
	case r.beginning:
		return err
	}
	return r.again(ctx, err, say, hear)
}

// again does what the connection broke in, on a new one.
func (r *Reader) again(ctx context.Context, broken error, say string, hear func(*link) error) error {
	err := r.once(ctx, say, hear)
	switch {
	case err == nil:
		r.options.Notice(r.Name() + " " + brokeBy(broken) + "; connected again")
		return nil
	case CodeOf(err) == "M105" || ctx.Err() != nil:
		return err
	case CodeOf(err) == "" && errors.Is(err, os.ErrDeadlineExceeded):
		return r.silent(say)
	}
	help := []string{"is it still on, and the cable in place?", "some instruments take one connection only: does another program hold it?"}
	return newFault("M104", err, help, "%s %s, and connecting again did not help: %s", r.Name(), brokeBy(broken), r.secondly(err))
}

// once sends a message and hears what comes back, on the connection that there
// is or else on a new one.
func (r *Reader) once(ctx context.Context, say string, hear func(*link) error) error {
	if err := r.connect(ctx); err != nil {
		return err
	}
	if say == "" {
		return nil
	}
	err := r.link.round(ctx, r.options.Timeout, say, hear)
	if err != nil {
		r.Close()
	}
	return err
}

// brokeBy says in words how a connection ended.
func brokeBy(err error) string {
	if errors.Is(err, errUnasked) {
		return "sent a line that nobody asked for"
	}
	return "closed the connection"
}

// secondly is what went wrong on the second connection.
func (r *Reader) secondly(err error) string {
	var f *fault
	if errors.As(err, &f) {
		return strings.TrimPrefix(f.Message, r.notConnected())
	}
	return "it " + brokeBy(err) + " again"
}

// silent complains that no answer came in time.
func (r *Reader) silent(say string) error {
	help := []string{"is remote control (LAN, SCPI) switched on at the " + r.options.Kind + "?", "if it measures slowly, give it more time: --timeout 10s"}
	return newFault("M103", os.ErrDeadlineExceeded, help, "%s did not answer %s within %s", r.Name(), asked(say), spoken(r.options.Timeout))
}

// asked is the first line of what was sent.
func asked(say string) string {
	first, _, _ := strings.Cut(say, "\n")
	return first
}
