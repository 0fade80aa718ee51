package bench

import (
	"crypto/rand"
	"crypto/subtle"
	"net/http"
	"sync"
)

// door lets browsers of this machine in: who has the secret that was printed at the
// start gets a cookie, and that is asked for from then on.
type door struct {
	secret string // 128 bits and more

	mu  sync.Mutex
	in  map[string]bool
	old []string // oldest first
}

// mostBrowsers is how many are in at a time: the oldest leaves first.
const mostBrowsers = 64

func newDoor() door { return door{secret: rand.Text(), in: map[string]bool{}} }

// knows reports whether a browser has come in that shows this.
func (d *door) knows(token string) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.in[token]
}

// open lets a browser in that has the secret, and returns what it shows then.
func (d *door) open(secret string) (token string, ok bool) {
	if subtle.ConstantTimeCompare([]byte(secret), []byte(d.secret)) != 1 {
		return "", false
	}
	token = rand.Text()
	d.mu.Lock()
	defer d.mu.Unlock()
	d.in[token], d.old = true, append(d.old, token)
	if len(d.old) > mostBrowsers {
		delete(d.in, d.old[0])
		d.old = d.old[1:]
	}
	return token, true
}

// knock shows the door. To follow a link must let nobody in by itself, so what
// does is a button, which a script presses.
func (s *Server) knock(w http.ResponseWriter, r *http.Request) {
	if visitorOf(r).may > toKnock {
		http.Redirect(w, r, "/", http.StatusSeeOther)
		return
	}
	s.show(w, r, http.StatusOK, "enter", &view{Title: "The bench page", Body: r.FormValue("secret")})
}

func (s *Server) enter(w http.ResponseWriter, r *http.Request) {
	token, ok := s.door.open(r.PostFormValue("secret"))
	if !ok {
		s.problem(w, r, http.StatusForbidden, trouble{Message: "that is not the secret of this page", Help: []string{s.here.help}})
		return
	}
	http.SetCookie(w, s.here.token(token))
	http.Redirect(w, r, "/", http.StatusSeeOther)
}
