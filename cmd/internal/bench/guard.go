package bench

import (
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"runtime/debug"
	"strings"
)

// Handler answers requests. In this order: who calls this machine by a name that
// is not its own is refused, which ends DNS rebinding; then what comes from
// another site; then who has not come in by the door.
func (s *Server) Handler() http.Handler {
	inside := http.NewServeMux()
	inside.HandleFunc("GET /{$}", s.home)
	inside.HandleFunc("GET /ask", s.ask)
	inside.HandleFunc("GET /plan", s.plan)
	inside.HandleFunc("GET /at", s.at)
	inside.HandleFunc("GET /complete", s.complete)
	inside.HandleFunc("GET /thing", s.thing)
	inside.HandleFunc("GET /explain/{code}", s.explain)
	inside.HandleFunc("GET /job/{id}", s.job)
	inside.HandleFunc("GET /job/{id}/plan", s.jobPlan)
	inside.HandleFunc("GET /job/{id}/compare", s.compare)
	inside.HandleFunc("POST /job", s.openJob)
	inside.HandleFunc("POST /job/{id}/close", s.closeJob)
	inside.HandleFunc("POST /job/{id}/reopen", s.reopenJob)
	inside.HandleFunc("POST /job/{id}/log", s.log)
	inside.HandleFunc("POST /job/{id}/undo", s.undo)
	inside.HandleFunc("POST /job/{id}/read", s.read)
	inside.HandleFunc("/", s.nowhere)

	outside := http.NewServeMux()
	outside.Handle("GET /files/{name}", files())
	outside.HandleFunc("GET /enter", s.knock)
	outside.HandleFunc("POST /enter", s.enter)
	outside.Handle("GET /live", s.known(http.HandlerFunc(s.live)))
	outside.Handle("/", s.known(s.oneOfFew(inside)))

	sameSite := http.NewCrossOriginProtection()
	sameSite.SetDenyHandler(s.refusing(http.StatusForbidden, "this request came from another site, so nothing was done"))
	return s.contained(headed(s.hosts(sameSite.Handler(s.formed(outside)))))
}

// headed says with every answer what a browser may do with it: nothing but show
// it, with our own scripts and styles and nobody else's.
func headed(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "+
			"form-action 'self'; frame-ancestors 'none'; base-uri 'none'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
		h.Set("Cache-Control", "no-store")
		next.ServeHTTP(w, r)
	})
}

// hosts lets pass who calls this machine by its own names. A site of somebody
// else can make its name lead here, but the browser goes on telling that name.
func (s *Server) hosts(next http.Handler) http.Handler {
	_, port, _ := net.SplitHostPort(s.Addr)
	own := map[string]bool{s.Addr: true}
	for _, name := range []string{"localhost", "127.0.0.1", "[::1]"} {
		own[name+":"+port] = true
	}
	refuse := s.refusing(http.StatusMisdirectedRequest, "this is the bench page of netlore, and that is not its address")
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if own[strings.ToLower(r.Host)] {
			next.ServeHTTP(w, r)
			return
		}
		refuse.ServeHTTP(w, r)
	})
}

// formed reads the form of a request whole, up to its limit, before anything is
// done.
func (s *Server) formed(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, mostBody)
		if err := r.ParseForm(); err != nil {
			s.problem(w, http.StatusRequestEntityTooLarge, trouble{Message: "that is no form of this page, or more than one holds, so nothing was done"})
			return
		}
		next.ServeHTTP(w, r)
	})
}

// known lets pass who has come in by the door.
func (s *Server) known(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !s.door.knows(r) {
			s.problem(w, http.StatusForbidden, trouble{Message: "this browser has not been let in",
				Help: []string{"open the address that netlore bench has printed; if it was started again, there is a new one"}})
			return
		}
		next.ServeHTTP(w, r)
	})
}

// oneOfFew lets a few requests be worked on at a time.
func (s *Server) oneOfFew(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		select {
		case s.busy <- struct{}{}:
			defer func() { <-s.busy }()
			next.ServeHTTP(w, r)
		case <-r.Context().Done():
		}
	})
}

// contained keeps what goes wrong in one request from the others.
func (s *Server) contained(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			bug := recover()
			if bug == nil || bug == http.ErrAbortHandler {
				return
			}
			s.Complain(fmt.Errorf("a mistake of netlore in %s: %v\n%s", r.URL.Path, bug, debug.Stack()))
			s.problem(w, http.StatusInternalServerError, trouble{Message: "a mistake of netlore; what it is about stands in the terminal", Help: []string{"nothing that was told to be saved is lost"}})
		}()
		next.ServeHTTP(w, r)
	})
}

func (s *Server) refusing(status int, why string) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		s.problem(w, status, trouble{Message: why})
	})
}

// noLog keeps what strangers send out of the terminal.
var noLog = log.New(io.Discard, "", 0)
