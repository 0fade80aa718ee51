package bench

import (
	"fmt"
	"io"
	"log"
	"mime"
	"net/http"
	"runtime/debug"
	"strings"
)

// handler answers requests that come by a gate. In this order: who calls this machine
// by a name that is not its own is refused, which ends DNS rebinding; then what comes
// from another site; then who may not do what the route needs.
func (s *Server) handler(g *gate) http.Handler {
	pages := http.NewServeMux()
	for _, rt := range s.routes(g) {
		pages.Handle(rt.at, s.guarded(g, rt))
	}
	refuse := s.refusing(http.StatusForbidden, "this request came from another site, so nothing was done")
	sameSite := http.NewCrossOriginProtection()
	sameSite.SetDenyHandler(refuse)
	next := sameSite.Handler(s.formed(g, pages))
	if g.secure {
		next = overTLS(next, refuse)
	}
	return s.contained(headed(s.hosts(g, next)))
}

// overTLS refuses what a page without TLS sends to one with it. Anybody on the way can
// make such a page under our name, and net/http's protection does not compare that.
func overTLS(next, refuse http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasPrefix(strings.ToLower(r.Header.Get("Origin")), "http:") {
			refuse.ServeHTTP(w, r)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// headed says with every answer what a browser may do with it: nothing but show
// it, with our own scripts and styles and nobody else's.
func headed(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "+
			"form-action 'self'; frame-ancestors 'none'; base-uri 'none'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin") // with none, forms of our own come from nowhere, and older browsers are refused
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
		h.Set("Cache-Control", "no-store")
		next.ServeHTTP(w, r)
	})
}

// hosts lets pass who calls this machine by its own names. A site of somebody
// else can make its name lead here, but the browser goes on telling that name.
func (s *Server) hosts(g *gate, next http.Handler) http.Handler {
	refuse := s.refusing(http.StatusMisdirectedRequest, "this is the bench page of netlore, and that is not its address")
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if g.own[hostOf(r)] {
			next.ServeHTTP(w, r)
			return
		}
		refuse.ServeHTTP(w, r)
	})
}

// hostOf is the host that a request calls, with its port.
func hostOf(r *http.Request) string { return strings.ToLower(r.Host) }

// formed reads the form of a request whole, up to its limit, before anything is
// done.
func (s *Server) formed(g *gate, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, mostSent(g, r))
		if err := r.ParseForm(); err != nil {
			s.problem(w, r, http.StatusRequestEntityTooLarge, trouble{Message: "that is no form of this page, or more than one holds, so nothing was done"})
			return
		}
		next.ServeHTTP(w, r)
	})
}

// mostSent is how long the form of a request may be.
func mostSent(g *gate, r *http.Request) int64 {
	kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type"))
	switch {
	case r.ContentLength == 0:
		return 0
	case g.visitor(r).may < toLook:
		return mostBodyStrange
	case r.URL.Path == uploadPath && kind == "multipart/form-data":
		return mostUpload // ParseForm leaves it, and only whoever may send it has it read
	}
	return mostBody
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
			s.problem(w, r, http.StatusInternalServerError, trouble{Message: "a mistake of netlore; what it is about stands in the terminal", Help: []string{"nothing that was told to be saved is lost"}})
		}()
		next.ServeHTTP(w, r)
	})
}

func (s *Server) refusing(status int, why string) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.problem(w, r, status, trouble{Message: why})
	})
}

// noLog keeps what strangers send out of the terminal.
var noLog = log.New(io.Discard, "", 0)
