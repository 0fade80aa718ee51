package run

import (
	"iter"
	"math/bits"
)

// Bits is a set of ids from 0 to below 64 times its length.
type Bits []uint64

// NewBits is an empty set for n ids.
func NewBits(n int) Bits { return make(Bits, (n+63)/64) }

// rangeBits is the ids from first to below last, in a set for n ids.
func rangeBits(n, first, last int) Bits {
	b := NewBits(n)
	for i := first; i < last; {
		if i&63 == 0 && last-i >= 64 {
			b[i>>6] = ^uint64(0)
			i += 64
			continue
		}
		b.Set(int32(i))
		i++
	}
	return b
}

// Set puts an id into the set.
func (b Bits) Set(id int32) { b[id>>6] |= 1 << (id & 63) }

// Has reports whether an id is in the set.
func (b Bits) Has(id int32) bool { return b[id>>6]&(1<<(id&63)) != 0 }

// Count is how many ids are in the set.
func (b Bits) Count() int {
	n := 0
	for _, w := range b {
		n += bits.OnesCount64(w)
	}
	return n
}

// Empty reports whether nothing is in the set.
func (b Bits) Empty() bool {
	for _, w := range b {
		if w != 0 {
			return false
		}
	}
	return true
}

// All yields the ids in ascending order.
func (b Bits) All() iter.Seq[int32] {
	return func(yield func(int32) bool) {
		for i, w := range b {
			for ; w != 0; w &= w - 1 {
				if !yield(int32(i<<6 + bits.TrailingZeros64(w))) {
					return
				}
			}
		}
	}
}

// And, Or and Less are new sets: what is in both, in either, in b alone. The
// sets must be for the same number of ids.
func (b Bits) And(c Bits) Bits  { return b.with(c, func(x, y uint64) uint64 { return x & y }) }
func (b Bits) Or(c Bits) Bits   { return b.with(c, func(x, y uint64) uint64 { return x | y }) }
func (b Bits) Less(c Bits) Bits { return b.with(c, func(x, y uint64) uint64 { return x &^ y }) }

func (b Bits) with(c Bits, op func(x, y uint64) uint64) Bits {
	d := make(Bits, len(b))
	for i := range b {
		d[i] = op(b[i], c[i])
	}
	return d
}

// Pair is what is certainly in a set and what may be: Certain is in Possible.
type Pair struct{ Certain, Possible Bits }

func newPair(n int) Pair { return Pair{NewBits(n), NewBits(n)} }

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

// Maybe is what is possibly and not certainly in the set.
func (p Pair) Maybe() Bits { return p.Possible.Less(p.Certain) }
