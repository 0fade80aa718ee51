package bench

import (
	"crypto/rand"
	"crypto/subtle"
	"net"
	"net/http"
	"sync"
)

// door lets browsers in: who has the secret that was printed at the start gets a
// cookie, and that is asked for from then on.
type door struct {
	secret string // 128 bits and more
	cookie string // its name has the port, for browsers share cookies over ports

	mu  sync.Mutex
	in  map[string]bool
	old []string // oldest first
}

// mostBrowsers is how many are in at a time: the oldest leaves first.
const mostBrowsers = 64

func newDoor(addr string) door {
	_, port, _ := net.SplitHostPort(addr)
	return door{secret: rand.Text(), cookie: "netlore-" + port, in: map[string]bool{}}
}

// knows reports whether a browser has come in.
func (d *door) knows(r *http.Request) bool {
	c, err := r.Cookie(d.cookie)
	if err != nil {
		return false
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.in[c.Value]
}

// open lets a browser in that has the secret.
func (d *door) open(secret string) (*http.Cookie, bool) {
	if subtle.ConstantTimeCompare([]byte(secret), []byte(d.secret)) != 1 {
		return nil, false
	}
	token := rand.Text()
	d.mu.Lock()
	defer d.mu.Unlock()
	d.in[token], d.old = true, append(d.old, token)
	if len(d.old) > mostBrowsers {
		delete(d.in, d.old[0])
		d.old = d.old[1:]
	}
	return &http.Cookie{Name: d.cookie, Value: token, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode}, true
}

// knock shows the door. To follow a link must let nobody in by itself, so what
// does is a button, which a script presses.
func (s *Server) knock(w http.ResponseWriter, r *http.Request) {
	if s.door.knows(r) {
		http.Redirect(w, r, "/", http.StatusSeeOther)
		return
	}
	s.show(w, http.StatusOK, "enter", &view{Title: "The bench page", Body: r.FormValue("secret")})
}

func (s *Server) enter(w http.ResponseWriter, r *http.Request) {
	cookie, ok := s.door.open(r.PostFormValue("secret"))
	if !ok {
		s.problem(w, http.StatusForbidden, trouble{Message: "that is not the secret of this page",
			Help: []string{"open the address that netlore bench has printed; if it was started again, there is a new one"}})
		return
	}
	http.SetCookie(w, cookie)
	http.Redirect(w, r, "/", http.StatusSeeOther)
}
