package link

import (
	"io"
	"net"
	"sync"
	"testing"
)

// network is the way to a server, which can be cut.
type network struct {
	listener net.Listener
	to       string
	most     int64

	mu    sync.Mutex
	whole bool
	ends  map[net.Conn]bool
}

// newNetwork begins a way, each connection over which is cut after so many bytes from the
// server; 0 for any.
func newNetwork(t testing.TB, to string, most int64) *network {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	n := &network{listener: l, to: to, most: most, whole: true, ends: map[net.Conn]bool{}}
	t.Cleanup(func() { l.Close(); n.cut() })
	go n.serve()
	return n
}

func (n *network) address() string { return n.listener.Addr().String() }

func (n *network) serve() {
	for {
		from, err := n.listener.Accept()
		if err != nil {
			return
		}
		to, err := net.Dial("tcp", n.to)
		if err != nil || !n.join(from, to) {
			from.Close()
			if to != nil {
				to.Close()
			}
			continue
		}
		go n.carry(from, to)
		go n.carryBack(to, from)
	}
}

// join notes the ends of a connection, unless the network is cut.
func (n *network) join(ends ...net.Conn) bool {
	n.mu.Lock()
	defer n.mu.Unlock()
	for _, e := range ends {
		n.ends[e] = n.whole
	}
	return n.whole
}

func (n *network) carry(from, to net.Conn) {
	io.Copy(to, from)
	from.Close()
	to.Close()
}

// carryBack carries what the server says.
func (n *network) carryBack(from, to net.Conn) {
	if n.most == 0 {
		n.carry(from, to)
		return
	}
	io.CopyN(to, from, n.most)
	from.Close()
	to.Close()
}

// cut cuts all connections, in the middle of whatever is said, and lets none through.
func (n *network) cut() {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.whole = false
	for e := range n.ends {
		e.Close()
	}
	clear(n.ends)
}

func (n *network) mend() {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.whole = true
}
