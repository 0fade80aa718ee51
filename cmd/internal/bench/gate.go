package bench

import (
	"net"
	"net/http"
	"strings"
)

// gate is a way to the page: from this machine, or from the network.
type gate struct {
	own    map[string]bool // hosts by which the page may be called, with their port
	cookie string          // its name has the port, for browsers share cookies over ports
	secure bool            // the browser gives it over TLS only
	opens  []route         // what lets in
	knock  string          // where a device is let in that has the code; may be empty
	help   string          // how a browser is let in
	who    func(token string) visitor
}

// visitor is who asks.
type visitor struct {
	may    right
	device string // which it is, of one in the network
	gate   *gate
}

// Works reports whether somebody may change anything, Away whether he is not at this
// machine.
func (v visitor) Works() bool { return v.may >= toWork }
func (v visitor) Away() bool  { return v.gate != nil && v.gate.knock != "" }

// Guest reports whether somebody was let in to look only.
func (v visitor) Guest() bool { return v.may == toLook }

type visitorKey struct{}

// visitorOf is who asks; before that is known, somebody who may do nothing.
func visitorOf(r *http.Request) visitor {
	v, _ := r.Context().Value(visitorKey{}).(visitor)
	return v
}

// visitor is who asks, by the cookie.
func (g *gate) visitor(r *http.Request) visitor {
	v := visitor{}
	if c, err := r.Cookie(g.cookie); err == nil {
		v = g.who(c.Value)
	}
	v.gate = g
	return v
}

// token is the cookie that a browser shows from then on. No script can read it, no
// other site makes the browser send it.
func (g *gate) token(value string) *http.Cookie {
	return &http.Cookie{Name: g.cookie, Value: value, Path: "/", HttpOnly: true, Secure: g.secure, SameSite: http.SameSiteStrictMode}
}

// hostsOf are names with a port, and without one where browsers leave it out.
func hostsOf(names []string, port, left string) map[string]bool {
	own := map[string]bool{}
	for _, name := range names {
		host := strings.ToLower(net.JoinHostPort(name, port))
		own[host] = true
		if port == left {
			own[strings.TrimSuffix(host, ":"+port)] = true
		}
	}
	return own
}

// gateHere is the way from this machine, by the secret that was printed.
func (s *Server) gateHere() *gate {
	host, port, _ := net.SplitHostPort(s.Addr)
	g := &gate{own: hostsOf([]string{host, "localhost", "127.0.0.1", "::1"}, port, "80"), cookie: "netlore-" + port,
		help: "open the address that netlore bench has printed; if it was started again, there is a new one"}
	g.opens = []route{{"GET /enter", toKnock, s.knock}, {"POST /enter", toKnock, s.enter}}
	g.who = func(token string) (v visitor) {
		if s.door.knows(token) {
			v.may = toLetIn
		}
		return v
	}
	return g
}

// gateThere is the way from the network, by a code.
func (s *Server) gateThere() *gate {
	n := s.Network
	g := &gate{own: hostsOf(n.Names, n.Port, "443"), cookie: "__Host-netlore-" + n.Port, secure: true, knock: "/pair",
		help: "have a code made at the computer, and type it on this device"}
	g.opens = []route{{"GET /pair", toKnock, s.askCode}, {"POST /pair", toKnock, s.pair}}
	g.who = func(token string) (v visitor) {
		if d, ok := n.Devices.of(token); ok {
			v.may, v.device = n.may(d), d.id
		}
		return v
	}
	return g
}

// may is what a device that was let in may do.
func (n *Network) may(d Device) right {
	if d.Guest || n.GuestsOnly {
		return toLook
	}
	return toWork
}
