package ring

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// TestEntropy: 2 - 3/4 lg 3 for a quarter, by hand.
func TestEntropy(t *testing.T) {
	for p, want := range map[float64]float64{0: 0, 1: 0, 0.5: 1, 0.25: 2 - 0.75*math.Log2(3), 0.75: 2 - 0.75*math.Log2(3)} {
		if got := Entropy(p); math.Abs(got-want) > 1e-12 {
			t.Errorf("a touch that rings with %v tells %v bits, want %v", p, got, want)
		}
	}
}

// TestOdds: nets of 6 and 2 places, whose θ solves Σ θ/(θ+i) = 3 over i = 0..8;
// by hand, one place is on the first with 6/(8+θ), and two are on one net with
// ((6·7 + 2·3) + θ) / ((8+θ)(9+θ)).
func TestOdds(t *testing.T) {
	k := New([]int{6, 2}, 2)
	sum := 0.0
	for i := range 9 {
		sum += k.theta / (k.theta + float64(i))
	}
	if math.Abs(sum-3) > 1e-9 {
		t.Errorf("θ = %v, with which %v nets are expected, want 3", k.theta, sum)
	}
	next, ok := k.Next()
	want := 6 / (8 + k.theta)
	if !ok || next.A != 2 || next.B != 0 || math.Abs(next.P-want) > 1e-12 || math.Abs(next.Bits-Entropy(want)) > 1e-12 {
		t.Errorf("got %+v, want place 2 against net 0 with %v", next, want)
	}
	c, d := k.oddsOf(2), k.oddsOf(3)
	if got, want := k.together(&c, &d), (6*7+2*3+k.theta)/((8+k.theta)*(9+k.theta)); math.Abs(got-want) > 1e-12 {
		t.Errorf("two places are on one net with %v, want %v", got, want)
	}
}

// world is one way in which places may be on nets: of each place the net, or
// the number of a net of its own.
type world struct {
	of     []int
	weight float64
}

// worlds are all of them, with the weights of Ewens's formula.
func worlds(k *Known) []world {
	all := []world{{weight: 1}}
	for p := k.nets; p < k.nodes; p++ {
		var next []world
		for _, w := range all {
			sizes := slices.Clone(k.size[:k.nets])
			for _, net := range w.of {
				for len(sizes) <= net {
					sizes = append(sizes, 0)
				}
				sizes[net]++
			}
			for net, m := range append(sizes, 0) {
				weight := float64(m)
				if net == len(sizes) {
					weight = k.theta
				}
				next = append(next, world{append(slices.Clone(w.of), net), w.weight * weight})
			}
		}
		all = next
	}
	return all
}

func (w world) rings(k *Known, a, b int) bool {
	net := func(x int) int {
		if x < k.nets {
			return x
		}
		return w.of[x-k.nets]
	}
	return net(a) == net(b)
}

// split tells worlds apart by one touch.
func split(k *Known, all []world, a, b int) (yes, no []world) {
	for _, w := range all {
		if w.rings(k, a, b) {
			yes = append(yes, w)
		} else {
			no = append(no, w)
		}
	}
	return yes, no
}

func total(all []world) (sum float64) {
	for _, w := range all {
		sum += w.weight
	}
	return sum
}

// bestPlan is the mean number of touches of the best plan there is, by looking
// at every touch in every state.
func bestPlan(k *Known, all []world, seen map[string]float64) float64 {
	if len(all) <= 1 {
		return 0
	}
	key := fmt.Sprint(all)
	if v, ok := seen[key]; ok {
		return v
	}
	best := math.Inf(1)
	for a := k.nets; a < k.nodes; a++ {
		for b := range a {
			yes, no := split(k, all, a, b)
			if len(yes) == 0 || len(no) == 0 {
				continue
			}
			mean := 1 + (total(yes)*bestPlan(k, yes, seen)+total(no)*bestPlan(k, no, seen))/total(all)
			best = min(best, mean)
		}
	}
	seen[key] = best
	return best
}

// proposed is the mean number of touches if every proposal is followed.
func proposed(t *testing.T, nets []int, places int, facts []Fact, all []world) float64 {
	k := New(nets, places)
	for _, f := range facts {
		k.Add(f)
	}
	next, ok := k.Next()
	if !ok {
		if len(all) != 1 {
			t.Fatalf("nothing is proposed after %v, but %d cases are left", facts, len(all))
		}
		return 0
	}
	yes, no := split(k, all, next.A, next.B)
	if len(yes) == 0 || len(no) == 0 {
		t.Fatalf("after %v, %+v is proposed, which follows", facts, next)
	}
	mean := 1.0
	for rings, some := range map[bool][]world{true: yes, false: no} {
		mean += total(some) / total(all) * proposed(t, nets, places, append(slices.Clone(facts), Fact{next.A, next.B, rings}), some)
	}
	return mean
}

// mostOver is how much more touches than the best plan the proposals may take
// in the mean, on the small cases below. It is what was found, rounded up.
const mostOver = 0.002

