package store

import (
	"context"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/store/board"
)

// A statement is found in the entry that says it, whole words only, and no more
// once it was withdrawn.
func TestOrigins(t *testing.T) {
	b := open(t, t.TempDir(), Options{})
	for _, a := range heron(t) {
		if _, err := b.Add(context.Background(), a); err != nil {
			t.Fatal(err)
		}
	}
	ask := func(ref board.Ref, s board.Statement) []string {
		found, err := b.Origins(context.Background(), ref, []board.Statement{s})
		if err != nil {
			t.Fatal(err)
		}
		var texts []string
		for _, o := range found[0] {
			texts = append(texts, o.String())
		}
		return texts
	}
	for _, c := range []struct {
		ref  board.Ref
		s    board.Statement
		want []string
	}{
		{heronB, board.Statement{Head: "part C4407"}, []string{"heron-b.lore:51, added 2026-03-16 by bench-1"}},
		{heronB, board.Statement{Head: "net VMAIN", Member: "C4407"}, []string{"heron-b.lore:1173, added 2026-03-16 by bench-1"}},
		{heronB, board.Statement{Head: "net VMAIN", Member: "C440"}, nil},
		{heronB, board.Statement{Head: "net VMAI"}, nil},
		{board.Ref{Name: "Heron"}, board.Statement{Head: "job 1042"}, []string{"heron.lore:171, added 2026-03-16 by bench-1"}},
	} {
		if d := cmp.Diff(c.want, ask(c.ref, c.s)); d != "" {
			t.Errorf("%v\n%s", c.s, d)
		}
	}
	if _, err := b.Remove(context.Background(), BoardSubject(heronB), "bench-2"); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Origins(context.Background(), heronB, []board.Statement{{Head: "part C4407"}}); err == nil {
		t.Error("a board that was removed has origins")
	}
}
