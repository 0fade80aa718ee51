package ring

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"
)

// Proposal is a touch to make: of A, which is a place, and B, a known net or
// another place. Each is the lowest node of its class.
type Proposal struct {
	A, B int
	P    float64 // how likely it rings
	Bits float64 // that it is expected to tell
}

// Entropy is what a touch tells in the mean that rings with probability p, in
// bits (C. E. Shannon, A mathematical theory of communication, 1948).
func Entropy(p float64) float64 {
	if p <= 0 || p >= 1 {
		return 0
	}
	return -p*math.Log2(p) - (1-p)*math.Log2(1-p)
}

// Theta is the θ with which as many nets are expected among all their places
// as there are, and one more, so that it is never nothing: Σ θ/(θ+i) over the
// places i = 0, 1, …, as in Ewens 1972.
func Theta(nets []int) float64 {
	places, want := 1.0, 1.0
	for _, n := range nets {
		if n > 0 {
			places, want = places+float64(n), want+1
		}
	}
	low, high := 1e-3, 1e6
	for range 60 {
		mid := math.Sqrt(low * high)
		if mid*(mathext.Digamma(mid+places)-mathext.Digamma(mid)) < want {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// odds are the weights of one class, over a common scale.
type odds struct {
	class int
	size  int
	scale float64   // logarithm of what the weights were divided by
	nets  []float64 // of being on each net; 0 where it is kept apart
	own   float64   // of being on a net of its own
	sum   float64   // of all
}

// oddsOf weighs what a class may be on.
func (k *Known) oddsOf(c int) odds {
	o := odds{class: c, size: k.size[c], nets: make([]float64, k.nets)}
	own := k.ownWeight(o.size)
	o.scale = own
	for net := range o.nets {
		o.nets[net] = math.Inf(-1)
		if k.size[net] > 0 && !k.areApart(c, net) {
			o.nets[net] = k.weight(net, o.size)
			o.scale = max(o.scale, o.nets[net])
		}
	}
	o.own = math.Exp(own - o.scale)
	o.sum = o.own
	for net, w := range o.nets {
		o.nets[net] = math.Exp(w - o.scale)
		o.sum += o.nets[net]
	}
	return o
}

// weight is the logarithm of the weight of a class of this size on a net.
func (k *Known) weight(net, size int) float64 {
	m := float64(k.size[net])
	if size == 1 {
		return math.Log(m)
	}
	return lgamma(m+float64(size)) - lgamma(m)
}

func (k *Known) ownWeight(size int) float64 { return math.Log(k.theta) + lgamma(float64(size)) }

func lgamma(x float64) float64 {
	y, _ := math.Lgamma(x)
	return y
}

// together is how likely two classes are on one net.
func (k *Known) together(c, d *odds) float64 {
	both := c.size + d.size
	scale := c.scale + d.scale
	same := math.Exp(k.ownWeight(both) - scale)
	two := c.sum * d.sum
	for net := range k.nets {
		if c.nets[net] > 0 && d.nets[net] > 0 {
			same += math.Exp(k.weight(net, both) - scale)
			two -= c.nets[net] * d.nets[net]
		}
	}
	if math.IsInf(same, 1) {
		return 1
	}
	return same / (same + max(two, 0))
}

// Skip leaves a touch out of what is proposed.
func (k *Known) Skip(a, b int) { k.skips = append(k.skips, [2]int{a, b}) }

// skipped reports whether a touch between two classes was to be left out.
func (k *Known) skipped(a, b int) bool {
	return slices.ContainsFunc(k.skips, func(s [2]int) bool {
		x, y := k.find(s[0]), k.find(s[1])
		return x == a && y == b || x == b && y == a
	})
}

// Next proposes the touch that rings most likely, of those that nothing says
// yet and that are not skipped; it reports whether there is one. Of several as
// likely, a touch of a net goes first, and then the lowest nodes.
func (k *Known) Next() (best Proposal, ok bool) {
	consider := func(a, b int, p float64) {
		if ok && p <= best.P*(1+1e-12) || k.skipped(a, b) {
			return
		}
		best, ok = Proposal{a, b, p, Entropy(p)}, true
	}
	kinds := k.kinds()
	for i := range kinds {
		c := &kinds[i]
		for net, w := range c.nets {
			if w > 0 {
				consider(c.class, net, w/c.sum)
			}
		}
	}
	for i := range kinds {
		for j := range kinds[:i] {
			if c, d := &kinds[j], &kinds[i]; !k.areApart(c.class, d.class) {
				consider(c.class, d.class, k.together(c, d))
			}
		}
	}
	return best, ok
}

// kinds are the odds of the classes to choose from. Of classes of which the same is
// known, two stand for all, so that untouched places, of which there may be
// hundreds, cost no more than two. What has a skip stands for itself.
func (k *Known) kinds() []odds {
	alike := map[string]int{}
	var kinds []odds
	for _, c := range k.open() {
		mine := slices.ContainsFunc(k.skips, func(s [2]int) bool { return k.find(s[0]) == c || k.find(s[1]) == c })
		if !mine {
			key := k.key(c)
			if alike[key]++; alike[key] > 2 {
				continue
			}
		}
		kinds = append(kinds, k.oddsOf(c))
	}
	return kinds
}

// key is the same for classes of which the same is known.
func (k *Known) key(c int) string {
	key := make([]byte, 0, 8*(len(k.apart[0])+1))
	for _, word := range append([]uint64{uint64(k.size[c])}, k.apart[c-k.nets]...) {
		for shift := 0; shift < 64; shift += 8 {
			key = append(key, byte(word>>shift))
		}
	}
	return string(key)
}

// Left is about how many touches are left until everything is settled: each
// open class asks the nets in order of likelihood until one rings, and those on
// nets of their own ask each other.
func (k *Known) Left() float64 {
	left := 0.0
	var before []float64 // of each class: how likely it is on a net of its own
	open := k.open()
	for _, c := range open {
		o := k.oddsOf(c)
		slices.SortFunc(o.nets, func(a, b float64) int { return cmp.Compare(b, a) })
		rest := o.sum
		for _, w := range o.nets {
			if w == 0 {
				break
			}
			left += rest / o.sum
			rest -= w
		}
		own := o.own / o.sum
		for i, d := range open[:len(before)] {
			if !k.areApart(c, d) {
				left += own * before[i]
			}
		}
		before = append(before, own)
	}
	return left
}
