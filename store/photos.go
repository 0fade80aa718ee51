package store

import (
	"context"
	"encoding/binary"
	"errors"
	"slices"
	"time"

	"netlore/store/board"
	"netlore/store/photo"
)

// Photo is what is kept of the shop's own picture of a side of a board. Like Private it is no
// statement: no sheet can hold it, so that it is in no export, pack, mirror or message.
// Nothing but Base.Photo and its neighbours read it, and what takes its place deletes it.
type Photo struct {
	Board  board.Ref
	Side   board.Side // Top or Bottom
	Wide   int        // pixels
	High   int
	Bytes  int
	Time   time.Time // when it was added
	Author string
	Points []PhotoPoint `json:",omitempty"` // that were picked, in order
	Form   string       `json:",omitempty"` // what it may be distorted by; empty for what the points allow
	Number uint64       // tells it from those that were there before
}

// PhotoPoint is a place that somebody has picked on a photo.
type PhotoPoint struct {
	X, Y float64 // pixels from the upper left corner
	Is   string  // what is there: a name, or a place in mm, "12.3,8.15"
}

// ErrNoPhoto says that no photo of this side is kept.
var ErrNoPhoto = errors.New("no photo of that side is kept")

// ErrOtherPhoto says that another photo has been put in the place of the one meant.
var ErrOtherPhoto = errors.New("another photo of that side has been added meanwhile, so nothing was changed")

// photoPiece is how many bytes of a picture are kept together: what fits one step of the
// storage library.
const photoPiece = 256 << 10

// Photos lists the photos that are kept, by board and side.
func (b *Base) Photos(context.Context) (all []Photo, err error) {
	err = b.kv.view(func(r reader) error {
		return r.scan([]byte{keyPhoto}, func(_, value []byte) error {
			var p Photo
			err := decodeRecord(value, &p)
			all = append(all, p)
			return err
		})
	})
	return all, err
}

// Photo is what is kept of the photo of a side, or ErrNoPhoto.
func (b *Base) Photo(_ context.Context, ref board.Ref, side board.Side) (p *Photo, err error) {
	err = b.kv.view(func(r reader) error {
		p, err = photoOf(r, ref, side)
		return err
	})
	return p, err
}

func photoOf(r reader, ref board.Ref, side board.Side) (*Photo, error) {
	value, err := r.get(photoKey(ref, side))
	if errors.Is(err, errNoKey) {
		return nil, ErrNoPhoto
	}
	if err != nil {
		return nil, err
	}
	p := &Photo{}
	return p, decodeRecord(value, p)
}

// Picture is the picture itself.
func (b *Base) Picture(_ context.Context, p *Photo) (*photo.Photo, error) {
	data := make([]byte, 0, p.Bytes)
	err := b.kv.view(func(r reader) error {
		return r.scan(pieceKey(p.Number), func(_, value []byte) error {
			data = append(data, value...)
			return nil
		})
	})
	switch {
	case err != nil:
		return nil, err
	case len(data) == 0:
		return nil, ErrNoPhoto // it was removed meanwhile
	case len(data) != p.Bytes:
		return nil, errDamaged("of the photo of %s, %s, %d bytes are there, want %d", p.Board, p.Side, len(data), p.Bytes)
	}
	return photo.Kept(data)
}

