// Package scpitest is an instrument for tests: it listens on a real socket,
// knows short and long keywords, keeps an error queue, writes down every byte
// that it is sent, and misbehaves on request.
//
// It shares no code with the client, so that the two can disagree.
package scpitest

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"net"
	"slices"
	"strings"
	"sync"
)

// An Instrument serves any number of connections until it is closed.
type Instrument struct {
	address string
	running sync.WaitGroup

	mu       sync.Mutex
	listener net.Listener
	closed   bool
	open     map[net.Conn]bool
	identity string
	known    []entry
	queue    []string // errors, the oldest first
	faults   map[string][]Fault
	raw      bytes.Buffer // all that came in, over all connections
	dials    int
}

// entry is a header that the instrument knows, as SCPI writes it, and what it
// does. Answer is empty for commands. It is called with mu held.
type entry struct {
	pattern string
	do      func() (answer string)
}

// Start makes an instrument listen on a free port of this machine.
func Start(identity string) (*Instrument, error) {
	in := &Instrument{identity: identity, open: map[net.Conn]bool{}, faults: map[string][]Fault{}}
	in.knows("*IDN?", func() string { return in.identity })
	in.knows("*CLS", func() string { in.queue = nil; return "" })
	in.knows("SYSTem:ERRor?", in.nextError)
	if err := in.listen("127.0.0.1:0"); err != nil {
		return nil, err
	}
	return in, nil
}

func (in *Instrument) knows(pattern string, do func() string) {
	in.known = append(in.known, entry{pattern, do})
}

func (in *Instrument) nextError() string {
	if len(in.queue) == 0 {
		return `+0,"No error"`
	}
	first := in.queue[0]
	in.queue = in.queue[1:]
	return first
}

func (in *Instrument) listen(address string) error {
	l, err := net.Listen("tcp", address)
	if err != nil {
		return err
	}
	in.mu.Lock()
	in.listener, in.address, in.closed = l, l.Addr().String(), false
	in.mu.Unlock()
	in.running.Go(func() {
		for {
			conn, err := l.Accept()
			if err != nil {
				return
			}
			in.running.Go(func() { in.serve(conn) })
		}
	})
	return nil
}

// Address is where the instrument is: "127.0.0.1:40123".
func (in *Instrument) Address() string { return in.address }

// Unplug ends all connections and takes no more, until Plug.
func (in *Instrument) Unplug() {
	in.mu.Lock()
	in.closed = true
	in.listener.Close()
	for c := range in.open {
		c.Close()
	}
	in.mu.Unlock()
	in.running.Wait()
}

// Plug makes an unplugged instrument listen at its old address again.
func (in *Instrument) Plug() error { return in.listen(in.address) }

// Close ends the instrument, and waits for all that it runs.
func (in *Instrument) Close() { in.Unplug() }

// Become changes what the instrument answers to *IDN?.
func (in *Instrument) Become(identity string) {
	in.mu.Lock()
	defer in.mu.Unlock()
	in.identity = identity
}

// Queue puts errors into the queue: `-222,"Data out of range"`.
func (in *Instrument) Queue(entries ...string) {
	in.mu.Lock()
	defer in.mu.Unlock()
	in.queue = append(in.queue, entries...)
}

// Forget makes the instrument know a header no longer.
func (in *Instrument) Forget(pattern string) {
	in.mu.Lock()
	defer in.mu.Unlock()
	in.known = slices.DeleteFunc(in.known, func(e entry) bool { return e.pattern == pattern })
}

// Answer makes the instrument answer a question in one way from now on.
func (in *Instrument) Answer(pattern, answer string) {
	in.Forget(pattern)
	in.mu.Lock()
	defer in.mu.Unlock()
	in.knows(pattern, func() string { return answer })
}

// Fault says how the next answers to a question go wrong, one after the other.
func (in *Instrument) Fault(pattern string, faults ...Fault) {
	in.mu.Lock()
	defer in.mu.Unlock()
	in.faults[pattern] = append(in.faults[pattern], faults...)
}

// Received is every line that came in, over all connections.
func (in *Instrument) Received() []string {
	in.mu.Lock()
	defer in.mu.Unlock()
	return slices.Collect(strings.Lines(in.raw.String()))
}

// Connections is how many there were.
func (in *Instrument) Connections() int {
	in.mu.Lock()
	defer in.mu.Unlock()
	return in.dials
}

func (in *Instrument) serve(conn net.Conn) {
	defer conn.Close()
	defer in.leave(conn)
	if !in.enter(conn) {
		return
	}
	lines := bufio.NewScanner(io.TeeReader(conn, (*writtenDown)(in)))
	for lines.Scan() {
		answer, fault := in.obey(strings.TrimSpace(lines.Text()))
		if fault == nil {
			fault = plain
		}
		if !fault(conn, answer) {
			return
		}
	}
}

// enter notes a connection, unless the instrument has been unplugged meanwhile.
func (in *Instrument) enter(conn net.Conn) bool {
	in.mu.Lock()
	defer in.mu.Unlock()
	in.dials++
	in.open[conn] = true
	return !in.closed
}

func (in *Instrument) leave(conn net.Conn) {
	in.mu.Lock()
	defer in.mu.Unlock()
	delete(in.open, conn)
}

// writtenDown keeps what comes in.
type writtenDown Instrument

func (w *writtenDown) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.raw.Write(p)
}

// obey does what a line says, and returns the answer and how it goes wrong.
func (in *Instrument) obey(line string) (answer string, fault Fault) {
	in.mu.Lock()
	defer in.mu.Unlock()
	for _, e := range in.known {
		if !Matches(e.pattern, line) {
			continue
		}
		answer = e.do()
		if waiting := in.faults[e.pattern]; len(waiting) > 0 {
			fault, in.faults[e.pattern] = waiting[0], waiting[1:]
		}
		return answer, fault
	}
	in.queue = append(in.queue, fmt.Sprintf(`-113,"Undefined header;%s"`, line))
	return "", nil
}

// Matches says whether a header is the one that a pattern such as
// "CONFigure:DIODe" or "[SOURce:]VOLTage?" writes: every keyword short or whole, in
// any case, and those in brackets or not.
func Matches(pattern, header string) bool {
	if optional, rest, ok := strings.Cut(strings.TrimPrefix(pattern, "["), "]"); ok && pattern[0] == '[' {
		return Matches(rest, header) || Matches(optional+rest, header)
	}
	want, got := strings.Split(pattern, ":"), strings.Split(strings.TrimPrefix(header, ":"), ":")
	return slices.EqualFunc(want, got, func(w, g string) bool {
		short := strings.Map(func(r rune) rune {
			if 'a' <= r && r <= 'z' {
				return -1
			}
			return r
		}, w)
		return strings.EqualFold(w, g) || strings.EqualFold(short, g)
	})
}
