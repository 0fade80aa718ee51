package scpi

import (
	"bufio"
	"context"
	"errors"
	"net"
	"strings"
	"time"
)

// maxLine is how long an answer may be, in bytes with its line end.
const maxLine = 4096

var (
	errTooLong = errors.New("a line without end")
	errUnasked = errors.New("a line that nobody asked for")
)

// link is one connection, on which lines go out and come in.
type link struct {
	conn net.Conn
	in   *bufio.Reader
	used bool // something has been asked on it
}

func newLink(conn net.Conn) *link {
	return &link{conn: conn, in: bufio.NewReaderSize(conn, maxLine)}
}

// round sends a message and hears what comes back, all of it before the time is
// up or ctx ends. The link is of no use after an error.
func (l *link) round(ctx context.Context, within time.Duration, say string, hear func(*link) error) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	stop := context.AfterFunc(ctx, func() { l.conn.Close() })
	err := l.exchange(within, say, hear)
	if !stop() {
		return ctx.Err()
	}
	return err
}

func (l *link) exchange(within time.Duration, say string, hear func(*link) error) error {
	if l.used && l.unasked() {
		return errUnasked
	}
	l.used = true
	if err := l.conn.SetDeadline(time.Now().Add(within)); err != nil {
		return err
	}
	if _, err := l.conn.Write([]byte(say)); err != nil {
		return err
	}
	return hear(l)
}

// unasked says whether something has come in that no question is open for. The
// first look is at what has been read already; the second waits a moment, as
// there is no other way to look at a socket in every system.
func (l *link) unasked() bool {
	if l.in.Buffered() > 0 {
		return true
	}
	l.conn.SetReadDeadline(time.Now().Add(time.Millisecond))
	_, err := l.in.Peek(1)
	return err == nil
}

// line reads one line, without its end.
func (l *link) line() (string, error) {
	text, err := l.in.ReadSlice('\n')
	if err == bufio.ErrBufferFull {
		return "", errTooLong
	}
	if err != nil {
		return "", err
	}
	return strings.TrimRight(string(text), "\r\n"), nil
}
