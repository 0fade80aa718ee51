// Package scpi talks to one instrument on the network in SCPI-1999, the command
// language on top of IEEE 488.2, over a plain TCP socket.
//
// A Reader only asks: there is no way to make it send anything but a single
// question. A Controller can also send the few commands that are listed in this
// package, all of which are for meters. Packages below this one know what a
// meter and a bench supply are.
//
// After anything that makes it doubtful which question the next line will
// answer (a time-out, a line without end, a line nobody asked for) the
// connection is closed, and the next question opens a new one. An answer never
// belongs to an earlier question.
package scpi

import (
	"context"
	"net"
	"time"
)

// DefaultTimeout is how long an instrument has for one answer.
const DefaultTimeout = 2 * time.Second

// Options say how an instrument is talked to. The zero value is usable.
type Options struct {
	Kind    string        // as messages call it: "meter"; "instrument" if empty
	Timeout time.Duration // for connecting and for each answer; DefaultTimeout if 0

	// Notice takes what a person should know although nothing has failed, such
	// as a connection that was made again. Nil drops it.
	Notice func(text string)
	// Dial connects; a net.Dialer's if nil.
	Dial func(ctx context.Context, network, address string) (net.Conn, error)
}

func (o Options) filled() Options {
	if o.Kind == "" {
		o.Kind = "instrument"
	}
	if o.Timeout <= 0 {
		o.Timeout = DefaultTimeout
	}
	if o.Notice == nil {
		o.Notice = func(string) {}
	}
	if o.Dial == nil {
		o.Dial = new(net.Dialer).DialContext
	}
	return o
}
