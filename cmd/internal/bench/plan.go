package bench

import (
	"cmp"
	"context"
	"math"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"netlore/query"
	"netlore/query/draw"
	"netlore/store"
	"netlore/store/board"
)

// shownPlan is a picture in a page.
type shownPlan struct {
	At    string // where it is
	On    string // what it is of: a board or stack
	Shows string // for those who do not see it
	Photo int    // how much of a photo is seen under it, in per cent; 0 for what the browser keeps
	Pick  bool   // a tap picks a place
	still string // where it is for those without scripts, if that is elsewhere
}

// Still is where the picture is for those without scripts.
func (p *shownPlan) Still() string { return cmp.Or(p.still, p.At) }

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
		if err == nil && visitorOf(r).Works() { // photos are the shop's alone
			err = s.under(r.Context(), base, picture)
		}
		if err == nil {
			svg, err = picture.SVG()
		}
		return err
	})
	if err != nil {
		s.wrong(w, r, status(err), troubleOf(err, r.FormValue("on")))
		return
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	_, _ = w.Write(svg) // the browser has gone
}

// at leads to what is at a spot of a plan that somebody has tapped: a thing that is
// drawn with its name, else what lies there.
func (s *Server) at(w http.ResponseWriter, r *http.Request) {
	on, role := r.FormValue("on"), r.FormValue("role")
	if thing := r.FormValue("thing"); thing != "" {
		leadTo(w, r, query.NameOf(role, strings.TrimPrefix(thing, role+":")), on)
		return
	}
	spot, ok := spotOf(r)
	if !ok {
		s.wrong(w, r, http.StatusBadRequest, trouble{Message: "that is no spot of a plan", On: on})
		return
	}
	var name string
	err := s.reading(r.Context(), func(base *store.Base) (err error) {
		name, err = query.ThingAt(r.Context(), base, s.options(on), spot)
		return err
	})
	if err != nil {
		s.wrong(w, r, status(err), troubleOf(err, on))
		return
	}
	leadTo(w, r, name, on)
}

func leadTo(w http.ResponseWriter, r *http.Request, name, on string) {
	http.Redirect(w, r, "/thing?"+url.Values{"name": {name}, "on": {on}}.Encode(), http.StatusSeeOther)
}

func spotOf(r *http.Request) (spot query.Spot, ok bool) {
	side, known := board.SideByWord(r.FormValue("side"))
	x, noX := strconv.ParseInt(r.FormValue("x"), 10, 32)
	y, noY := strconv.ParseInt(r.FormValue("y"), 10, 32)
	near, noNear := strconv.ParseFloat(r.FormValue("near"), 64)
	spot = query.Spot{Role: r.FormValue("role"), Side: side, At: board.Point{X: int32(x), Y: int32(y)}, Near: near}
	return spot, known && noX == nil && noY == nil && noNear == nil && near >= 0 && !math.IsInf(near, 1)
}
