package ring

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// closure is what touches say by the definition: rings spread until nothing
// changes, then silence is looked up for every pair. It is nil if they
// contradict each other.
func closure(nets, nodes int, facts []Fact) [][]Relation {
	is := make([][]Relation, nodes)
	for a := range is {
		is[a] = make([]Relation, nodes)
		is[a][a] = Same
	}
	for _, f := range facts {
		if f.Rings {
			is[f.A][f.B], is[f.B][f.A] = Same, Same
		}
	}
	for via := range nodes {
		for a := range nodes {
			for b := range nodes {
				if is[a][via] == Same && is[via][b] == Same {
					is[a][b] = Same
				}
			}
		}
	}
	silent := slices.Clone(facts)
	for a := range nets {
		for b := range a {
			silent = append(silent, Fact{A: a, B: b})
		}
	}
	for _, f := range silent {
		if f.Rings {
			continue
		}
		for a := range nodes {
			for b := range nodes {
				if (is[a][f.A] != Same || is[b][f.B] != Same) && (is[a][f.B] != Same || is[b][f.A] != Same) {
					continue
				}
				if is[a][b] == Same {
					return nil
				}
				is[a][b] = Apart
			}
		}
	}
	return is
}

// drawn is a touch of two nodes at random.
func drawn(r *rand.Rand, nodes int) Fact {
	a := r.IntN(nodes)
	return Fact{a, (a + 1 + r.IntN(nodes-1)) % nodes, r.IntN(3) == 0}
}

// TestAgainstClosure compares union-find with the definition, on random
// touches of which many contradict others.
func TestAgainstClosure(t *testing.T) {
	contradictions := 0
	for seed := range uint64(400) {
		r := rand.New(rand.NewPCG(seed, 1))
		nets, places := r.IntN(4), 2+r.IntN(6)
		k := New(slices.Repeat([]int{1}, nets), places)
		var facts []Fact
		for range 2 * places {
			f := drawn(r, nets+places)
			want := closure(nets, nets+places, append(slices.Clone(facts), f))
			against := k.Add(f)
			if (want == nil) != (against != nil) {
				t.Fatalf("seed %d: %+v after %+v: contradiction %+v, but by the definition %v", seed, f, facts, against, want)
			}
			if want == nil {
				contradictions++
				checkShortest(t, nets, nets+places, facts, against)
				continue
			}
			facts = append(facts, f)
			checkRelations(t, k, want)
		}
	}
	if contradictions < 100 {
		t.Errorf("only %d contradictions came up", contradictions)
	}
}

func checkRelations(t *testing.T, k *Known, want [][]Relation) {
	t.Helper()
	for a := range want {
		for b, is := range want[a] {
			if got := k.Relation(a, b); got != is {
				t.Fatalf("%d and %d: got %d, want %d", a, b, got, is)
			}
		}
	}
	if got, settled := settled(k), settledBy(k, want); got != settled {
		t.Fatalf("%d places are settled, want %d", got, settled)
	}
}

// settled counts the places that are.
func settled(k *Known) (n int) {
	for p := k.nets; p < k.nodes; p++ {
		if k.IsSettled(p) {
			n++
		}
	}
	return n
}

// settledBy counts the places on a net, and those apart from all nets and from
// all places not on one.
func settledBy(k *Known, want [][]Relation) int {
	n := 0
	onNet := func(a int) bool { return slices.Contains(want[a][:k.nets], Same) }
	for a := k.nets; a < k.nodes; a++ {
		open := false
		for b, is := range want[a] {
			open = open || is == Unknown && (b < k.nets || !onNet(b))
		}
		if onNet(a) || !open {
			n++
		}
	}
	return n
}

// checkShortest holds a chain to what it is for: with it the touch cannot be
// true, and with no fewer of the touches.
func checkShortest(t *testing.T, nets, nodes int, facts []Fact, c *Contradiction) {
	t.Helper()
	some := []Fact{c.Fact}
	for _, i := range c.Chain {
		some = append(some, facts[i])
	}
	if closure(nets, nodes, some) != nil {
		t.Fatalf("%+v do not contradict each other", some)
	}
	if len(facts) > 12 {
		return
	}
	for set := range 1 << len(facts) {
		fewer := []Fact{c.Fact}
		for i, f := range facts {
			if set&(1<<i) != 0 {
				fewer = append(fewer, f)
			}
		}
		if len(fewer) < len(some) && closure(nets, nodes, fewer) == nil {
			t.Fatalf("%+v contradict each other, which are fewer than %+v", fewer, some)
		}
	}
}

// TestChain names the touches on the way, in its order.
func TestChain(t *testing.T) {
	k := New([]int{5, 3}, 3)
	for _, f := range []Fact{{2, 0, true}, {3, 4, true}, {4, 1, true}} {
		if c := k.Add(f); c != nil {
			t.Fatal(c)
		}
	}
	c := k.Add(Fact{2, 3, true})
	if c == nil || !slices.Equal(c.Chain, []int{0, 2, 1}) || c.NetA != 0 || c.NetB != 1 {
		t.Errorf("got %+v, want the ways of 2 to net 0 and of 3 to net 1", c)
	}
	if k.Relation(2, 3) != Apart || k.NetOf(3) != 1 {
		t.Error("what contradicts was not left out")
	}
}
