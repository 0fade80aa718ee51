package store

import (
	"bytes"
	"errors"
	"testing"

	"netlore/store/board"
	"netlore/store/photo"
	"netlore/store/photo/phototest"
)

// keptPhoto keeps a photo of a board with names that must not leave, and returns some bytes of
// its picture.
func keptPhoto(t *testing.T, b *Base, ref board.Ref) []byte {
	t.Helper()
	picture := phototest.Noise(t, 700, 1)
	p, err := b.SetPhoto(t.Context(), ref, board.Top, picture, "canary-photographer")
	if err != nil {
		t.Fatal(err)
	}
	if err := b.AlignPhoto(t.Context(), p, []PhotoPoint{{1, 2, "canary-point"}}, "canary-form"); err != nil {
		t.Fatal(err)
	}
	return piece(picture)
}

// piece is what tells a picture from all others.
func piece(p *photo.Photo) []byte { return p.JPEG()[len(p.JPEG())/2:][:24] }

// TestRemovedPhotoLeavesFiles looks for a picture in the files of the base while it is kept,
// when another has taken its place, and when that is removed.
func TestRemovedPhotoLeavesFiles(t *testing.T) {
	dir := t.TempDir()
	b := open(t, dir, Options{Now: atNoon})
	addOwn(t, b, "netlore 1\nboard Wren rev 1\npart C1\n")
	first, second := phototest.Noise(t, 700, 2), phototest.Noise(t, 700, 3)
	step := func(do func() error) {
		t.Helper()
		if err := errors.Join(do(), b.Close()); err != nil {
			t.Fatal(err)
		}
		b = open(t, dir, Options{Now: atNoon})
	}
	in := func(p *photo.Photo) bool { return len(inFiles(t, dir, string(piece(p)))) > 0 }
	step(func() error {
		_, err := b.SetPhoto(t.Context(), wrenSubject.Ref, board.Top, first, "bench-1")
		return err
	})
	if !in(first) {
		t.Fatal("a picture that is kept is not found in the files, so the test is blind")
	}
	step(func() error {
		_, err := b.SetPhoto(t.Context(), wrenSubject.Ref, board.Top, second, "bench-1")
		return err
	})
	step(b.Flatten)
	if in(first) || !in(second) {
		t.Errorf("the picture that was replaced is there: %t; the new one: %t", in(first), in(second))
	}
	step(func() error { return b.RemovePhoto(t.Context(), wrenSubject.Ref, board.Top, "bench-1") })
	if begun, err := b.Purging(); err != nil || begun == nil {
		t.Errorf("nobody is told that files may still hold it: %v", err)
	}
	step(b.Flatten)
	if in(first) || in(second) {
		t.Error("a picture that was removed is still in the files")
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
}

// TestPhotoCutShort has a process end before a photo counts: what it wrote is gone with the next
// opening, and the photo of before is whole.
func TestPhotoCutShort(t *testing.T) {
	dir := t.TempDir()
	b := open(t, dir, Options{Now: atNoon})
	addOwn(t, b, "netlore 1\nboard Wren rev 1\npart C1\n")
	kept, err := b.SetPhoto(t.Context(), wrenSubject.Ref, board.Top, phototest.Noise(t, 700, 2), "bench-1")
	if err != nil {
		t.Fatal(err)
	}
	if err := b.kv.bulk(t.Context(), func(put func(key, value []byte) error) error {
		return put(append(pieceKey(kept.Number+1), 0, 0, 0, 0), []byte("half of a picture"))
	}); err != nil {
		t.Fatal(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	b = open(t, dir, Options{Now: atNoon})
	defer b.Close()
	pieces := 0
	if err := b.kv.view(func(r reader) error {
		return r.scan([]byte{keyPiece}, func(key, _ []byte) error {
			number, err := photoOfPiece(key)
			if pieces++; number != kept.Number {
				t.Error("what was cut short is still there")
			}
			return err
		})
	}); err != nil || pieces == 0 {
		t.Errorf("%d pieces, %v", pieces, err)
	}
	if got, err := b.Picture(t.Context(), kept); err != nil || !bytes.Equal(got.JPEG(), phototest.Noise(t, 700, 2).JPEG()) {
		t.Errorf("the photo of before is not whole: %v", err)
	}
}
