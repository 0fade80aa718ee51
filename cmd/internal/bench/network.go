package bench

import (
	"bufio"
	"errors"
	"io"
	"net"
	"net/http"
	"sync"
	"time"
)

// Limits on the connections of the network. A browser needs one, or six of the older
// protocol.
const (
	mostLines     = 128
	mostLinesEach = 24 // from one address
	greeting      = 5 * time.Second
)

// entrance is a listener for TLS: it hangs up on who comes too often, and tells who
// speaks plain HTTP where to go.
type entrance struct {
	net.Listener
	own    map[string]bool // hosts by which the page may be called
	ready  chan net.Conn
	closed chan struct{} // nobody can come any more

	mu    sync.Mutex
	lines map[string]int // by address
	all   int
}

func newEntrance(listener net.Listener, own map[string]bool) *entrance {
	e := &entrance{Listener: listener, own: own, ready: make(chan net.Conn), closed: make(chan struct{}), lines: map[string]int{}}
	go e.run()
	return e
}

// Accept is the next connection that has begun to speak TLS.
func (e *entrance) Accept() (net.Conn, error) {
	select {
	case c := <-e.ready:
		return c, nil
	case <-e.closed:
		return nil, net.ErrClosed
	}
}

func (e *entrance) run() {
	for {
		c, err := e.Listener.Accept()
		switch {
		case errors.Is(err, net.ErrClosed):
			close(e.closed)
			return
		case err != nil:
			time.Sleep(100 * time.Millisecond) // such as too many open files, which passes
			continue
		}
		if l := e.admit(c); l != nil {
			go e.greet(l)
		}
	}
}

// admit counts a connection, or hangs up.
func (e *entrance) admit(c net.Conn) *line {
	from := placeOf(c.RemoteAddr().String())
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.all >= mostLines || e.lines[from] >= mostLinesEach {
		c.Close()
		return nil
	}
	e.all++
	e.lines[from]++
	return &line{Conn: c, leave: sync.OnceFunc(func() {
		e.mu.Lock()
		defer e.mu.Unlock()
		e.all--
		if e.lines[from]--; e.lines[from] == 0 {
			delete(e.lines, from)
		}
	})}
}

// line is a counted connection, of which the first bytes may have been looked at.
type line struct {
	net.Conn
	seen  *bufio.Reader
	leave func()
}

func (l *line) Read(p []byte) (int, error) { return l.seen.Read(p) }

func (l *line) Close() error {
	l.leave()
	return l.Conn.Close()
}

// unspoken are the lines on which nothing was asked for yet. Browsers keep such ready, and a server
// that ends would wait for them.
type unspoken struct {
	mu    sync.Mutex
	lines map[net.Conn]bool
	over  bool
}

func (u *unspoken) state(line net.Conn, is http.ConnState) {
	u.mu.Lock()
	defer u.mu.Unlock()
	switch {
	case is != http.StateNew:
		delete(u.lines, line)
	case u.over:
		line.Close()
	default:
		u.lines[line] = true
	}
}

// hangUp ends them all, and those that come.
func (u *unspoken) hangUp() {
	u.mu.Lock()
	defer u.mu.Unlock()
	u.over = true
	for line := range u.lines {
		line.Close()
	}
}

// tlsHandshake is the first byte of a TLS connection (RFC 8446, 5.1: ContentType).
const tlsHandshake = 22

// greet looks at what a connection begins with.
func (e *entrance) greet(l *line) {
	_ = l.SetDeadline(time.Now().Add(greeting))
	l.seen = bufio.NewReaderSize(l.Conn, 4<<10)
	first, err := l.seen.Peek(1)
	switch {
	case err != nil:
		l.Close()
	case first[0] == tlsHandshake:
		_ = l.SetDeadline(time.Time{})
		select {
		case e.ready <- l:
		case <-e.closed:
			l.Close()
		}
	default:
		e.plain(l)
	}
}

// plain answers who speaks plain HTTP: nothing is told without TLS but where the page
// is, and that only to who calls it by its name.
func (e *entrance) plain(l *line) {
	defer l.Close()
	r, err := http.ReadRequest(bufio.NewReader(io.LimitReader(l, mostHeader)))
	if err != nil {
		return
	}
	answer := &http.Response{StatusCode: http.StatusMisdirectedRequest, ProtoMajor: 1, ProtoMinor: 1, Request: r, Close: true, Header: http.Header{}}
	if e.own[hostOf(r)] {
		answer.StatusCode = http.StatusTemporaryRedirect // one for ever would stay in browsers after the page has gone
		answer.Header.Set("Location", "https://"+hostOf(r)+"/")
	}
	_ = answer.Write(l) // whoever it was has gone
}
