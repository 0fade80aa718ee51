package store_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"syscall"
	"testing"

	"netlore/store"
	"netlore/store/sheet"
)

// smallDisk mounts a disk of so many megabytes, which takes root.
func smallDisk(t *testing.T, megabytes int) string {
	t.Helper()
	dir := t.TempDir()
	if os.Geteuid() != 0 {
		t.Skip("a disk of its own can be mounted by root only; not tested")
	}
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, fmt.Sprintf("size=%dm", megabytes)); err != nil {
		t.Skipf("no disk can be mounted here (%v); not tested", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, 0); err != nil {
			t.Error(err)
		}
	})
	return dir
}

func TestNoRoomForABase(t *testing.T) {
	dir := smallDisk(t, 4)
	_, err := store.Open(context.Background(), dir, store.Options{})
	var full *store.FullError
	if !errors.As(err, &full) {
		t.Fatalf("got %v, want a *FullError", err)
	}
	plain(t, err, dir, "free")
}

// TestDiskFillsUp adds board after board until there is no room. Then that is
// said, and everything added before is there.
func TestDiskFillsUp(t *testing.T) {
	dir := smallDisk(t, 44)
	kept := fill(t, dir)
	if len(kept) == 0 {
		t.Fatal("not one board went in")
	}
	t.Logf("%d boards went in", len(kept))
	base := openBase(t, dir, store.Options{ReadOnly: true})
	for s, hash := range kept {
		if got, err := base.Hash(s); got != hash {
			t.Errorf("%s: %s, %v; want %s", s, got, err, hash)
		}
	}
	if got, err := base.Verify(context.Background(), nil); err != nil || got.Subjects != len(kept) {
		t.Errorf("verify: %+v, %v; want %d subjects", got, err, len(kept))
	}
	if err := base.Close(); err != nil {
		t.Error(err)
	}
}

// fill adds boards until the disk is full, and returns those that went in.
func fill(t *testing.T, dir string) map[store.Subject]string {
	t.Helper()
	base := openBase(t, dir, store.Options{})
	defer base.Close()
	kept := map[store.Subject]string{}
	for i := range 200 {
		a := noise(i)
		results, err := base.Add(context.Background(), a)
		var full *store.FullError
		if errors.As(err, &full) {
			plain(t, err)
			return kept
		}
		if err != nil {
			t.Fatalf("board %d: got %v, want a *FullError", i, err)
		}
		kept[a.Subject] = results[0].Hash
	}
	t.Fatal("the disk never got full")
	return nil
}

// noise is a board that no compression makes smaller: of few parts, so that to
// read it costs little.
func noise(i int) store.Addition {
	a := store.Addition{Subject: plover, Author: "bench-1"}
	a.Subject.Ref.Revision = fmt.Sprint(i)
	var s strings.Builder
	fmt.Fprintf(&s, "netlore 1\n%s\n\n", a.Subject)
	x := uint64(i)*2654435761 + 1
	for part := range 200 {
		fmt.Fprintf(&s, "part C%d \"", part+1)
		for range 160 {
			x = x*6364136223846793005 + 1442695040888963407
			fmt.Fprintf(&s, "%x", x>>16)
		}
		s.WriteString("\"\n")
	}
	file, _ := sheet.Parse("noise.lore", []byte(s.String()))
	a.Files = []*sheet.File{file}
	return a
}

// TestDiskForReadingOnly asks a base on a disk that cannot be written.
func TestDiskForReadingOnly(t *testing.T) {
	dir := smallDisk(t, 96)
	filled(t, dir)
	want := hashOf(t, dir, true)
	if err := syscall.Mount("", dir, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		t.Skipf("the disk cannot be made read-only (%v); not tested", err)
	}
	if got := hashOf(t, dir, true); got != want {
		t.Errorf("hash %s, want %s", got, want)
	}
	_, err := store.Open(context.Background(), dir, store.Options{})
	var access *store.AccessError
	if !errors.As(err, &access) {
		t.Fatalf("got %v, want an *AccessError", err)
	}
	plain(t, err, dir, "may not be written")
}
