package bench

import (
	"context"
	"net/http"
	"time"
)

// room is for so many at a time of those who want the same. Not all of it is for who
// comes by the network, nor all of that for guests, so that nobody at this machine has
// to wait for the network, nor who works for who looks.
type room struct{ all, there, guests chan struct{} }

func newRoom(all, there, guests int) room {
	return room{make(chan struct{}, all), make(chan struct{}, there), make(chan struct{}, guests)}
}

// enter waits for a place until somebody has gone, who may be gone already: then it
// does not wait. It fails if there is no place.
func (r *room) enter(v visitor, gone <-chan struct{}) (leave func(), ok bool) {
	var in []chan struct{}
	leave = func() {
		for _, some := range in {
			<-some
		}
	}
	for _, some := range r.needed(v) {
		select {
		case some <- struct{}{}:
		default:
			select {
			case some <- struct{}{}:
			case <-gone:
				leave()
				return nil, false
			}
		}
		in = append(in, some)
	}
	return leave, true
}

// needed is where somebody needs a place: what is for fewer comes first, so that who
// waits there takes no place from others.
func (r *room) needed(v visitor) []chan struct{} {
	switch {
	case v.may < toWork:
		return []chan struct{}{r.guests, r.there, r.all}
	case v.may < toLetIn:
		return []chan struct{}{r.there, r.all}
	}
	return []chan struct{}{r.all}
}

// oneOfFew lets a few requests be worked on at a time. What only tells something is
// stopped when its answer could not be sent any more.
func (s *Server) oneOfFew(next http.HandlerFunc) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		leave, ok := s.busy.enter(visitorOf(r), r.Context().Done())
		if !ok {
			return
		}
		defer leave()
		if r.Method == http.MethodGet {
			ctx, cancel := context.WithTimeout(r.Context(), workTime)
			defer cancel()
			r = r.WithContext(ctx)
		}
		next(w, r)
	}
}

// workTime is how long a request is worked on that changes nothing.
const workTime = answerTime - 5*time.Second
