package lsp_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"netlore/cmd/internal/lsp"
	"netlore/store"
	"netlore/store/sheet"
)

// base makes a knowledge base of sheets, and returns how to open it for
// reading.
func base(t *testing.T, texts ...string) func(context.Context) (*store.Base, error) {
	t.Helper()
	dir := t.TempDir()
	b, err := store.Open(t.Context(), dir, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, text := range texts {
		f, found := sheet.Parse(fmt.Sprintf("%d.lore", i), []byte(text))
		if len(found) > 0 {
			t.Fatal(found)
		}
		s := store.Subject{Ref: f.Subject().Board}
		if _, err := b.Add(t.Context(), store.Addition{Subject: s, Files: []*sheet.File{f}, Author: "bench-1"}); err != nil {
			t.Fatal(err)
		}
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	return func(ctx context.Context) (*store.Base, error) {
		return store.Open(ctx, dir, store.Options{ReadOnly: true, Wait: time.Second})
	}
}

// TestBase completes and tells what only the knowledge base knows, and holds
// the base no longer than that: somebody else can write to it in between.
func TestBase(t *testing.T) {
	open := base(t, "netlore 1\nboard Wren rev 1\npart C77 22uF 0603\nnet VMAIN\n  C77 1\nnet VBASE\nexpect diode VMAIN 0.4V by bench-9\n")
	c := beginWith(t, lsp.Options{Base: open}, modern)
	text, params := cursor(t, "untitled:x", "netlore 1\nboard Wren rev 1\npart C1 10uF\nnet VMAIN power\n  C7|")
	c.open("untitled:x", text)
	if got := fromJSON[suggestions](t, c.ask("textDocument/completion", params)); len(got.Items) != 1 || got.Items[0].TextEdit.NewText != "C77" {
		t.Errorf("%+v", got)
	}
	want := "net VMAIN\npower\n0 parts, 0 pins, 0 pads\nIn the knowledge base:\nkind not known\n1 part, 1 pin, 0 pads\nexpected diode 0.4V by bench-9"
	if d := cmp.Diff(want, hovered(c, at(t, "untitled:x", text, "net VM"))); d != "" {
		t.Error(d)
	}
	if b, err := open(t.Context()); err != nil {
		t.Error(err)
	} else {
		b.Close()
	}
}

// TestBaseInUse says that the base could not be asked, beside what the sheets
// say.
func TestBaseInUse(t *testing.T) {
	c := beginWith(t, lsp.Options{Base: noBase}, modern)
	c.open("untitled:x", wren)
	if got := hovered(c, at(t, "untitled:x", wren, "net GN")); !strings.Contains(got, "net GND\nground") || !strings.Contains(got, "could not be asked: the base is in use") {
		t.Error(got)
	}
	text, params := cursor(t, "untitled:y", wren+"pad P9 on G|")
	c.open("untitled:y", text)
	if got := fromJSON[suggestions](t, c.ask("textDocument/completion", params)); len(got.Items) != 1 {
		t.Errorf("%+v", got)
	}
}

var errNoBase = errors.New("the base is in use")

func noBase(context.Context) (*store.Base, error) { return nil, errNoBase }
