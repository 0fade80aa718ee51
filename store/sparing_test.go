package store

import (
	"bytes"
	"context"
	"errors"
	"testing"

	"netlore/store/exchange"
)

// countdown is a context that ends after it was looked at so many times.
type countdown struct {
	context.Context
	left int
}

func (c *countdown) Err() error {
	if c.left--; c.left < 0 {
		return context.Canceled
	}
	return nil
}

// TestSparingIsTakenUpAgain cuts the taking of a pack short at every point at which it
// looks whether it is to stop. Taken again, sparing what is held, it comes to the
// same as if nothing had been.
func TestSparingIsTakenUpAgain(t *testing.T) {
	_, heron := shopOf(t, "Heron Repair")
	p := packOf(t, heron, nil, "board Wren rev 1", "part C1 10uF", "part C2 1uF")
	taken := func(ctx context.Context, b *Base, again bool) (*Taken, error) {
		r, err := exchange.NewReader(bytes.NewReader(p), "a.pack", b.now())
		if err != nil {
			t.Fatal(err)
		}
		return b.Take(ctx, r.Next, Taking{From: "a folder", Author: "bench-9", Sparing: true, Again: again})
	}
	whole := OpenMemory(atNoon)
	trust(t, whole, heron, Trusted)
	if got, err := taken(t.Context(), whole, false); err != nil || got.New != 3 || got.Receipt != 1 {
		t.Fatalf("%+v, %v", got, err)
	}
	if got, err := taken(t.Context(), whole, false); err != nil || got.New != 0 || got.Known != 3 || got.Receipt != 0 || len(got.Adoptions) != 0 {
		t.Errorf("taken twice: %+v, %v", got, err)
	}
	if all, err := whole.Receipts(t.Context()); err != nil || len(all) != 1 {
		t.Errorf("%+v, %v", all, err)
	}
	stopped := 0
	for n := range 200 {
		b := OpenMemory(atNoon)
		trust(t, b, heron, Trusted)
		_, err := taken(&countdown{t.Context(), n}, b, false)
		if err == nil {
			break
		}
		if !errors.Is(err, context.Canceled) {
			t.Fatal(err)
		}
		stopped++
		if _, err := taken(t.Context(), b, true); err != nil {
			t.Fatal(err)
		}
		if holds(t, b) != holds(t, whole) {
			t.Errorf("cut short at look %d, then taken again:\n%s", n, holds(t, b))
		}
	}
	if stopped < 3 {
		t.Errorf("it was cut short %d times only", stopped)
	}
}
