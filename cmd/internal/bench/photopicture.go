package bench

import (
	"context"
	"errors"
	"io"
	"net/http"
	"sync"
	"time"

	"netlore/cmd/internal/photos"
	"netlore/query"
	"netlore/query/draw"
	"netlore/store"
	"netlore/store/board"
	"netlore/store/photo"
)

// uploadPath is where photos are sent to.
const uploadPath = "/photo/add"

// mostUpload is how long a form with a photo may be, and uploadTime how long it may take to
// come over a slow network.
const (
	mostUpload = photo.MostBytes + 16<<10
	uploadTime = time.Minute
)

// oneUpload lets one photo come at a time. Others wait for it, and may do so for long, before they
// take a place among the few that are worked on.
func (s *Server) oneUpload(next http.HandlerFunc) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		until := func(read, answered time.Time) {
			out := http.NewResponseController(w)
			_, _ = out.SetReadDeadline(read), out.SetWriteDeadline(answered) // without, it has the usual time
		}
		until(time.Time{}, time.Time{}) // HTTP/2 sets no new one once one has passed
		select {
		case s.uploads <- struct{}{}:
			defer func() { <-s.uploads }()
		case <-r.Context().Done():
			return
		}
		come := time.Now().Add(uploadTime)
		until(come, come.Add(answerTime))
		next(w, r)
	}
}

// addPhoto keeps a photo that was sent. It is read from the form as it comes, and no file is made
// of it.
func (s *Server) addPhoto(w http.ResponseWriter, r *http.Request) {
	data, err := sentPicture(r)
	if err != nil {
		s.wrong(w, r, status(err), troubleOf(err, ""))
		return
	}
	s.changePhoto(w, r, func() error { return s.Desk.AddPhoto(r.Context(), r.FormValue("of"), r.FormValue("side"), data) })
}

// sentPicture is the picture in a form, of which the other fields are in its address.
func sentPicture(r *http.Request) ([]byte, error) {
	parts, err := r.MultipartReader()
	if err != nil {
		return nil, errNoFile
	}
	for {
		part, err := parts.NextPart()
		if err != nil {
			return nil, errNoFile
		}
		if part.FormName() != "picture" {
			continue
		}
		data, err := io.ReadAll(io.LimitReader(part, photo.MostBytes+1))
		switch {
		case err != nil:
			return nil, errors.New("the photo has not come whole, so nothing was kept; send it once more")
		case len(data) == 0:
			return nil, errNoFile
		}
		return data, nil
	}
}

// photoPicture sends the photo as it is kept.
func (s *Server) photoPicture(w http.ResponseWriter, r *http.Request) {
	s.jpeg(w, r, func(ctx context.Context, base *store.Base, p *store.Photo) (string, func() ([]byte, error), error) {
		return pictureVersion(p), func() ([]byte, error) {
			picture, err := base.Picture(ctx, p)
			if err != nil {
				return nil, err
			}
			return picture.JPEG(), nil
		}, nil
	})
}

// photoFlat sends the photo laid flat.
func (s *Server) photoFlat(w http.ResponseWriter, r *http.Request) {
	s.jpeg(w, r, func(ctx context.Context, base *store.Base, p *store.Photo) (string, func() ([]byte, error), error) {
		laid, err := photos.Lay(ctx, base, p)
		if err != nil {
			return "", nil, err
		}
		v := flatVersion(p, laid)
		return v, func() ([]byte, error) {
			return s.flats.get(ctx, v, func() ([]byte, error) { return photos.Flat(ctx, base, p, laid) })
		}, nil
	})
}

