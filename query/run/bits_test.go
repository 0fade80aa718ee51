package run

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// Sets are what a map of ids is, whatever words they hold.
func TestBitsAreSets(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 2000 {
		b, inB := someBits(r)
		c, inC := someBits(r)
		both, either, alone, cut := map[int32]bool{}, map[int32]bool{}, map[int32]bool{}, map[int32]bool{}
		first, last := r.IntN(6), r.IntN(6)
		for id := range int32(400) {
			note(both, id, inB[id] && inC[id])
			note(either, id, inB[id] || inC[id])
			note(alone, id, inB[id] && !inC[id])
			note(cut, id, inB[id] && int(id) >= 64*first && int(id) < 64*last)
		}
		same(t, "and", b.And(c), both)
		same(t, "or", b.Or(c), either)
		same(t, "less", b.Less(c), alone)
		same(t, "window", b.window(first, last), cut)
		same(t, "trimmed", b.trimmed(), inB)
		same(t, "itself", b, inB)
	}
}

func note(set map[int32]bool, id int32, in bool) {
	if in {
		set[id] = true
	}
}

// someBits is a range of ids less some of them, or a few ids.
func someBits(r *rand.Rand) (Bits, map[int32]bool) {
	first := r.IntN(380)
	last := first + r.IntN(400-first)
	b, in, all := rangeBits(first, last), map[int32]bool{}, true
	if r.IntN(2) == 0 {
		b, all = bitsFor(first, last), false
	}
	for id := int32(first); id < int32(last); id++ {
		is := all
		switch r.IntN(8) {
		case 0:
			is = true
			b.Set(id)
		case 1:
			is = false
			b.Clear(id)
		}
		note(in, id, is)
	}
	return b, in
}

func same(t *testing.T, what string, b Bits, in map[int32]bool) {
	t.Helper()
	ids := slices.Collect(b.All())
	if b.Count() != len(in) || len(ids) != len(in) || b.Empty() != (len(in) == 0) || !slices.IsSorted(ids) {
		t.Fatalf("%s: %v is not %v", what, ids, in)
	}
	for id := range int32(500) {
		if b.Has(id) != in[id] {
			t.Fatalf("%s: %d is in %v: %v", what, id, in, b.Has(id))
		}
	}
}
