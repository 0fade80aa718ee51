package cli

import (
	"bytes"
	"context"
	"io"
	"net"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"netlore/cmd/internal/scpi/scpitest"
)

// benchCommand is the script command `bench`, which puts an instrument on the
// network and its address into $INSTRUMENT:
//
//	bench meter DIOD|RES|FRES READING[*TIMES]…
//	bench supply on|off VOLTS LIMIT OHMS
//	bench mute      takes connections and says nothing
//	bench nobody    an address where nobody listens
func benchCommand(ts *testscript.TestScript, _ bool, args []string) {
	var address string
	var err error
	switch args[0] {
	case "meter":
		var m *scpitest.Meter
		if m, err = scpitest.StartMeter(); err == nil {
			m.Reads(args[1], series(args[2:])...)
			address = m.Address()
			ts.Defer(m.Close)
		}
	case "supply":
		var s *scpitest.Supply
		if s, err = scpitest.StartSupply(scpitest.Supply{On: args[1] == "on", Volts: float(args[2]), Limit: float(args[3]), Ohm: float(args[4])}); err == nil {
			s.Queue(`-222,"Data out of range"`)
			address = s.Address()
			ts.Defer(s.Close)
		}
	case "mute":
		var in *scpitest.Instrument
		if in, err = scpitest.Start(""); err == nil {
			in.Fault("*IDN?", scpitest.Silent())
			address = in.Address()
			ts.Defer(in.Close)
		}
	case "nobody":
		var l net.Listener
		if l, err = net.Listen("tcp", "127.0.0.1:0"); err == nil {
			address = l.Addr().String()
			l.Close()
		}
	}
	ts.Check(err)
	ts.Setenv("INSTRUMENT", address)
}

// series is readings, of which X*3 stands for three.
func series(words []string) []string {
	var all []string
	for _, w := range words {
		text, times, many := strings.Cut(w, "*")
		n := 1
		if many {
			n = int(float(times))
		}
		all = append(all, slices.Repeat([]string{text}, n)...)
	}
	return all
}

func float(s string) float64 {
	f, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic(err)
	}
	return f
}

// screen is a stream that can be looked at while it is written.
type screen struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (s *screen) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.text.Write(p)
}

func (s *screen) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.text.String()
}

// until waits for something that must come.
func until(t *testing.T, what string, holds func() bool) {
	t.Helper()
	for end := time.Now().Add(time.Minute); !holds(); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("waited in vain for %s", what)
		}
	}
}

// TestFollowAtATerminal is somebody who touches one pad, then one that is open,
// and then goes home.
func TestFollowAtATerminal(t *testing.T) {
	in, err := scpitest.StartMeter()
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	in.Reads("DIOD", series([]string{"+4.12E-01*12", "+9.9E37"})...)
	keys, typing := io.Pipe()
	var out, complaints screen
	env := Env{In: keys, Out: &out, Err: &complaints, InTerminal: true, OutTerminal: true, ErrTerminal: true,
		Getenv: func(string) string { return "" }, Now: time.Now}
	code := make(chan int, 1)
	go func() { code <- Run(t.Context(), env, []string{"meter", "--follow", in.Address()}) }()

	until(t, "the first value", func() bool { return out.String() == "  1  0.412V\n" })
	typed := func(line string) {
		if _, err := io.WriteString(typing, line+"\n"); err != nil {
			t.Error(err)
		}
	}
	typed("what?")
	until(t, "an answer", func() bool {
		return strings.Contains(complaints.String(), "Enter alone takes a pad that is open, q ends\n")
	})
	reads := func() int { return strings.Count(strings.Join(in.Received(), ""), "READ?") }
	until(t, "the probe to be lifted", func() bool { return reads() > 12+5 })
	typed("")
	until(t, "the second value", func() bool { return out.String() == "  1  0.412V\n  2  OL\n" })
	typed("q")
	if c := <-code; c != exitOK {
		t.Errorf("exit code %d: %s", c, &complaints)
	}
	for _, part := range []string{"touch one pad after the other", "\a", "\r\x1b[K     0.412V", "\r\x1b[K     OL"} {
		if !strings.Contains(complaints.String(), part) {
			t.Errorf("%q was not shown: %q", part, &complaints)
		}
	}
}

// TestNotOpen: what reads a number is not taken as open.
func TestNotOpen(t *testing.T) {
	in, err := scpitest.StartMeter()
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	in.Reads("DIOD", "+4.12E-01")
	keys, typing := io.Pipe()
	var out, complaints screen
	env := Env{In: keys, Out: &out, Err: &complaints, Getenv: func(string) string { return "" }, Now: time.Now}
	code := make(chan int, 1)
	go func() { code <- Run(t.Context(), env, []string{"meter", "--follow", in.Address()}) }()
	io.WriteString(typing, "\n")
	until(t, "an answer", func() bool {
		return complaints.String() == "the meter does not read OL, so nothing was taken as open\n"
	})
	io.WriteString(typing, "quit\n")
	if c := <-code; c != exitOK || strings.Contains(out.String(), "OL") {
		t.Errorf("exit code %d, it says %s", c, &out)
	}
}

// TestUnpluggedWhileFollowed keeps what was taken, and says what has happened.
func TestUnpluggedWhileFollowed(t *testing.T) {
	in, err := scpitest.StartMeter()
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	in.Reads("DIOD", "+4.12345678E-01")
	var out, complaints screen
	env := Env{In: strings.NewReader(""), Out: &out, Err: &complaints, Getenv: func(string) string { return "" }, Now: time.Now}
	code := make(chan int, 1)
	go func() { code <- Run(t.Context(), env, []string{"meter", "--follow", in.Address()}) }()
	until(t, "the first value", func() bool { return out.String() == "  1  0.41235V\n" })
	in.Unplug()
	want := "error M104: the meter at " + in.Address() + " closed the connection, and connecting again did not help: "
	if c := <-code; c != exitInstrument || !strings.HasPrefix(complaints.String(), want) {
		t.Errorf("exit code %d: %s", c, &complaints)
	}
}

// TestFollowInterrupted stops at once, even while the meter takes its time.
func TestFollowInterrupted(t *testing.T) {
	in, err := scpitest.StartMeter()
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	release, done := make(chan struct{}), make(chan struct{})
	in.Fault("READ?", scpitest.Late(release, done))
	var out, complaints screen
	ctx, stop := context.WithCancel(t.Context())
	env := Env{In: strings.NewReader(""), Out: &out, Err: &complaints, Getenv: func(string) string { return "" }, Now: time.Now}
	code := make(chan int, 1)
	go func() { code <- Run(ctx, env, []string{"meter", "--follow", "--timeout", "10m", in.Address()}) }()
	until(t, "the question", func() bool { return slices.Contains(in.Received(), "READ?\n") })
	stop()
	if c := <-code; c != exitInterrupted || complaints.String() != "netlore: stopped\n" {
		t.Errorf("exit code %d: %s", c, &complaints)
	}
	close(release)
	<-done
}
