package storetest

import (
	"bytes"
	"context"
	"errors"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"netlore/store"
	"netlore/store/board"
	"netlore/store/photo"
	"netlore/store/photo/phototest"
)

// testPhotos keeps photos of both sides, puts one in the place of another, and removes it.
func testPhotos(t *testing.T, b *bench) {
	ctx := context.Background()
	if _, err := b.base.SetPhoto(ctx, plover.Ref, board.Top, phototest.Noise(t, 100, 1), "bench-1"); !errors.Is(err, store.ErrUnknownSubject) {
		t.Errorf("a photo of no board is kept: %v", err)
	}
	b.add(ploverSheet)
	hash := b.hash(plover)
	large := phototest.Noise(t, 1100, 2) // several pieces
	set := func(side board.Side, p *photo.Photo) *store.Photo {
		t.Helper()
		kept, err := b.base.SetPhoto(ctx, plover.Ref, side, p, "bench-1")
		if err != nil {
			t.Fatal(err)
		}
		return kept
	}
	first, below := set(board.Top, large), set(board.Bottom, phototest.Noise(t, 100, 3))
	points := []store.PhotoPoint{{X: 1.5, Y: 2, Is: "P1"}, {X: 70, Y: 80.25, Is: "12.3,8.15"}}
	if err := b.base.AlignPhoto(ctx, first, points, "affine"); err != nil {
		t.Fatal(err)
	}
	// Who has seen the photo before those were picked does not take them away.
	if err := b.base.AlignPhoto(ctx, first, points[:1], "affine"); !errors.Is(err, store.ErrOtherPoints) {
		t.Errorf("points that somebody else has picked are lost: %v", err)
	}
	first.Points, first.Form = points, "affine"
	b.base = b.reopen()
	b.holdsPhotos(first, below)
	b.holdsPicture(first, large)
	second := set(board.Top, phototest.Noise(t, 200, 4))
	b.holdsPhotos(second, below)
	b.holdsPicture(second, phototest.Noise(t, 200, 4))
	if _, err := b.base.Picture(ctx, first); !errors.Is(err, store.ErrNoPhoto) {
		t.Errorf("the old picture is still there: %v", err)
	}
	if err := b.base.AlignPhoto(ctx, first, points, ""); !errors.Is(err, store.ErrOtherPhoto) {
		t.Errorf("points of the old photo are kept with the new one: %v", err)
	}
	if err := b.base.RemovePhoto(ctx, plover.Ref, board.Top, "bench-1"); err != nil {
		t.Fatal(err)
	}
	if err := b.base.RemovePhoto(ctx, plover.Ref, board.Top, "bench-1"); !errors.Is(err, store.ErrNoPhoto) {
		t.Errorf("it is removed once more: %v", err)
	}
	b.base = b.reopen()
	b.holdsPhotos(below)
	if got := b.hash(plover); got != hash || b.export(plover) != ploverSheet {
		t.Error("photos have changed what is said of the board")
	}
	// With its board a photo goes, and does not come back with it.
	if _, err := b.base.Remove(ctx, plover, "bench-1"); err != nil {
		t.Fatal(err)
	}
	b.holdsPhotos()
	if _, err := b.base.Picture(ctx, below); !errors.Is(err, store.ErrNoPhoto) {
		t.Errorf("the picture has outlived its board: %v", err)
	}
	b.add(ploverSheet)
	b.holdsPhotos()
}

func (b *bench) holdsPhotos(want ...*store.Photo) {
	b.t.Helper()
	all, err := b.base.Photos(context.Background())
	if err != nil {
		b.t.Fatal(err)
	}
	var got []*store.Photo
	for i := range all {
		got = append(got, &all[i])
	}
	if d := cmp.Diff(want, got); d != "" {
		b.t.Error(d)
	}
	for _, w := range want {
		if w.Time != b.clock.Truncate(time.Second) || w.Author != "bench-1" {
			b.t.Errorf("added on %v by %s", w.Time, w.Author)
		}
		if p, err := b.base.Photo(context.Background(), w.Board, w.Side); err != nil || !cmp.Equal(p, w) {
			b.t.Errorf("%+v, %v", p, err)
		}
	}
}

func (b *bench) holdsPicture(p *store.Photo, want *photo.Photo) {
	b.t.Helper()
	got, err := b.base.Picture(context.Background(), p)
	if err != nil || !bytes.Equal(got.JPEG(), want.JPEG()) {
		b.t.Errorf("the picture has come back as another one: %v", err)
	}
	if w, h := want.Size(); p.Wide != w || p.High != h || p.Bytes != len(want.JPEG()) {
		b.t.Errorf("%+v", p)
	}
}
