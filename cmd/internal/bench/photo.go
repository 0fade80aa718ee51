package bench

import (
	"context"
	"errors"
	"fmt"
	"hash/fnv"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"netlore/cmd/internal/photos"
	"netlore/query"
	"netlore/query/align"
	"netlore/query/diag"
	"netlore/store"
	"netlore/store/board"
)

// photosPage lists the sides of boards, each with its photo if there is one.
type photosPage struct{ Sides []photoSide }

// photoSide is a side of a board.
type photoSide struct {
	Of, Side, At string
	Photo        *store.Photo // nil if none is kept
	State        string       // how well it is aligned

	board *board.Board // with a photo; nil if it cannot be read
	fit   *align.Fit   // nil if it is not aligned, and why says why
	why   error
}

// photoPage is the photo of one side.
type photoPage struct {
	photoSide
	Picture, View, Plan string // where they are
	Version             string // tells it from all others, with its points
	Points              []pickedPoint
	Judged              string   // how well they fit
	Wrong               *trouble // why they do not, or what could not be done
	Needs               string   // what is to be done next
	Known, Placeless    []string
	Sized               bool   // the corners are known
	Can                 bool   // places can be picked
	Back                string // what was just placed, and can be taken back
	X, Y, Is            string // what was typed
}

// Few are the first things without a place.
func (page *photoPage) Few() []string {
	const most = 12
	if n := len(page.Placeless); n > most {
		return append(slices.Clone(page.Placeless[:most]), fmt.Sprintf("and %d more", n-most))
	}
	return page.Placeless
}

// Seen is the photo, to be picked on.
func (page *photoPage) Seen() *shownPlan {
	return &shownPlan{At: page.View, still: page.Picture, On: page.Of, Shows: "the photo of the " + page.Side + " of " + page.Of, Pick: true}
}

// Over is the plan over the photo; nil if there is none.
func (page *photoPage) Over() *shownPlan {
	if page.Plan == "" {
		return nil
	}
	return &shownPlan{At: page.Plan, On: page.Of, Shows: "the plan of the " + page.Side + " of " + page.Of + " over its photo", Photo: 60}
}

// pickedPoint is a point that was picked, and what it is off by.
type pickedPoint struct {
	store.PhotoPoint
	Number int
	Off    string
}

var (
	errNoSide  = errors.New("that is no side of a board here")
	errNoPoint = errors.New("tap the photo, or type where on it in pixels, and say what is there")
	errNoFile  = errors.New("choose a photo first: JPEG or PNG, at most 24 MB")
	errGone    = errors.New("that point is not there any more, so nothing was changed")
)

// sideOf is the side of a board that a request is about.
func sideOf(base *store.Base, r *http.Request) (board.Ref, board.Side, error) {
	side, ok := board.SideByWord(r.FormValue("side"))
	all, err := base.Subjects()
	if err != nil || !ok || side == board.BothSides || side == board.SideUnknown {
		return board.Ref{}, 0, errors.Join(err, errNoSide)
	}
	for _, s := range all {
		if !s.Shared() && !s.Stack && !s.Job && s.Ref.String() == r.FormValue("of") {
			return s.Ref, side, nil
		}
	}
	return board.Ref{}, 0, errNoSide
}

// photoAt is the page of the photo of a side.
func photoAt(path string, ref board.Ref, side board.Side, more ...string) string {
	return sideAt(path, ref.String(), side.String(), more...)
}

func sideAt(path, of, side string, more ...string) string {
	q := url.Values{"of": {of}, "side": {side}}
	for i := 0; i+1 < len(more); i += 2 {
		q.Set(more[i], more[i+1])
	}
	return path + "?" + q.Encode()
}

// version is another text for other things.
func version(of ...any) string {
	h := fnv.New64a()
	fmt.Fprintln(h, of...)
	return strconv.FormatUint(h.Sum64(), 36)
}

// pictureVersion is another text for each picture, whatever was picked on it. The number alone
// comes again once a photo was removed.
func pictureVersion(p *store.Photo) string {
	return version(p.Board, p.Side, p.Number, p.Bytes, p.Time)
}

// photoVersion is another text for each photo, and for each change of its points.
func photoVersion(p *store.Photo) string { return version(pictureVersion(p), p.Form, p.Points) }

// flatVersion is another text for each photo, and for each way in which it is laid flat, which is
// another once its points or their places on the board are. Where its four corners come from
// says all of that way.
func flatVersion(p *store.Photo, laid query.Laid) string {
	wide, high := float64(laid.Wide), float64(laid.High)
	of := []any{pictureVersion(p), laid.Of, laid.Wide, laid.High}
	for _, corner := range [][2]float64{{0, 0}, {wide, 0}, {0, high}, {wide, high}} {
		x, y := laid.At(corner[0], corner[1])
		of = append(of, x, y)
	}
	return version(of...)
}

