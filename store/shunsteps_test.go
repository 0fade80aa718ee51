package store

import (
	"errors"
	"fmt"
	"testing"
)

// narrow is a store of which one change can hold little, as any store's can only hold so much.
type narrow struct {
	kv
	most int
}

func (n narrow) update(change func(writer) error) error {
	return n.kv.update(func(w writer) error { return change(&narrowWriter{w, n.most}) })
}

type narrowWriter struct {
	writer
	left int
}

var errNarrow = errors.New("one change is too large")

func (n *narrowWriter) put(key, value []byte) error {
	if n.left--; n.left < 0 {
		return errNarrow
	}
	return n.writer.put(key, value)
}

func (n *narrowWriter) delete(key []byte) error {
	if n.left--; n.left < 0 {
		return errNarrow
	}
	return n.writer.delete(key)
}

// TestManyAreShunned shuns and purges more statements than one change can hold.
func TestManyAreShunned(t *testing.T) {
	step := dropStep
	dropStep = 10
	t.Cleanup(func() { dropStep = step })
	_, shop := shopOf(t, "Second")
	b := OpenMemory(atNoon)
	var notes []string
	for n := range 100 {
		notes = append(notes, fmt.Sprintf(`note on C%d "wrong" by LABEL`, n))
	}
	take(t, b, packOf(t, shop, nil, notes...), false)
	b.kv = narrow{b.kv, 15}
	if _, err := b.Shun(t.Context(), found(t, b, "wrong"), "bench-1", ""); err != nil {
		t.Fatal(err)
	}
	if all, err := b.Shunned(t.Context()); err != nil || len(all) != 100 {
		t.Errorf("%d are shunned, %v", len(all), err)
	}
	if err := b.Purge(t.Context(), found(t, b, "wrong"), "bench-1"); err != nil || len(found(t, b, "wrong")) > 0 {
		t.Error(err)
	}
}