// jpeg sends a picture, of which it is given the version and how it is made. A browser that has it
// is told that it is the same.
func (s *Server) jpeg(w http.ResponseWriter, r *http.Request, of func(context.Context, *store.Base, *store.Photo) (string, func() ([]byte, error), error)) {
	var data []byte
	tag := ""
	err := s.reading(r.Context(), func(base *store.Base) error {
		ref, side, err := sideOf(base, r)
		if err != nil {
			return err
		}
		p, err := base.Photo(r.Context(), ref, side)
		if err != nil {
			return err
		}
		version, make, err := of(r.Context(), base, p)
		if err != nil {
			return err
		}
		if tag = `"` + version + `"`; r.Header.Get("If-None-Match") != tag {
			data, err = make()
		}
		return err
	})
	if err != nil {
		s.wrong(w, r, status(err), troubleOf(err, ""))
		return
	}
	w.Header().Set("Cache-Control", "private, no-cache")
	w.Header().Set("ETag", tag)
	if data == nil {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	w.Header().Set("Content-Type", "image/jpeg")
	_, _ = w.Write(data) // the browser has gone
}

// flats keeps the last few photos that were laid flat, and has one laid flat at a time: each takes
// much memory.
type flats struct {
	turn chan struct{}

	mu   sync.Mutex
	kept map[string][]byte
	old  []string // oldest first
}

// mostFlats is how many: both sides of both halves, and two more.
const mostFlats = 6

// newFlats is made with nothing.
func newFlats() flats { return flats{turn: make(chan struct{}, 1), kept: map[string][]byte{}} }

// get is one that is kept, or is made once however many ask for it at a time.
func (f *flats) get(ctx context.Context, version string, make func() ([]byte, error)) ([]byte, error) {
	if have := f.have(version); have != nil {
		return have, nil
	}
	select {
	case f.turn <- struct{}{}:
		defer func() { <-f.turn }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	if have := f.have(version); have != nil { // it was made meanwhile
		return have, nil
	}
	data, err := make()
	if err == nil {
		f.keep(version, data)
	}
	return data, err
}

func (f *flats) have(version string) []byte {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.kept[version]
}

func (f *flats) keep(version string, data []byte) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.kept[version], f.old = data, append(f.old, version)
	if len(f.old) > mostFlats {
		delete(f.kept, f.old[0])
		f.old = f.old[1:]
	}
}

// under lays the photos of a plan's boards under it, for the page to fetch when somebody wants to see
// them.
func (s *Server) under(ctx context.Context, base *store.Base, to *draw.Picture) error {
	_, err := photos.Under(ctx, base, to, func(p *store.Photo, laid query.Laid) (draw.Photo, error) {
		under := laid.Under(photoAt("/photo/flat", p.Board, p.Side, "v", flatVersion(p, laid)))
		under.Later = true
		return under, nil
	})
	return err
}

// photoPlan draws what was picked, and what else has a place, over the photo.
func (s *Server) photoPlan(w http.ResponseWriter, r *http.Request) {
	s.picture(w, r, func(ctx context.Context, base *store.Base) (*draw.Picture, error) {
		ref, side, err := sideOf(base, r)
		if err != nil {
			return nil, err
		}
		b, err := base.Board(ctx, ref)
		if err != nil {
			return nil, err
		}
		p, err := base.Photo(ctx, ref, side)
		if err != nil {
			return nil, err
		}
		return &draw.Picture{Title: ref.String() + ", " + side.String() + ", over its photo", Asked: "picked on the photo",
			Members: []draw.Member{{Name: ref.String(), Board: b, Marks: marksOn(b, side, p.Points)}}}, nil
	})
}

// marksOn are the things that were picked, else all that have a place on the side, but not more
// than can be read.
func marksOn(b *board.Board, side board.Side, points []store.PhotoPoint) (marks []draw.Mark) {
	const most = 60
	add := func(kind draw.Kind, id int, o board.Outline, on board.Side) {
		if !o.Zero() && (on == side || on == board.BothSides) && len(marks) < most {
			marks = append(marks, draw.Mark{Kind: kind, ID: int32(id)})
		}
	}
	for _, p := range points {
		name := board.PlainName(p.Is)
		if id := b.FindPad(name); id != board.None {
			o, _ := b.PadOutline(id)
			add(draw.Pad, int(id), o, b.Pads[id].Side)
		} else if id := b.FindPart(name); id != board.None {
			o, _ := b.PartOutline(id)
			add(draw.Part, int(id), o, b.PartSide(id))
		}
	}
	if marks != nil {
		return marks
	}
	for i := range b.Parts {
		o, _ := b.PartOutline(board.PartID(i))
		add(draw.Part, i, o, b.PartSide(board.PartID(i)))
	}
	for i := range b.Pads {
		o, _ := b.PadOutline(board.PadID(i))
		add(draw.Pad, i, o, b.Pads[i].Side)
	}
	return marks
}

// photoView is the photo with what was picked on it, for plan.js to move and to pick on: its places
// are pixels.
func (s *Server) photoView(w http.ResponseWriter, r *http.Request) {
	var p *store.Photo
	var at *pickedView
	err := s.reading(r.Context(), func(base *store.Base) error {
		ref, side, err := sideOf(base, r)
		if err != nil {
			return err
		}
		if p, err = base.Photo(r.Context(), ref, side); err != nil {
			return err
		}
		at = &pickedView{Photo: p, Picture: photoAt("/photo/picture", ref, side, "v", pictureVersion(p)), R: float64(p.Wide) / 90}
		for _, point := range p.Points {
			at.Marks = append(at.Marks, pickedMark{point.X, point.Y, point.Is})
		}
		return nil
	})
	if err != nil {
		s.wrong(w, r, status(err), troubleOf(err, ""))
		return
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	send(w, http.StatusOK, "photo", "photoview", at)
}

// pickedView is what the template of it needs.
type pickedView struct {
	*store.Photo
	Picture string
	R       float64 // how large a mark is
	Marks   []pickedMark
}

type pickedMark struct {
	X, Y float64
	Is   string
}

// Size is that of the letters.
func (v *pickedView) Size() float64 { return 1.6 * v.R }
