package bench

import (
	"context"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// However many guests ask, those who work are answered.
func TestGuestsLeaveRoom(t *testing.T) {
	s := &Server{busy: make(chan struct{}, mostBusy), guests: make(chan struct{}, mostGuests)}
	hold, in := make(chan struct{}), make(chan struct{})
	slow := s.oneOfFew(func(http.ResponseWriter, *http.Request) { in <- struct{}{}; <-hold })
	ask := func(do http.HandlerFunc, may right) {
		r := httptest.NewRequest("GET", "/", nil)
		do(nil, r.WithContext(context.WithValue(t.Context(), visitorKey{}, visitor{may: may})))
	}
	for range 3 * mostBusy {
		go ask(slow, toLook)
	}
	for range mostGuests {
		<-in
	}
	select {
	case <-in:
		t.Error("a guest too many is worked on")
	default:
	}
	done := false
	ask(s.oneOfFew(func(http.ResponseWriter, *http.Request) { done = true }), toWork)
	if !done {
		t.Error("who works has to wait for guests")
	}
	go func() {
		for range in {
		}
	}()
	close(hold)
}

// What somebody may not do is refused without the base, which is for few at a time.
func TestDeniedWithoutBase(t *testing.T) {
	s := New(Options{Desk: struct{ Desk }{}}) // of which any use is a mistake
	for _, may := range []right{toLook, toWork} {
		g := &gate{who: func(string) visitor { return visitor{may: may} }, cookie: "any"}
		for _, method := range []string{"GET", "POST"} {
			r := httptest.NewRequest(method, "/", nil)
			r.AddCookie(&http.Cookie{Name: g.cookie, Value: "x"})
			w := httptest.NewRecorder()
			s.guarded(g, route{method + " /", may + 1, nil})(w, r)
			if text := w.Body.String(); w.Code != http.StatusForbidden || !strings.Contains(text, "/explain/B20") || !strings.Contains(text, `href="/"`) {
				t.Errorf("%s with the right %d: %d\n%s", method, may, w.Code, text)
			}
		}
	}
}