// listPhotos lists the sides of all boards.
func (s *Server) listPhotos(w http.ResponseWriter, r *http.Request) {
	s.page(w, r, http.StatusOK, "photos", func(ctx context.Context, base *store.Base, v *view) error {
		page := &photosPage{}
		v.Title, v.Live, v.Body = "Photos", true, page
		all, err := base.Subjects()
		for _, one := range all {
			if one.Shared() || one.Stack || one.Job {
				continue
			}
			for _, side := range []board.Side{board.Top, board.Bottom} {
				p, err := base.Photo(ctx, one.Ref, side)
				if err != nil && !errors.Is(err, store.ErrNoPhoto) {
					return err
				}
				page.Sides = append(page.Sides, sideWith(ctx, base, one.Ref, side, p))
			}
		}
		return err
	})
}

func sideWith(ctx context.Context, base *store.Base, ref board.Ref, side board.Side, p *store.Photo) photoSide {
	one := photoSide{Of: ref.String(), Side: side.String(), At: photoAt("/photo", ref, side), Photo: p}
	if p == nil {
		return one
	}
	one.board, one.fit, one.why = photos.Fit(ctx, base, p)
	if one.State = "not aligned yet"; one.why == nil {
		one.State = photos.Judged(p.Points, one.fit)
	}
	return one
}

// photo shows the photo of a side.
func (s *Server) photo(w http.ResponseWriter, r *http.Request) {
	s.photoSheet(w, r, http.StatusOK, nil)
}

// photoSheet shows it, with what has just gone wrong.
func (s *Server) photoSheet(w http.ResponseWriter, r *http.Request, code int, wrong *trouble) {
	s.page(w, r, code, "photo", func(ctx context.Context, base *store.Base, v *view) error {
		ref, side, err := sideOf(base, r)
		if err != nil {
			return err
		}
		p, err := base.Photo(ctx, ref, side)
		if err != nil && !errors.Is(err, store.ErrNoPhoto) {
			return err
		}
		page := &photoPage{photoSide: sideWith(ctx, base, ref, side, p), Wrong: wrong, Back: r.FormValue("placed")}
		if wrong != nil && r.Form.Has("x") {
			page.X, page.Y, page.Is = r.FormValue("x"), r.FormValue("y"), r.FormValue("is")
		}
		v.Title, v.Live, v.Body = ref.String()+", "+side.String(), true, page
		if p == nil {
			return nil
		}
		return page.fill(ctx, base, ref, side)
	})
}

// fill fills in what there is once there is a photo.
func (page *photoPage) fill(ctx context.Context, base *store.Base, ref board.Ref, side board.Side) error {
	p := page.Photo
	page.Version = photoVersion(p)
	page.Picture = photoAt("/photo/picture", ref, side, "v", pictureVersion(p))
	page.View = photoAt("/photo/view", ref, side, "v", page.Version)
	b, err := page.board, page.why
	if b == nil {
		return err
	}
	page.Known, page.Placeless = query.PhotoPoints(b, side)
	_, page.Sized = b.Extent()
	for i, at := range p.Points {
		one := pickedPoint{PhotoPoint: at, Number: i + 1}
		if err == nil {
			one.Off = photos.Off(page.fit.Off[i])
		}
		page.Points = append(page.Points, one)
	}
	page.judge()
	page.Can = err == nil && len(page.Placeless) > 0
	if err == nil && marksOn(b, side, p.Points) != nil {
		hash, err := base.Hash(store.BoardSubject(ref))
		page.Plan = photoAt("/photo/plan", ref, side, "v", page.Version+hash[:min(8, len(hash))])
		return err
	}
	return nil
}

// judge says how well the points fit, and what to do next.
func (page *photoPage) judge() {
	var list diag.List
	err, n := page.why, len(page.Points)
	switch {
	case err == nil:
		page.Judged = page.State
		if page.fit.Spare == 0 {
			page.Needs = "Tap one more known place: it shows how well the others fit."
		}
	case errors.As(err, &list) && list[0].Code == "P102" && n == 0:
		page.Needs = "Tap a place on the photo that you know: a pad or a part near a corner, or a corner of the board itself. Then say what it is."
	case errors.As(err, &list) && list[0].Code == "P102":
		page.Needs = "Tap the next place that you know, far from the first."
	case page.Wrong == nil:
		t := troubleOf(err, "")
		page.Wrong = &t
	}
}
