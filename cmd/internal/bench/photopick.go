package bench

import (
	"net/http"
	"slices"
	"strconv"

	"netlore/cmd/internal/photos"
	"netlore/query"
	"netlore/store"
	"netlore/store/board"
)

// changePhoto does something with the photo of a side and shows it then.
func (s *Server) changePhoto(w http.ResponseWriter, r *http.Request, do func() error, then ...string) {
	if err := s.changing(do); err != nil {
		t := troubleOf(err, "")
		s.photoSheet(w, r, status(err), &t)
		return
	}
	http.Redirect(w, r, sideAt("/photo", r.FormValue("of"), r.FormValue("side"), then...), http.StatusSeeOther)
}

// photoPoint reads a point from a form.
func photoPoint(r *http.Request) (p store.PhotoPoint, err error) {
	var noX, noY error
	p.X, noX = strconv.ParseFloat(field(r, "x"), 64)
	p.Y, noY = strconv.ParseFloat(field(r, "y"), 64)
	p.Is = field(r, "is")
	if noX != nil || noY != nil || p.Is == "" || len(p.Is) > photos.MostName {
		return p, errNoPoint
	}
	return p, nil
}

// pick adds a point, in the place of one that has the same name.
func (s *Server) pick(w http.ResponseWriter, r *http.Request) {
	at, wrong := photoPoint(r)
	s.changePhoto(w, r, func() error {
		if wrong != nil {
			return wrong
		}
		return s.repoint(r, func(b *board.Board, p *store.Photo) ([]store.PhotoPoint, error) {
			if _, err := query.PhotoPlace(b, p.Side, at.Is); err != nil {
				return nil, err
			}
			points := slices.DeleteFunc(slices.Clone(p.Points), func(q store.PhotoPoint) bool { return q.Is == at.Is })
			if len(points) >= photos.MostPoints {
				return nil, photos.ErrMany
			}
			return append(points, at), nil
		})
	})
}

// drop takes a point back.
func (s *Server) drop(w http.ResponseWriter, r *http.Request) {
	s.changePhoto(w, r, func() error {
		return s.repoint(r, func(_ *board.Board, p *store.Photo) ([]store.PhotoPoint, error) {
			n, err := strconv.Atoi(field(r, "number"))
			if err != nil || n < 1 || n > len(p.Points) || p.Points[n-1].Is != field(r, "is") {
				return nil, errGone
			}
			return slices.Delete(slices.Clone(p.Points), n-1, n), nil
		})
	})
}

// repoint changes the points of the photo that a request is about.
func (s *Server) repoint(r *http.Request, change func(*board.Board, *store.Photo) ([]store.PhotoPoint, error)) error {
	var p *store.Photo
	var points []store.PhotoPoint
	err := s.Desk.Reading(r.Context(), func(base *store.Base) error {
		ref, side, err := sideOf(base, r)
		if err != nil {
			return err
		}
		if p, err = base.Photo(r.Context(), ref, side); err != nil {
			return err
		}
		b, err := base.Board(r.Context(), ref)
		if err != nil {
			return err
		}
		points, err = change(b, p)
		return err
	})
	if err != nil {
		return err
	}
	return s.Desk.Pick(r.Context(), p, points)
}

// place writes where something is that was picked.
func (s *Server) place(w http.ResponseWriter, r *http.Request) {
	at, wrong := photoPoint(r)
	s.changePhoto(w, r, func() error {
		if wrong != nil {
			return wrong
		}
		return s.Desk.Place(r.Context(), r.FormValue("of"), r.FormValue("side"), at)
	}, "placed", at.Is)
}

// unplace takes back a place that was picked.
func (s *Server) unplace(w http.ResponseWriter, r *http.Request) {
	s.changePhoto(w, r, func() error { return s.Desk.Unplace(r.Context(), r.FormValue("of"), field(r, "is")) })
}

// dropPhoto deletes a photo.
func (s *Server) dropPhoto(w http.ResponseWriter, r *http.Request) {
	s.changePhoto(w, r, func() error { return s.Desk.RemovePhoto(r.Context(), r.FormValue("of"), r.FormValue("side")) })
}
