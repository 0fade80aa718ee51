package scpi_test

import (
	"context"
	"errors"
	"net"
	"slices"
	"strings"
	"testing"
	"time"

	"netlore/cmd/internal/scpi"
	"netlore/cmd/internal/scpi/scpitest"
	"netlore/query/diag"
)

var read = scpi.MustQuery("READ?")

// patient is a time-out that no test is meant to reach.
const patient = time.Minute

// bench is a meter for one test and a Reader on it.
type bench struct {
	*scpitest.Meter
	*scpi.Reader
	notices []string
}

func newBench(t *testing.T, timeout time.Duration) *bench {
	t.Helper()
	meter, err := scpitest.StartMeter()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(meter.Close)
	b := &bench{Meter: meter}
	b.Reader = scpi.NewReader(address(t, meter.Address()), scpi.Options{Kind: "meter", Timeout: timeout, Notice: func(s string) { b.notices = append(b.notices, s) }})
	t.Cleanup(func() { b.Reader.Close() })
	meter.Turn("DIOD")
	return b
}

func address(t *testing.T, text string) scpi.Address {
	t.Helper()
	a, err := scpi.ParseAddress(text)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// asks asks READ? and wants an answer.
func (b *bench) asks(t *testing.T, want string) {
	t.Helper()
	if a, err := b.Ask(t.Context(), read); err != nil || a.Text != want {
		t.Fatalf("READ? gives %q, %v; want %q", a.Text, err, want)
	}
}

// fails asks READ? and wants a complaint, told with the address.
func (b *bench) fails(t *testing.T, code string) diag.Diagnostic {
	t.Helper()
	_, err := b.Ask(t.Context(), read)
	var d diag.Diagnostic
	if !errors.As(err, &d) || d.Code != code || !strings.Contains(d.Message, b.Address()) {
		t.Fatalf("READ? gives %v, want %s", err, code)
	}
	return d
}

func TestAsk(t *testing.T) {
	b := newBench(t, patient)
	b.Reads("DIOD", "+4.12000000E-01", "+4.13000000E-01")
	b.asks(t, "+4.12000000E-01")
	b.asks(t, "+4.13000000E-01")
	if got, err := b.Identify(t.Context()); err != nil || got != (scpi.Identity{Maker: "Plover", Model: "P60", Serial: "4711", Firmware: "1.02"}) {
		t.Errorf("it is %+v, %v", got, err)
	}
	if want := []string{"*IDN?\n", "READ?\n", "READ?\n"}; !slices.Equal(b.Received(), want) || b.Connections() != 1 || b.notices != nil {
		t.Errorf("received %q over %d connections, notices %q", b.Received(), b.Connections(), b.notices)
	}
}

func TestAnswerInPieces(t *testing.T) {
	b := newBench(t, patient)
	b.Reads("DIOD", "+4.12000000E-01")
	b.Fault("READ?", scpitest.Bytewise())
	b.asks(t, "+4.12000000E-01")
}

// TestLateAnswer: the answer to a question that was given up is never the
// answer to the next one.
func TestLateAnswer(t *testing.T) {
	b := newBench(t, patient)
	b.Reads("DIOD", "first", "late", "in time")
	b.asks(t, "first")
	release, done := make(chan struct{}), make(chan struct{})
	b.Fault("READ?", scpitest.Late(release, done))
	b.SetTimeout(50 * time.Millisecond)
	d := b.fails(t, "M103")
	if want := "did not answer READ? within 50 ms"; !strings.HasSuffix(d.Message, want) {
		t.Errorf("says %q", d.Message)
	}
	close(release)
	<-done
	b.SetTimeout(patient)
	b.asks(t, "in time")
	if b.Connections() != 2 {
		t.Errorf("%d connections, want 2", b.Connections())
	}
}

// TestCancelledWhileWaiting is the same for one who no longer waits.
func TestCancelledWhileWaiting(t *testing.T) {
	b := newBench(t, patient)
	b.Reads("DIOD", "late", "in time")
	asked, release, done := make(chan struct{}), make(chan struct{}), make(chan struct{})
	late := scpitest.Late(release, done)
	b.Fault("READ?", func(c net.Conn, answer string) bool { close(asked); return late(c, answer) })
	ctx, cancel := context.WithCancel(t.Context())
	go func() { <-asked; cancel() }()
	start := time.Now()
	if _, err := b.Ask(ctx, read); !errors.Is(err, context.Canceled) || time.Since(start) > patient/2 {
		t.Fatalf("got %v after %v", err, time.Since(start))
	}
	close(release)
	<-done
	b.asks(t, "in time")
}

func TestLineNobodyAskedFor(t *testing.T) {
	b := newBench(t, patient)
	b.Reads("DIOD", "first", "second")
	b.Fault("READ?", scpitest.Twice("stray"))
	b.asks(t, "first")
	b.asks(t, "second")
	if want := "the meter at " + b.Address() + " sent a line that nobody asked for; connected again"; !slices.Equal(b.notices, []string{want}) {
		t.Errorf("notices are %q", b.notices)
	}
}

func TestBrokenOnce(t *testing.T) {
	for name, fault := range map[string]scpitest.Fault{"before": scpitest.HangUp(), "within": scpitest.Cut(6)} {
		t.Run(name, func(t *testing.T) {
			b := newBench(t, patient)
			b.Reads("DIOD", "+4.12000000E-01", "+4.13000000E-01")
			b.Fault("READ?", fault)
			b.asks(t, "+4.13000000E-01")
			if want := "the meter at " + b.Address() + " closed the connection; connected again"; !slices.Equal(b.notices, []string{want}) {
				t.Errorf("notices are %q", b.notices)
			}
		})
	}
}

func TestBrokenTwice(t *testing.T) {
	b := newBench(t, patient)
	b.Fault("READ?", scpitest.HangUp(), scpitest.Cut(3))
	d := b.fails(t, "M104")
	if want := "closed the connection, and connecting again did not help: it closed the connection again"; !strings.HasSuffix(d.Message, want) {
		t.Errorf("says %q", d.Message)
	}
	b.asks(t, "+9.90000000E+37")
}

func TestUnplugged(t *testing.T) {
	b := newBench(t, patient)
	b.Reads("DIOD", "+4.12000000E-01", "+4.13000000E-01")
	b.asks(t, "+4.12000000E-01")
	b.Unplug()
	if d := b.fails(t, "M104"); !strings.HasSuffix(d.Message, "connecting again did not help: it refuses the connection") {
		t.Errorf("says %q", d.Message)
	}
	if d := b.fails(t, "M102"); !strings.HasSuffix(d.Message, "it refuses the connection") {
		t.Errorf("says %q", d.Message)
	}
	if err := b.Plug(); err != nil {
		t.Skipf("its port was taken meanwhile: %v", err)
	}
	b.asks(t, "+4.13000000E-01")
}

func TestAnotherInstrument(t *testing.T) {
	b := newBench(t, patient)
	b.asks(t, "+9.90000000E+37")
	b.Become(scpitest.SupplyIdentity)
	b.Fault("READ?", scpitest.HangUp())
	if d := b.fails(t, "M105"); !strings.HasSuffix(d.Message, "Plover S2, no longer Plover P60 (serial 4711)") {
		t.Errorf("says %q", d.Message)
	}
}

func TestFlood(t *testing.T) {
	b := newBench(t, patient)
	b.Reads("DIOD", "first", "second")
	b.Fault("READ?", scpitest.Flood(64<<20))
	b.fails(t, "M201")
	b.asks(t, "second")
}

func TestLongestLine(t *testing.T) {
	b := newBench(t, patient)
	longest := strings.Repeat("7", 4095)
	b.Fault("READ?", scpitest.Instead(longest+"\n"), scpitest.Instead(longest+"7\n"))
	b.asks(t, longest)
	b.fails(t, "M201")
}

func TestNotAnInstrument(t *testing.T) {
	for _, greeting := range []string{"Welcome to the P60\n", "\n", "SSH-2.0-x\r\n", strings.Repeat("\xff", 100) + "\n"} {
		b := newBench(t, patient)
		b.Fault("*IDN?", scpitest.Instead(greeting))
		if d := b.fails(t, "M203"); !strings.HasPrefix(d.Message, "what answers at "+b.Address()+" does not say what it is: ") {
			t.Errorf("says %q", d.Message)
		}
	}
}

func TestNobodyThere(t *testing.T) {
	for _, c := range []struct {
		err  error
		says string
	}{
		{&net.OpError{Op: "dial", Err: context.DeadlineExceeded}, "nothing answered within 2 s"},
		{&net.DNSError{Name: "bench", IsNotFound: true}, "no host of that name is known"},
		{&net.DNSError{Name: "bench", IsTimeout: true}, "its name cannot be looked up"},
		{&net.OpError{Op: "dial", Err: errors.New("out of luck")}, "the connection failed: out of luck"},
	} {
		r := scpi.NewReader(address(t, "bench"), scpi.Options{Dial: func(context.Context, string, string) (net.Conn, error) { return nil, c.err }})
		_, err := r.Identify(t.Context())
		if scpi.CodeOf(err) != "M102" || !strings.HasSuffix(err.Error(), "cannot connect to the instrument at bench:5025: "+c.says) {
			t.Errorf("got %v", err)
		}
	}
}

func TestTell(t *testing.T) {
	b := newBench(t, patient)
	c := scpi.NewController(address(t, b.Address()), scpi.Options{Timeout: patient}, nil)
	defer c.Close()
	if err := c.Tell(t.Context(), scpi.ConfigureFourWire); err != nil {
		t.Fatal(err)
	}
	if entries, err := c.Errors(t.Context()); err != nil || entries != nil || b.Function() != "FRES" {
		t.Errorf("%v, %v; it measures %s", entries, err, b.Function())
	}
}

// TestBeginsEveryConnection: what a new connection needs is done before the
// question that it was made for, and is not tried without end.
func TestBeginsEveryConnection(t *testing.T) {
	b := newBench(t, patient)
	b.Reads("RES", "+1E0", "+2E0")
	c := scpi.NewController(address(t, b.Address()), scpi.Options{Timeout: patient}, func(ctx context.Context, c *scpi.Controller) error {
		if err := c.Tell(ctx, scpi.ConfigureResistance); err != nil {
			return err
		}
		_, err := c.Errors(ctx)
		return err
	})
	defer c.Close()
	b.Fault("SYSTem:ERRor?", scpitest.HangUp()) // the first connection breaks while it is made ready
	if a, err := c.Ask(t.Context(), read); err != nil || a.Text != "+1E0" {
		t.Fatalf("%q, %v", a.Text, err)
	}
	b.Turn("VOLT:DC") // as after it was off
	b.Fault("READ?", scpitest.HangUp())
	if a, err := c.Ask(t.Context(), read); err != nil || a.Text != "+2E0" {
		t.Errorf("%q, %v", a.Text, err)
	}
	b.Fault("READ?", scpitest.HangUp())
	b.Fault("SYSTem:ERRor?", scpitest.HangUp())
	if _, err := c.Ask(t.Context(), read); scpi.CodeOf(err) != "M104" {
		t.Errorf("got %v", err)
	}
}

// TestBeginningThatOverlooksABreak must not leave a connection that is none.
func TestBeginningThatOverlooksABreak(t *testing.T) {
	b := newBench(t, patient)
	c := scpi.NewController(address(t, b.Address()), scpi.Options{Timeout: patient}, func(ctx context.Context, c *scpi.Controller) error {
		c.Errors(ctx)
		return nil
	})
	defer c.Close()
	b.Fault("SYSTem:ERRor?", scpitest.HangUp(), scpitest.HangUp())
	if _, err := c.Ask(t.Context(), read); scpi.CodeOf(err) != "M104" {
		t.Errorf("got %v", err)
	}
}

func TestCancelled(t *testing.T) {
	b := newBench(t, patient)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := b.Ask(ctx, read); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
	if b.Connections() > 1 || slices.Contains(b.Received(), "READ?\n") {
		t.Errorf("received %q", b.Received())
	}
}
