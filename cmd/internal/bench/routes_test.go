package bench

import (
	"context"
	"net/http"
	"net/http/httptest"
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
