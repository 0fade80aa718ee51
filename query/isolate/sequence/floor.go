package sequence

import (
	"container/heap"
	"math"
	"slices"
)

// floor is what is worked out once for bounds from below.
type floor struct {
	cheapest float64
	letters  int     // most outcomes of a test
	rate     float64 // most bits per cost of a test
	alike    []int32 // of each state, one for all that no test tells apart
	huffman  bool    // no plan is shorter than a Huffman code
	entropy  bool    // no plan ends before the entropy is gone
}

func (pl *Planner) newFloor() floor {
	all := pl.problem.Bits == 0 && pl.problem.Ends == nil
	f := floor{cheapest: math.Inf(1), huffman: pl.exact && pl.sure == 1 && all, entropy: all, alike: pl.alike()}
	for i := range pl.problem.Tests {
		t := &pl.problem.Tests[i]
		f.cheapest = min(f.cheapest, t.Cost)
		f.letters = max(f.letters, t.Outcomes)
		f.rate = max(f.rate, pl.most(i)/t.Cost)
		f.entropy = f.entropy && (t.Repeats || pl.facts[i].exact)
	}
	return f
}

// most is more bits than a test can tell.
func (pl *Planner) most(test int) float64 {
	least := math.Inf(1)
	for _, h := range pl.facts[test].entropy {
		least = min(least, h)
	}
	return math.Log2(float64(pl.problem.Tests[test].Outcomes)) - least
}

// alike groups the states that no test tells apart, of those tests that can
// always be made: by a hash (FNV-1a) of the rows that they are in.
func (pl *Planner) alike() []int32 {
	hash := make([]uint64, len(pl.problem.Prior))
	for i := range pl.problem.Tests {
		t := &pl.problem.Tests[i]
		if !pl.isAlwaysPossible(t) {
			continue
		}
		rows := numbered(t.Rows)
		for s, class := range t.Class {
			hash[s] = (hash[s] ^ uint64(rows[class]+1)) * 1099511628211
		}
	}
	groups, alike := map[uint64]int32{}, make([]int32, len(hash))
	for s, h := range hash {
		if _, ok := groups[h]; !ok {
			groups[h] = int32(len(groups))
		}
		alike[s] = groups[h]
	}
	return alike
}

// numbered gives rows that say the same the same number.
func numbered(rows [][]Chance) []int32 {
	same := make([]int32, len(rows))
	for i, row := range rows {
		same[i] = int32(slices.IndexFunc(rows, func(r []Chance) bool { return slices.Equal(r, row) }))
	}
	return same
}

func (pl *Planner) isAlwaysPossible(t *Test) bool {
	for i, u := range pl.problem.Setups {
		if t.On>>i&1 == 1 && math.IsInf(u.Make, 1) || t.Off>>i&1 == 1 && math.IsInf(u.Undo, 1) {
			return false
		}
	}
	return true
}

// least is what any plan costs at least from a belief.
func (s *search) least(b *Belief) float64 {
	f := &s.floor
	if s.isSure(b) {
		return s.end(b)
	}
	if !f.huffman && !f.entropy {
		if s.isDone(b) {
			return s.end(b)
		}
		return f.cheapest
	}
	groups := s.grouped(b)
	switch {
	case len(groups) < 2:
		return 0
	case f.huffman:
		return f.cheapest * codeLength(&s.weights, f.letters)
	}
	return max(f.cheapest, (Entropy(groups)-s.left(len(groups)))/f.rate)
}

// left is the most entropy that can be left when one of so many states is sure
// (R. M. Fano, Transmission of information, 1961).
func (s *search) left(states int) float64 {
	p := s.sure
	return -xlgx(p) - xlgx(1-p) + (1-p)*math.Log2(max(float64(states-1), 1))
}

// grouped is how likely each group of states is that can be told from the others.
func (s *search) grouped(b *Belief) weights {
	s.groups = s.groups[:0]
	for i, state := range b.states {
		s.groups = append(s.groups, group{s.floor.alike[state], b.w[i]})
	}
	slices.SortStableFunc(s.groups, func(a, b group) int { return int(a.id - b.id) })
	s.weights = s.weights[:0]
	for i, g := range s.groups {
		if i > 0 && g.id == s.groups[i-1].id {
			s.weights[len(s.weights)-1] += g.w
			continue
		}
		s.weights = append(s.weights, g.w)
	}
	return s.weights
}

type group struct {
	id int32
	w  float64
}

// weights is a heap, the least first.
type weights []float64

func (w weights) Len() int           { return len(w) }
func (w weights) Less(i, j int) bool { return w[i] < w[j] }
func (w weights) Swap(i, j int)      { w[i], w[j] = w[j], w[i] }
func (w *weights) Push(x any)        { *w = append(*w, x.(float64)) }
func (w *weights) Pop() any {
	last := len(*w) - 1
	x := (*w)[last]
	*w = (*w)[:last]
	return x
}

// codeLength is the mean length of a Huffman code with so many letters (D. A.
// Huffman, A method for the construction of minimum-redundancy codes, 1952). It
// uses the weights up.
func codeLength(w *weights, letters int) (length float64) {
	heap.Init(w)
	for (len(*w)-1)%(letters-1) != 0 {
		heap.Push(w, 0.0)
	}
	for len(*w) > 1 {
		sum := 0.0
		for range letters {
			sum += heap.Pop(w).(float64)
		}
		length += sum
		heap.Push(w, sum)
	}
	return length
}
