// Package photos is what the commands and the page have in common about the shop's own photos: how
// one lies on its board, and how it is laid flat under a plan.
package photos

import (
	"context"
	"encoding/base64"
	"errors"
	"fmt"

	"netlore/query"
	"netlore/query/align"
	"netlore/query/draw"
	"netlore/store"
	"netlore/store/board"
)

// MostPoints is how many points a photo may have, and MostName how many bytes the name of what is
// there.
const (
	MostPoints = 200
	MostName   = 200
)

// ErrMany says that a photo would have more.
var ErrMany = fmt.Errorf("a photo is aligned by %d points at most; a dozen are plenty", MostPoints)

// Fit is how a photo lies on its board as that is now. Complaints are a diag.List.
func Fit(ctx context.Context, base *store.Base, p *store.Photo) (*board.Board, *align.Fit, error) {
	b, err := base.Board(ctx, p.Board)
	if err != nil {
		return nil, nil, err
	}
	fit, err := query.AlignPhoto(b, p.Side, Picked(p.Points), p.Form)
	return b, fit, err
}

// Picked are points as a question has them.
func Picked(points []store.PhotoPoint) (all []query.Picked) {
	for _, p := range points {
		all = append(all, query.Picked(p))
	}
	return all
}

// Lay is how a photo is laid flat on its board as that is now. Complaints are a diag.List.
func Lay(ctx context.Context, base *store.Base, p *store.Photo) (query.Laid, error) {
	b, fit, err := Fit(ctx, base, p)
	if err != nil {
		return query.Laid{}, err
	}
	return query.LayPhoto(b, p.Side, fit, p.Wide, p.High), nil
}

// Flat is a photo laid flat, as it would be from straight above, as JPEG.
func Flat(ctx context.Context, base *store.Base, p *store.Photo, laid query.Laid) ([]byte, error) {
	picture, err := base.Picture(ctx, p)
	if err != nil {
		return nil, err
	}
	return picture.Flat(laid.At, laid.Wide, laid.High)
}

// Under puts the photos of a picture's boards under it, each as put makes it, and returns how many
// there are. One that is not aligned is left out.
func Under(ctx context.Context, base *store.Base, to *draw.Picture, put func(*store.Photo, query.Laid) (draw.Photo, error)) (n int, err error) {
	for i := range to.Members {
		for _, side := range []board.Side{board.Top, board.Bottom} {
			p, err := base.Photo(ctx, to.Members[i].Board.Ref, side)
			if errors.Is(err, store.ErrNoPhoto) {
				continue
			}
			if err != nil {
				return n, err
			}
			b := to.Members[i].Board
			fit, err := query.AlignPhoto(b, side, Picked(p.Points), p.Form)
			if err != nil {
				continue // it is told where photos are listed
			}
			under, err := put(p, query.LayPhoto(b, side, fit, p.Wide, p.High))
			if err != nil {
				return n, err
			}
			to.Members[i].Photos = append(to.Members[i].Photos, under)
			n++
		}
	}
	return n, nil
}

// Inside is a photo that is in the plan itself, so that its file needs no other.
func Inside(ctx context.Context, base *store.Base) func(*store.Photo, query.Laid) (draw.Photo, error) {
	return func(p *store.Photo, laid query.Laid) (draw.Photo, error) {
		flat, err := Flat(ctx, base, p, laid)
		return laid.Under("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(flat)), err
	}
}
