package bench

import (
	"context"
	"errors"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/synctest"

	"netlore/store"
)

// Two browsers that want one photo flat have it laid flat once; one that goes away stops waiting.
func TestFlatsMadeOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f, made, hold := newFlats(), 0, make(chan struct{})
		get := func(ctx context.Context, got chan<- error) {
			_, err := f.get(ctx, "a", func() ([]byte, error) { made++; <-hold; return []byte("flat"), nil })
			got <- err
		}
		gone, leave := context.WithCancel(t.Context())
		got, late := make(chan error, 2), make(chan error, 1)
		go get(t.Context(), got)
		synctest.Wait() // it is being made
		go get(t.Context(), got)
		go get(gone, late)
		synctest.Wait()
		leave()
		if err := <-late; !errors.Is(err, context.Canceled) {
			t.Errorf("who has gone gets %v", err)
		}
		close(hold)
		if err := errors.Join(<-got, <-got); err != nil || made != 1 {
			t.Errorf("it was made %d times: %v", made, err)
		}
	})
}

// barred is a desk whose base cannot be read.
type barred struct {
	Desk
	why error
}

func (b barred) Reading(context.Context, func(*store.Base) error) error { return b.why }

// Why a picture is not sent is told by its kind: only where there is none it is not found.
func TestPictureErrors(t *testing.T) {
	for why, want := range map[error]int{
		&store.LockedError{}:     http.StatusServiceUnavailable,
		&store.DamagedError{}:    http.StatusInternalServerError,
		store.ErrNoPhoto:         http.StatusNotFound,
		context.DeadlineExceeded: http.StatusServiceUnavailable,
	} {
		s := New(Options{Desk: barred{why: why}})
		for name, send := range map[string]http.HandlerFunc{"picture": s.photoPicture, "flat": s.photoFlat, "view": s.photoView, "plan": s.photoPlan} {
			w := httptest.NewRecorder()
			send(w, httptest.NewRequest("GET", "/photo/"+name, nil))
			if w.Code != want || strings.Contains(w.Body.String(), "deadline") {
				t.Errorf("%s, with %v: %d\n%s", name, why, w.Code, w.Body)
			}
		}
		w := httptest.NewRecorder()
		s.complete(w, httptest.NewRequest("GET", "/complete", nil))
		if kind := w.Result().Header.Get("Content-Type"); w.Code != want || kind != "application/json" || w.Body.String() != "[]\n" {
			t.Errorf("completion, with %v: %d, %s, %s", why, w.Code, kind, w.Body)
		}
	}
}
