package cli

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netlore/store"
)

// TestPurgeTwice: a purge that was ended before its files were written anew is told of,
// and saying it again finishes it.
func TestPurgeTwice(t *testing.T) {
	const words = "qvzkwxjyhf"
	d := benchOf(t, "Heron Repair")
	d.add("part C1\nnote on C1 \"of " + words + "\"\n")
	base, err := store.Open(t.Context(), d.env("NETLORE_BASE"), store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	found, err := base.Find(t.Context(), saying(words))
	if err == nil {
		err = base.Purge(t.Context(), found, "bench-1")
	}
	if err != nil || len(found) != 1 {
		t.Fatal(found, err)
	}
	if err := base.Close(); err != nil {
		t.Fatal(err)
	}
	notFoundOut(t, d, words)
	for _, c := range []struct {
		code int
		args []string
		says string
	}{
		{exitFound, []string{"purge", words}, "was cut short, so files may still hold what it deleted"},
		{exitOK, []string{"purge", words, "--delete"}, "what a purge that bench-1 had begun on "},
		{exitFound, []string{"purge", words, "--delete"}, "nothing in the base says \"" + words + "\""},
	} {
		if code, said := d.may("", c.args...); code != c.code || !strings.Contains(said, c.says) {
			t.Errorf("%v: exit code %d, want %d, and %q in\n%s", c.args, code, c.code, c.says, said)
		}
	}
	files, _ := filepath.Glob(filepath.Join(d.env("NETLORE_BASE"), "*"))
	for _, name := range files {
		if content, err := os.ReadFile(name); err != nil || bytes.Contains(content, []byte(words)) {
			t.Errorf("%s still holds it, or cannot be read: %v", name, err)
		}
	}
}

// notFoundOut: where a purge was cut short, what keeps the next one from finding out what
// is said is told as what it is.
func notFoundOut(t *testing.T, d *shopBench, words string) {
	t.Helper()
	base, err := store.Open(t.Context(), d.env("NETLORE_BASE"), store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer base.Close()
	ended, end := context.WithCancel(t.Context())
	end()
	a := &app{Env: Env{Getenv: d.env}}
	if _, _, err := a.purgeIn(ended, base, words); !errors.Is(err, context.Canceled) {
		t.Errorf("%v, want that it was ended", err)
	}
	if p, err := base.Purging(); p == nil || err != nil {
		t.Errorf("%+v, %v, want the purge that was cut short", p, err)
	}
}
