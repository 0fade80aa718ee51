package run

import (
	"iter"
	"math/bits"
	"slices"
)

// Bits is a set of ids. It holds the words of 64 ids from the first that may have
// one to the last, so that a set of few things that are near each other is small
// however many there are. A set is not changed once it is put together: others may
// share its words.
type Bits struct {
	first int // word, of 64 ids
	words []uint64
}

// NewBits is an empty set for ids below n.
func NewBits(n int) Bits { return Bits{words: make([]uint64, (n+63)/64)} }

// bitsFor is an empty set for ids from first to below last.
func bitsFor(first, last int) Bits {
	if first >= last {
		return Bits{}
	}
	return Bits{first / 64, make([]uint64, (last-1)/64-first/64+1)}
}

// rangeBits is the ids from first to below last.
func rangeBits(first, last int) Bits {
	b := bitsFor(first, last)
	for i := first; i < last; {
		if i&63 == 0 && last-i >= 64 {
			b.words[i>>6-b.first] = ^uint64(0)
			i += 64
			continue
		}
		b.Set(int32(i))
		i++
	}
	return b
}

// Set puts an id into the set.
func (b Bits) Set(id int32) { b.words[int(id>>6)-b.first] |= 1 << (id & 63) }

// Clear takes an id out.
func (b Bits) Clear(id int32) { b.words[int(id>>6)-b.first] &^= 1 << (id & 63) }

// Has reports whether an id is in the set.
func (b Bits) Has(id int32) bool {
	i := int(id>>6) - b.first
	return uint(i) < uint(len(b.words)) && b.words[i]&(1<<(id&63)) != 0
}

// Count is how many ids are in the set.
func (b Bits) Count() int {
	n := 0
	for _, w := range b.words {
		n += bits.OnesCount64(w)
	}
	return n
}

// Empty reports whether nothing is in the set.
func (b Bits) Empty() bool {
	for _, w := range b.words {
		if w != 0 {
			return false
		}
	}
	return true
}

// All yields the ids in ascending order.
func (b Bits) All() iter.Seq[int32] {
	return func(yield func(int32) bool) {
		for i, w := range b.words {
			for ; w != 0; w &= w - 1 {
				if !yield(int32((b.first+i)<<6 + bits.TrailingZeros64(w))) {
					return
				}
			}
		}
	}
}

// end is the word after the last.
func (b Bits) end() int { return b.first + len(b.words) }

// window is the words from first to below last, as far as the set has them.
func (b Bits) window(first, last int) Bits {
	first, last = max(first, b.first), min(last, b.end())
	if first >= last {
		return Bits{}
	}
	return Bits{first, b.words[first-b.first : last-b.first]}
}

// trimmed is the set without empty words at either end.
func (b Bits) trimmed() Bits {
	first, last := b.first, b.end()
	for first < last && b.words[first-b.first] == 0 {
		first++
	}
	for first < last && b.words[last-1-b.first] == 0 {
		last--
	}
	return b.window(first, last)
}

// And is what is in both sets.
func (b Bits) And(c Bits) Bits {
	b, c = b.window(c.first, c.end()), c.window(b.first, b.end())
	d := Bits{b.first, make([]uint64, len(b.words))}
	for i := range d.words {
		d.words[i] = b.words[i] & c.words[i]
	}
	return d
}

// Or is what is in either set.
func (b Bits) Or(c Bits) Bits {
	switch {
	case len(b.words) == 0:
		return c
	case len(c.words) == 0:
		return b
	}
	d := Bits{first: min(b.first, c.first)}
	d.words = make([]uint64, max(b.end(), c.end())-d.first)
	copy(d.words[b.first-d.first:], b.words)
	for i, w := range c.words {
		d.words[c.first-d.first+i] |= w
	}
	return d
}

// Less is what is in b alone.
func (b Bits) Less(c Bits) Bits {
	d := Bits{b.first, slices.Clone(b.words)}
	c = c.window(b.first, b.end())
	for i, w := range c.words {
		d.words[c.first-d.first+i] &^= w
	}
	return d
}

// Pair is what is certainly in a set and what may be: Certain is in Possible.
type Pair struct{ Certain, Possible Bits }

func newPair(n int) Pair { return pairFor(0, (n+63)/64) }

// pairFor is an empty set for the ids of some words, from the first.
func pairFor(first, n int) Pair {
	words := make([]uint64, 2*n)
	return Pair{Bits{first, words[:n:n]}, Bits{first, words[n:]}}
}

// exactly is a set that is known.
func exactly(b Bits) Pair { return Pair{b, b} }

// And, Or, Not and Less follow the rule for each bound: what is certainly not
// in a set is what is not possibly in it.
func (p Pair) And(q Pair) Pair {
	return Pair{p.Certain.And(q.Certain), p.Possible.And(q.Possible)}
}

func (p Pair) Or(q Pair) Pair {
	return Pair{p.Certain.Or(q.Certain), p.Possible.Or(q.Possible)}
}

// Less is p without q.
func (p Pair) Less(q Pair) Pair {
	return Pair{p.Certain.Less(q.Possible), p.Possible.Less(q.Certain)}
}

// narrowed is p and q, where q was looked for among what is possibly in p.
func (p Pair) narrowed(q Pair) Pair { return Pair{p.Certain.And(q.Certain), q.Possible} }

// Maybe is what is possibly and not certainly in the set.
func (p Pair) Maybe() Bits { return p.Possible.Less(p.Certain) }
