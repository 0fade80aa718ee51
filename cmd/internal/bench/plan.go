package bench

import (
	"context"
	"errors"
	"net/http"

	"netlore/query"
	"netlore/query/draw"
	"netlore/store"
)

// shownPlan is a picture in a page.
type shownPlan struct {
	At    string // where it is
	On    string // what it is of: a board or stack
	Shows string // for those who do not see it
}

// plan draws an answer on the boards, as a picture of its own, so that the table
// is there before it.
func (s *Server) plan(w http.ResponseWriter, r *http.Request) {
	s.picture(w, r, func(ctx context.Context, base *store.Base) (*draw.Picture, error) {
		picture, _, err := query.Draw(ctx, base, s.options(r.FormValue("on")), r.FormValue("q"))
		return picture, err
	})
}

// jobPlan draws the suspects and the next tests of a job.
func (s *Server) jobPlan(w http.ResponseWriter, r *http.Request) {
	s.picture(w, r, func(ctx context.Context, base *store.Base) (*draw.Picture, error) {
		picture, _, err := query.DrawJob(ctx, base, s.options(""), query.Isolating{Job: r.PathValue("id"), Tools: s.Tools})
		return picture, err
	})
}

func (s *Server) picture(w http.ResponseWriter, r *http.Request, make func(context.Context, *store.Base) (*draw.Picture, error)) {
	var svg []byte
	err := s.reading(r.Context(), func(base *store.Base) error {
		picture, err := make(r.Context(), base)
		if err == nil {
			svg, err = picture.SVG()
		}
		return err
	})
	switch {
	case errors.Is(err, draw.ErrNothing):
		s.wrong(w, r, http.StatusNotFound, troubleOf(err, r.FormValue("on")))
	case err != nil:
		s.wrong(w, r, status(err), troubleOf(err, r.FormValue("on")))
	default:
		w.Header().Set("Content-Type", "image/svg+xml")
		_, _ = w.Write(svg) // the browser has gone
	}
}