// SetPhoto keeps a photo of a side of a board in place of the one there was, whose picture nothing
// reads any more; files of the base may hold it until the base is flattened after it was closed
// and opened again. The new one is on disk when SetPhoto returns without an error; cut short
// before, the old one stays.
func (b *Base) SetPhoto(ctx context.Context, ref board.Ref, side board.Side, picture *photo.Photo, author string) (*Photo, error) {
	if author == "" {
		return nil, errNoAuthor
	}
	b.changing.Lock()
	defer b.changing.Unlock()
	if err := b.mayKeep(ref, len(picture.JPEG())); err != nil {
		return nil, err
	}
	p := &Photo{Board: ref, Side: side, Bytes: len(picture.JPEG()), Time: b.now().UTC().Truncate(time.Second), Author: author}
	p.Wide, p.High = picture.Size()
	if err := b.freePhoto(p); err != nil {
		return nil, err
	}
	if err := b.putPieces(ctx, p.Number, picture.JPEG()); err != nil {
		return nil, err
	}
	if err := b.kv.update(func(w writer) error {
		if err := leavePhoto(w, ref, side); err != nil && !errors.Is(err, ErrNoPhoto) {
			return err
		}
		if err := w.delete(leftPhotoKey(p.Number)); err != nil {
			return err
		}
		return putRecord(w, photoKey(ref, side), p)
	}); err != nil {
		return nil, err
	}
	return p, b.sweepPhotos()
}

// putPieces writes a picture, after a note that it is to be swept if nothing comes of it.
func (b *Base) putPieces(ctx context.Context, number uint64, picture []byte) error {
	if err := b.kv.update(func(w writer) error { return w.put(leftPhotoKey(number), nil) }); err != nil {
		return err
	}
	return b.kv.bulk(ctx, func(put func(key, value []byte) error) error {
		n := uint32(0)
		for piece := range slices.Chunk(picture, photoPiece) {
			if err := put(binary.BigEndian.AppendUint32(pieceKey(number), n), piece); err != nil {
				return err
			}
			n++
		}
		return nil
	})
}

// mayKeep is why no photo of so many bytes can be kept of a board.
func (b *Base) mayKeep(ref board.Ref, size int) error {
	if b.readOnly {
		return errReadOnly
	}
	if b.dir != "" {
		if err := checkSpace(b.dir, openSpace+rewriteSpace(b.dir)+3*uint64(size)); err != nil {
			return err
		}
	}
	return b.kv.view(func(r reader) error {
		_, err := current(r, BoardSubject(ref))
		return err
	})
}

// ErrOtherPoints says that the points of a photo are no more those that were added to or taken from.
var ErrOtherPoints = errors.New("other points have been picked on that photo meanwhile, so nothing was changed; look at them, and pick again")

// AlignPhoto keeps points that were picked on a photo in place of those that p has. ErrOtherPhoto and
// ErrOtherPoints if p is not what is kept any more.
func (b *Base) AlignPhoto(_ context.Context, p *Photo, points []PhotoPoint, form string) error {
	b.changing.Lock()
	defer b.changing.Unlock()
	if b.readOnly {
		return errReadOnly
	}
	return b.kv.update(func(w writer) error {
		now, err := photoOf(w, p.Board, p.Side)
		if err != nil {
			return err
		}
		if now.Number != p.Number {
			return ErrOtherPhoto
		}
		if !slices.Equal(now.Points, p.Points) {
			return ErrOtherPoints
		}
		now.Points, now.Form = points, form
		return putRecord(w, photoKey(p.Board, p.Side), now)
	})
}

// RemovePhoto deletes a photo. Once the base is closed, opened, flattened and closed again no
// file of it holds the picture, as after a purge.
func (b *Base) RemovePhoto(_ context.Context, ref board.Ref, side board.Side, author string) error {
	b.changing.Lock()
	defer b.changing.Unlock()
	if b.readOnly {
		return errReadOnly
	}
	if err := b.kv.update(func(w writer) error {
		if err := leavePhoto(w, ref, side); err != nil {
			return err
		}
		return putRecord(w, keyPurging, Purging{Author: author, Time: b.now().UTC().Truncate(time.Second)})
	}); err != nil {
		return err
	}
	return b.sweepPhotos()
}

// endPhotos deletes the photos of a board of which nothing is left; their pictures are swept.
func (c *change) endPhotos(w writer) error {
	if c.view != nil || c.subject.kind() != kindBoard {
		return nil
	}
	for _, side := range []board.Side{board.Top, board.Bottom} {
		if err := leavePhoto(w, c.subject.Ref, side); err != nil && !errors.Is(err, ErrNoPhoto) {
			return err
		}
	}
	return nil
}
