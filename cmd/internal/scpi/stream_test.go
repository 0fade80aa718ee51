package scpi_test

import (
	"bytes"
	"context"
	"net"
	"strings"
	"testing"
	"time"

	"netlore/cmd/internal/scpi"
	"netlore/cmd/internal/scpi/scpitest"
)

// tape is a connection on which everything has been said already.
type tape struct{ *bytes.Reader }

func (tape) Write(p []byte) (int, error)      { return len(p), nil }
func (tape) Close() error                     { return nil }
func (tape) LocalAddr() net.Addr              { return nil }
func (tape) RemoteAddr() net.Addr             { return nil }
func (tape) SetDeadline(time.Time) error      { return nil }
func (tape) SetReadDeadline(time.Time) error  { return nil }
func (tape) SetWriteDeadline(time.Time) error { return nil }

// FuzzStream says any bytes after the identity, on every connection. What comes
// of it is a line of them or a complaint with a code, and only two connections
// are made for one question.
func FuzzStream(f *testing.F) {
	for _, s := range []string{"+4.12E-01\n", "1\n+0,\"No error\"\n", "-113,\"Undefined header\"\n0,\"No error\"\n", "\r\n\n", "+4.12E-01", "", "-410,\"x\"\n1\n", "x\ny\n" + strings.Repeat("z", 5000)} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, said string) {
		dials := 0
		r := scpi.NewReader(address(t, "bench"), scpi.Options{Dial: func(context.Context, string, string) (net.Conn, error) {
			dials++
			return tape{bytes.NewReader([]byte(scpitest.MeterIdentity + "\n" + said))}, nil
		}})
		defer r.Close()
		a, err := r.Ask(t.Context(), read)
		switch {
		case err == nil && !strings.Contains("\n"+said, "\n"+a.Text):
			t.Errorf("%q was never said", a.Text)
		case err != nil && scpi.CodeOf(err) == "":
			t.Errorf("no code: %v", err)
		case dials > 2:
			t.Errorf("%d connections", dials)
		}
		if _, _, _, err := r.Try(t.Context(), read); err != nil && scpi.CodeOf(err) == "" {
			t.Errorf("no code: %v", err)
		}
		if _, err := r.Errors(t.Context()); err != nil && scpi.CodeOf(err) == "" {
			t.Errorf("no code: %v", err)
		}
	})
}
