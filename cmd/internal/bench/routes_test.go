package bench

import (
	"context"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"
)

// However many guests ask, who works is answered; and however many the network asks, who sits at
// this machine is.
func TestRoom(t *testing.T) {
	s := &Server{busy: newRoom(mostBusy, mostBusyThere, mostBusyGuests)}
	hold, in := make(chan struct{}), make(chan struct{})
	slow := s.oneOfFew(func(http.ResponseWriter, *http.Request) { in <- struct{}{}; <-hold })
	ask := func(do http.HandlerFunc, may right) {
		r := httptest.NewRequest("GET", "/", nil)
		do(nil, r.WithContext(context.WithValue(t.Context(), visitorKey{}, visitor{may: may})))
	}
	at := 0
	for _, crowd := range []struct{ are, most int }{{int(toLook), mostBusyGuests}, {int(toWork), mostBusyThere}, {int(toLetIn), mostBusy}} {
		for range 3 * mostBusy {
			go ask(slow, right(crowd.are))
		}
		for ; at < crowd.most; at++ {
			select {
			case <-in:
			case <-time.After(10 * time.Second):
				t.Fatalf("who has the right %d waits, and %d are worked on", crowd.are, at)
			}
		}
		select {
		case <-in:
			t.Errorf("more than %d are worked on", crowd.most)
		case <-time.After(50 * time.Millisecond):
		}
	}
	go func() {
		for range in {
		}
	}()
	close(hold)
}

// Who leaves while he waits, or does not wait, takes no place.
func TestRoomLeft(t *testing.T) {
	r := newRoom(3, 2, 1)
	for range 5 {
		if leave, ok := r.enter(visitor{may: toLook}, noWaiting); !ok {
			t.Fatal("an empty room is full")
		} else if _, ok := r.enter(visitor{may: toLook}, noWaiting); ok {
			t.Error("two guests are in")
		} else {
			leave()
		}
	}
	for _, in := range []struct {
		may right
		ok  bool
	}{{toWork, true}, {toWork, true}, {toWork, false}, {toLook, false}, {toLetIn, true}, {toLetIn, false}} {
		if _, ok := r.enter(visitor{may: in.may}, noWaiting); ok != in.ok {
			t.Errorf("the right %d: %v", in.may, ok)
		}
	}
}

// What only tells something ends in time; what changes something is done to its end.
func TestWorkEnds(t *testing.T) {
	s := &Server{busy: newRoom(1, 1, 1)}
	for method, want := range map[string]bool{"GET": true, "POST": false} {
		s.oneOfFew(func(_ http.ResponseWriter, r *http.Request) {
			if until, has := r.Context().Deadline(); has != want || has && time.Until(until) > answerTime {
				t.Errorf("%s: it ends %v, %v", method, has, until)
			}
		})(nil, httptest.NewRequest(method, "/", nil))
	}
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
