package scpi

import (
	"context"
	"errors"
	"net"
	"os"
	"strings"
	"syscall"
	"time"
)

// connect opens a connection unless there is one, sees to it that the same
// instrument answers as before, and makes it ready.
func (r *Reader) connect(ctx context.Context) error {
	if r.link != nil {
		return nil
	}
	if r.beginning {
		return net.ErrClosed // broke while it was made ready
	}
	within, cancel := context.WithTimeout(ctx, r.options.Timeout)
	conn, err := r.options.Dial(within, "tcp", r.address.String())
	cancel()
	if err != nil {
		return r.notReached(ctx, err)
	}
	r.link = newLink(conn)
	r.beginning = true
	err = r.ready(ctx)
	r.beginning = false
	if err == nil && r.link == nil {
		err = net.ErrClosed
	}
	if err != nil {
		r.Close()
	}
	return err
}

// ready asks who is there, and does what else a new connection needs.
func (r *Reader) ready(ctx context.Context) error {
	a, err := r.Ask(ctx, identify)
	if err != nil {
		return err
	}
	a.From = r.Stranger()
	now, err := ParseIdentity(a)
	if err != nil {
		return err
	}
	if r.identity != (Identity{}) && now != r.identity {
		return newFault("M105", nil, []string{"start again if that is the right one"},
			"another instrument answers at %s now: %s, no longer %s", r.address, now, r.identity)
	}
	r.identity = now
	if r.begin == nil {
		return nil
	}
	return r.begin(ctx)
}

// notReached words why no connection came about.
func (r *Reader) notReached(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	why, help := "the connection failed: "+plainCause(err), "are its address and the network right?"
	var name *net.DNSError
	switch {
	case errors.As(err, &name) && !name.IsNotFound:
		why, help = "its name cannot be looked up", "an address by number, such as 10.0.0.7, needs no name"
	case errors.As(err, &name):
		why, help = "no host of that name is known", "an address by number, such as 10.0.0.7, needs no name"
	case errors.Is(err, syscall.ECONNREFUSED):
		why, help = "it refuses the connection", "is remote control over LAN switched on, and no other program connected?"
	case errors.Is(err, context.DeadlineExceeded) || errors.Is(err, os.ErrDeadlineExceeded):
		why, help = "nothing answered within "+spoken(r.options.Timeout), "is it on, and the cable in place? is the address right?"
	case errors.Is(err, syscall.EHOSTUNREACH) || errors.Is(err, syscall.ENETUNREACH):
		why, help = "no way leads there", "is it on, and in the same network?"
	}
	return newFault("M102", err, []string{help}, "%s%s", r.notConnected(), why)
}

// notConnected begins every complaint that no connection came about.
func (r *Reader) notConnected() string { return "cannot connect to " + r.Name() + ": " }

// plainCause is the innermost reason of a network error, without addresses.
func plainCause(err error) string {
	var op *net.OpError
	for errors.As(err, &op) {
		err = op.Err
	}
	var call *os.SyscallError
	if errors.As(err, &call) {
		err = call.Err
	}
	return err.Error()
}

// spoken is a time as people say it: "2 s", "500 ms".
func spoken(d time.Duration) string {
	text := d.String()
	for _, unit := range []string{"ms", "µs", "ns", "s"} {
		if number, ok := strings.CutSuffix(text, unit); ok && strings.Trim(number, "0123456789.") == "" {
			return number + " " + unit
		}
	}
	return text
}
