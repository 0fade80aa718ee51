package store

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"testing"

	"netlore/store/board"
	"netlore/store/photo"
	"netlore/store/photo/phototest"
	"netlore/store/sheet"
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

// cuttingHalf still makes half of the change that fails, where that is one of many values.
type cuttingHalf struct{ *cutting }

func (c cuttingHalf) bulk(ctx context.Context, puts func(put func(key, value []byte) error) error) error {
	if c.left > 0 {
		return c.cutting.bulk(ctx, puts)
	}
	n := 0
	return errors.Join(c.kv.bulk(ctx, func(put func(key, value []byte) error) error {
		return puts(func(key, value []byte) error {
			if n++; n%2 == 0 {
				return nil
			}
			return put(key, value)
		})
	}), c.cutting.bulk(ctx, puts))
}

// TestPhotoCutShort has a process end after each of the writes that put a photo in the place of
// another, and remove it: with the next opening one of them is whole, and nothing else is there.
func TestPhotoCutShort(t *testing.T) {
	old, next := phototest.Noise(t, 700, 2), phototest.Noise(t, 800, 3)
	for writes, want := range []*photo.Photo{old, old, old, next, next, nil, nil} {
		dir := t.TempDir()
		b := open(t, dir, Options{Now: atNoon})
		addOwn(t, b, "netlore 1\nboard Wren rev 1\npart C1\n")
		if _, err := b.SetPhoto(t.Context(), wrenSubject.Ref, board.Top, old, "bench-1"); err != nil {
			t.Fatal(err)
		}
		cut := &cutting{kv: b.kv, left: writes}
		b.kv = cuttingHalf{cut}
		_, err := b.SetPhoto(t.Context(), wrenSubject.Ref, board.Top, next, "bench-1")
		if err == nil {
			err = b.RemovePhoto(t.Context(), wrenSubject.Ref, board.Top, "bench-1")
		}
		if whole := writes == 6; whole != (err == nil) || !whole && !errors.Is(err, errCut) {
			t.Fatalf("after %d writes: %v", writes, err)
		}
		b.kv = cut.kv
		if err := b.Close(); err != nil {
			t.Fatal(err)
		}
		b = open(t, dir, Options{Now: atNoon})
		holdsOnly(t, b, want)
		if err := b.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

// holdsOnly holds that a base has this photo, or none, and nothing of another.
func holdsOnly(t *testing.T, b *Base, want *photo.Photo) {
	t.Helper()
	var bytesOf int
	if err := b.kv.view(func(r reader) error {
		if left, err := leftPhotos(r); err != nil || len(left) > 0 {
			t.Errorf("notes of %v are left, %v", left, err)
		}
		return r.scan([]byte{keyPiece}, func(_, value []byte) error {
			bytesOf += len(value)
			return nil
		})
	}); err != nil {
		t.Fatal(err)
	}
	p, err := b.Photo(t.Context(), wrenSubject.Ref, board.Top)
	if want == nil {
		if !errors.Is(err, ErrNoPhoto) || bytesOf > 0 {
			t.Errorf("%d bytes of pictures are left, %v", bytesOf, err)
		}
		return
	}
	if err != nil {
		t.Fatal(err)
	}
	got, err := b.Picture(t.Context(), p)
	if err != nil || !bytes.Equal(got.JPEG(), want.JPEG()) || bytesOf != len(want.JPEG()) {
		t.Errorf("the photo is not whole, or not alone: %d bytes, want %d, %v", bytesOf, len(want.JPEG()), err)
	}
}

// watched is a store that counts what is read of pictures.
type watched struct {
	kv
	pieces int
}

type watchedReader struct {
	reader
	of *watched
}

func (w *watched) view(read func(reader) error) error {
	return w.kv.view(func(r reader) error { return read(watchedReader{r, w}) })
}

func (r watchedReader) scan(prefix []byte, fn func(key, value []byte) error) error {
	return r.reader.scan(prefix, func(key, value []byte) error {
		if key[0] == keyPiece {
			r.of.pieces++
		}
		return fn(key, value)
	})
}

// TestSweepReadsNoPicture sweeps as every opening does, and adds, replaces and removes photos beside one
// that is kept: of that nothing is read.
func TestSweepReadsNoPicture(t *testing.T) {
	b := OpenMemory(atNoon)
	addOwn(t, b, "netlore 1\nboard Wren rev 1\npart C1\n")
	kept, err := b.SetPhoto(t.Context(), wrenSubject.Ref, board.Top, phototest.Noise(t, 1100, 1), "bench-1")
	if err != nil {
		t.Fatal(err)
	}
	w := &watched{kv: b.kv}
	b.kv = w
	add := func() error {
		_, err := b.SetPhoto(t.Context(), wrenSubject.Ref, board.Bottom, phototest.Noise(t, 100, 2), "bench-1")
		return err
	}
	for _, c := range []struct {
		name   string
		do     func() error
		pieces int // of what is dropped
	}{
		{"sweeping", b.sweepPhotos, 0}, {"adding", add, 0}, {"replacing", add, 1},
		{"removing", func() error { return b.RemovePhoto(t.Context(), wrenSubject.Ref, board.Bottom, "bench-1") }, 1},
	} {
		w.pieces = 0
		if err := c.do(); err != nil || w.pieces != c.pieces {
			t.Errorf("%s reads %d pieces, want %d, %v", c.name, w.pieces, c.pieces, err)
		}
	}
	w.pieces = 0
	if _, err := b.Picture(t.Context(), kept); err != nil || w.pieces < 2 {
		t.Errorf("reading it reads %d pieces, so the test is blind: %v", w.pieces, err)
	}
}

// BenchmarkOpenPhotos opens a base that keeps photos; none is the baseline.
func BenchmarkOpenPhotos(b *testing.B) {
	for _, photos := range []int{0, 2, 16} {
		b.Run(fmt.Sprint(photos), func(b *testing.B) {
			dir := b.TempDir()
			base := open(b, dir, Options{})
			picture := phototest.Noise(b, 2000, 1)
			for i := range max(1, photos/2) {
				ref := board.Ref{Name: fmt.Sprint("Wren", i)}
				file := parse(b, "own.lore", "netlore 1\n"+BoardSubject(ref).String()+"\npart C1\n")
				if _, err := base.Add(b.Context(), Addition{Subject: BoardSubject(ref), Files: []*sheet.File{file}, Author: "bench-1"}); err != nil {
					b.Fatal(err)
				}
				for _, side := range []board.Side{board.Top, board.Bottom}[:min(photos, 2)] {
					if _, err := base.SetPhoto(b.Context(), ref, side, picture, "bench-1"); err != nil {
						b.Fatal(err)
					}
				}
			}
			if err := base.Close(); err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				base, err := Open(b.Context(), dir, Options{})
				if err != nil {
					b.Fatal(err)
				}
				b.StopTimer()
				if err := base.Close(); err != nil {
					b.Fatal(err)
				}
				b.StartTimer()
			}
			b.ReportMetric(float64(photos*len(picture.JPEG()))/1e6, "MB-kept")
		})
	}
}
