package store

import (
	"encoding/binary"
	"fmt"
	"slices"

	"netlore/store/board"
)

// A note has the number of a picture that is being written or to be dropped: its pieces are swept
// unless a photo has that number.
func leftPhotoKey(number uint64) []byte {
	return binary.BigEndian.AppendUint64(slices.Clone(keyLeftPhoto), number)
}

// leavePhoto deletes a photo and notes that its picture is to be swept, or returns ErrNoPhoto.
func leavePhoto(w writer, ref board.Ref, side board.Side) error {
	p, err := photoOf(w, ref, side)
	if err != nil {
		return err
	}
	if err := w.put(leftPhotoKey(p.Number), nil); err != nil {
		return err
	}
	return w.delete(photoKey(ref, side))
}

// freePhoto finds a number that no photo has, nor pieces of one that were left behind.
func (b *Base) freePhoto(p *Photo) error {
	return b.kv.view(func(r reader) error {
		held, err := photoNumbers(r)
		if err != nil {
			return err
		}
		left, err := leftPhotos(r)
		for number := range held {
			left = append(left, number)
		}
		for _, number := range left {
			p.Number = max(p.Number, number+1)
		}
		return err
	})
}

// photoNumbers are the numbers of all photos.
func photoNumbers(r reader) (map[uint64]bool, error) {
	held := map[uint64]bool{}
	return held, r.scan([]byte{keyPhoto}, func(_, value []byte) error {
		var p Photo
		err := decodeRecord(value, &p)
		held[p.Number] = true
		return err
	})
}

// leftPhotos are the numbers that are noted.
func leftPhotos(r reader) (left []uint64, err error) {
	err = r.scan(keyLeftPhoto, func(key, _ []byte) error {
		if len(key) != len(keyLeftPhoto)+8 {
			return errDamaged("a note of a picture that is left over cannot be read")
		}
		left = append(left, binary.BigEndian.Uint64(key[len(keyLeftPhoto):]))
		return nil
	})
	return left, err
}

// sweepPhotos drops the pieces of pictures that are noted, and that no photo has, or has any more.
// Of what is kept it reads nothing.
func (b *Base) sweepPhotos() error {
	var keys [][]byte
	if err := b.kv.view(func(r reader) error {
		left, err := leftPhotos(r)
		if err != nil || len(left) == 0 {
			return err
		}
		held, err := photoNumbers(r)
		if err != nil {
			return err
		}
		for _, number := range left {
			if !held[number] {
				if err := r.scan(pieceKey(number), func(key, _ []byte) error {
					keys = append(keys, slices.Clone(key))
					_, err := photoOfPiece(key) // what is no piece stays
					return err
				}); err != nil {
					return err
				}
			}
			keys = append(keys, leftPhotoKey(number))
		}
		return nil
	}); err != nil {
		return fmt.Errorf("looking for pictures that are left over: %w", err)
	}
	return b.drop(keys)
}