// TestNearOptimal compares with exhaustive search. For one place the proposals
// are the best plan.
func TestNearOptimal(t *testing.T) {
	for _, c := range []struct {
		nets   []int
		places int
	}{
		{[]int{6, 2}, 1}, {[]int{9, 3, 3, 1}, 1}, {[]int{1, 1, 1}, 1}, {nil, 3}, {nil, 5}, {[]int{2}, 4}, {[]int{40, 30}, 3}, {[]int{100}, 3},
		{[]int{5}, 3}, {[]int{6, 2}, 2}, {[]int{6, 2}, 3}, {[]int{1, 1}, 3}, {[]int{9, 3, 1}, 2}, {[]int{20, 4, 2, 1, 1}, 2}, {[]int{12, 3, 1}, 3},
	} {
		k := New(c.nets, c.places)
		all := worlds(k)
		best, got := bestPlan(k, all, map[string]float64{}), proposed(t, c.nets, c.places, nil, all)
		t.Logf("nets of %v, %d places, %d cases: %.4f touches in the mean, the best plan %.4f, +%.2f %%", c.nets, c.places, len(all), got, best, 100*(got/best-1))
		if got < best-1e-9 || got > best*(1+mostOver) || c.places == 1 && got > best+1e-9 {
			t.Errorf("nets of %v, %d places: %v touches, the best plan takes %v", c.nets, c.places, got, best)
		}
	}
}

// site is a board with places to ring out.
type site struct {
	nets []int // how many places each has
	of   []int // on which net each of the places is; beyond nets, one that is not known
}

// drawSite makes a board of realistic shape: ground, rails of falling size, and
// many nets of two to five places. Places to ring out are on a net by its
// size, if fair, else on each net as likely.
func drawSite(r *rand.Rand, nets, places int, fair bool) site {
	s := site{}
	sum := 0
	for i := range nets {
		n := 2 + r.IntN(4)
		switch {
		case i == 0:
			n = nets
		case i < 20:
			n = nets / 4 / (i + 1)
		}
		s.nets = append(s.nets, max(n, 2))
		sum += max(n, 2)
	}
	r.Shuffle(nets, func(i, j int) { s.nets[i], s.nets[j] = s.nets[j], s.nets[i] })
	for range places {
		net, at := 0, r.IntN(sum)
		for ; at >= s.nets[net]; net++ {
			at -= s.nets[net]
		}
		if !fair {
			net = r.IntN(nets)
		}
		if r.IntN(20) == 0 {
			net = nets + r.IntN(3)
		}
		s.of = append(s.of, net)
	}
	return s
}

func (s site) rings(a, b int) bool {
	net := func(x int) int {
		if x < len(s.nets) {
			return x
		}
		return s.of[x-len(s.nets)]
	}
	return net(a) == net(b)
}

// touches counts how many touches ring everything out by the proposals.
func (s site) touches(t testing.TB) int {
	k := New(s.nets, len(s.of))
	for n := 0; ; n++ {
		next, ok := k.Next()
		if !ok {
			if settled(k) != len(s.of) {
				t.Fatalf("nothing is proposed, but %d of %d are settled", settled(k), len(s.of))
			}
			return n
		}
		if c := k.Add(Fact{next.A, next.B, s.rings(next.A, next.B)}); c != nil {
			t.Fatal(c)
		}
	}
}

// inOrder counts the touches of every place against every net in the given
// order until one rings, and then against the places on none before it.
func (s site) inOrder(order []int) int {
	n := 0
	var own []int
	for p := range s.of {
		p += len(s.nets)
		found := false
		for _, b := range slices.Concat(order, own) {
			n++
			if found = s.rings(p, b); found {
				break
			}
		}
		if !found {
			own = append(own, p)
		}
	}
	return n
}

func (s site) order() []int {
	order := make([]int, len(s.nets))
	for i := range order {
		order[i] = i
	}
	return order
}

func (s site) largestFirst() []int {
	order := s.order()
	slices.SortStableFunc(order, func(a, b int) int { return s.nets[b] - s.nets[a] })
	return order
}

// TestTouches measures boards of realistic size against every place against
// every net in order.
func TestTouches(t *testing.T) {
	boards := 8
	if testing.Short() {
		boards = 3
	}
	var table strings.Builder
	for _, c := range []struct {
		nets, places int
		fair         bool
	}{{50, 12, true}, {150, 24, true}, {400, 24, true}, {150, 24, false}} {
		var got, naive, sorted, guess float64
		for seed := range boards {
			s := drawSite(rand.New(rand.NewPCG(uint64(seed), uint64(c.nets))), c.nets, c.places, c.fair)
			got += float64(s.touches(t)) / float64(boards)
			naive += float64(s.inOrder(s.order())) / float64(boards)
			sorted += float64(s.inOrder(s.largestFirst())) / float64(boards)
			guess += New(s.nets, len(s.of)).Left() / float64(boards)
		}
		fmt.Fprintf(&table, "\n%4d nets, %3d places, on large nets more often: %-5v proposed %7.1f (expected before %7.1f), in order %7.1f, largest first %7.1f", c.nets, c.places, c.fair, got, guess, naive, sorted)
		if c.fair && got >= 0.85*naive {
			t.Errorf("%d nets, %d places: %.1f touches, and %.1f in order", c.nets, c.places, got, naive)
		}
	}
	t.Log(table.String())
}

// BenchmarkNext rings out 60 places on a board of 1,500 nets: a proposal, and
// all of them; beside it, a touch taken into account.
func BenchmarkNext(b *testing.B) {
	s := drawSite(rand.New(rand.NewPCG(1, 1)), 1500, 60, true)
	b.Run("first", func(b *testing.B) {
		k := New(s.nets, len(s.of))
		for b.Loop() {
			k.Next()
		}
	})
	b.Run("middle", func(b *testing.B) {
		k := New(s.nets, len(s.of))
		for range 2000 {
			next, _ := k.Next()
			k.Add(Fact{next.A, next.B, s.rings(next.A, next.B)})
		}
		b.ResetTimer()
		for b.Loop() {
			k.Next()
		}
	})
	b.Run("touch", func(b *testing.B) {
		for b.Loop() {
			k := New(s.nets, len(s.of))
			for p := range s.of {
				k.Add(Fact{len(s.nets) + p, 0, false})
			}
		}
	})
}
