package store_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"netlore/store"
)

// Where bases are by default: XDG Base Directory Specification 0.8,
// "$XDG_DATA_HOME defines the base directory relative to which user-specific
// data files should be stored. If $XDG_DATA_HOME is either not set or empty, a
// default equal to $HOME/.local/share should be used", and "all paths set in
// these environment variables must be absolute. If an implementation
// encounters a relative path [...] it should consider the path invalid and
// ignore it" (text from memory).
func TestDir(t *testing.T) {
	for _, c := range []struct{ base, data, home, want string }{
		{"", "", "/home/ada", "/home/ada/.local/share/netlore"},
		{"", "/data", "/home/ada", "/data/netlore"},
		{"", "data", "/home/ada", "/home/ada/.local/share/netlore"},
		{"/shop/base", "/data", "/home/ada", "/shop/base"},
		{"shop", "", "", "shop"},
		{"", "", "", ""},
	} {
		env := map[string]string{"NETLORE_BASE": c.base, "XDG_DATA_HOME": c.data, "HOME": c.home}
		if got := store.Dir(func(name string) string { return env[name] }); got != c.want {
			t.Errorf("%+v: got %q", c, got)
		}
	}
}

func TestNoBaseYet(t *testing.T) {
	empty := t.TempDir()
	for _, dir := range []string{filepath.Join(empty, "not", "there"), empty} {
		_, err := store.Open(context.Background(), dir, store.Options{ReadOnly: true})
		if !errors.Is(err, store.ErrNoBase) {
			t.Errorf("%s: got %v, want ErrNoBase", dir, err)
		}
	}
	if left, err := os.ReadDir(empty); len(left) > 0 || err != nil {
		t.Errorf("asking made %v, %v", left, err)
	}
}

func TestOpenMakesTheFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "a", "b")
	filled(t, dir)
	if got := hashOf(t, dir, true); len(got) != 64 {
		t.Errorf("hash %q", got)
	}
}

func TestNotABase(t *testing.T) {
	others := t.TempDir()
	file := filepath.Join(others, "photo.jpg")
	if err := os.WriteFile(file, []byte("not ours"), 0o644); err != nil {
		t.Fatal(err)
	}
	foreign := t.TempDir()
	if err := os.WriteFile(filepath.Join(foreign, "MANIFEST"), []byte("some other program's list"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, dir := range []string{others, file, foreign} {
		for _, readOnly := range []bool{true, false} {
			_, err := store.Open(context.Background(), dir, store.Options{ReadOnly: readOnly})
			var notBase *store.NotBaseError
			if !errors.As(err, &notBase) {
				t.Errorf("%s, read only %t: got %v, want a *NotBaseError", dir, readOnly, err)
				continue
			}
			plain(t, err, dir)
		}
	}
	if left, err := os.ReadDir(others); len(left) != 1 || err != nil {
		t.Errorf("other people's files were touched: %v, %v", left, err)
	}
}

// TestForbidden asks for folders that the user may not use. Root may use any, so
// root has another user do it.
func TestForbidden(t *testing.T) {
	if os.Geteuid() == 0 {
		asNobody(t)
		return
	}
	parent := t.TempDir()
	if err := os.Chmod(parent, 0o555); err != nil {
		t.Fatal(err)
	}
	shut := t.TempDir()
	if err := os.Chmod(shut, 0); err != nil {
		t.Fatal(err)
	}
	for _, dir := range []string{filepath.Join(parent, "base"), parent, shut} {
		_, err := store.Open(context.Background(), dir, store.Options{})
		var access *store.AccessError
		if !errors.As(err, &access) {
			t.Errorf("%s: got %v, want an *AccessError", dir, err)
			continue
		}
		plain(t, err, dir)
	}
}

func TestDamagedFileIsSaid(t *testing.T) {
	dir := t.TempDir()
	filled(t, dir)
	tables, err := filepath.Glob(filepath.Join(dir, "*.sst"))
	if err != nil || len(tables) == 0 {
		t.Fatal(tables, err)
	}
	if err := os.Truncate(tables[0], 40); err != nil {
		t.Fatal(err)
	}
	_, err = store.Open(context.Background(), dir, store.Options{ReadOnly: true})
	var damaged *store.DamagedError
	if !errors.As(err, &damaged) {
		t.Fatalf("got %v, want a *DamagedError", err)
	}
}
