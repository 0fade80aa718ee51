// Package ring rings out places whose net is not known: from touches that rang
// or did not, it tells which places are on one net and which are not, finds
// touches that contradict each other, and proposes the touch that settles most.
//
// Numbers go in: nodes 0 to N-1 are the known nets, of which no two are one;
// the nodes after them are places. A touch (Fact) says of two nodes that they
// ring or do not. Ringing is an equivalence; so nodes fall into classes
// (union-find), and a touch without a ring keeps two classes apart. What
// follows from that is never proposed.
//
// The proposal is the pair of classes that ring most likely. Whatever the order,
// a board takes one ring for each place that is on one net with an earlier one,
// and one silent touch for each pair of the nets that come out of it, of which not
// both were known. What a plan can save is silent touches of two nodes against one
// net, so it does best to let them ring first. A touch that rings with probability
// p tells H(p) = -p lg p - (1-p) lg (1-p) bits in the mean. Below a half, where
// nearly all of them are, the likeliest ring is also the touch that tells most;
// above, it is the better one to make. To take the touch that tells most took up
// to 13 % more touches than the best plan where TestNearOptimal looks, and the
// likeliest ring no more than 0.2 %. For a single place it is the best plan: of
// two nets asked one after the other, the likelier goes first.
//
// The probabilities are those of Ewens's sampling formula (W. J. Ewens, The
// sampling theory of selectively neutral alleles, 1972), by which places join a
// net as likely as it is large: with m_k places on net k, a class of s places not
// yet on a net has the weight
//
//	Γ(m_k+s)/Γ(m_k)   on net k, if it is not kept apart from it
//	θ Γ(s)            on a net of its own
//
// which for s = 1 are m_k and θ. Two such classes c and d are on one net with
// the weight Σ Γ(m_k+c+d)/Γ(m_k) + θ Γ(c+d), the sum being over the nets that
// are open to both, and on two with W_c W_d less the sum of their products on
// one known net, W being all weights of a class. So the largest net comes first,
// which is ground in practice, and each touch counts for the next. θ is what the
// nets of the board say: that with which as many nets are expected among their
// places as there are. The probabilities are exact for one or two classes that are
// not settled. With more of them, what a pair owes to touches of a third one that
// is not settled either is left out.
package ring

import "slices"

// Fact is one touch: whether two nodes ring.
type Fact struct {
	A, B  int
	Rings bool
}

// Relation is what is known of two nodes.
type Relation uint8

const (
	Unknown Relation = iota
	Same             // on one net
	Apart            // on two nets
)

// Known is what a row of touches says together.
type Known struct {
	nets, nodes int
	facts       []Fact
	root        []int      // of each node: itself or one of its class; a net is always a root
	size        []int      // of each root: places
	apart       [][]uint64 // of each place that is a root: a bit for each root that is not on its net
	theta       float64
	skips       [][2]int
}

// New knows nets of these numbers of places, and more places of which nothing
// is known. A net of which no place is known cannot be touched, so it is not
// proposed.
func New(nets []int, places int) *Known {
	n := len(nets) + places
	k := &Known{nets: len(nets), nodes: n, root: make([]int, n), size: slices.Clone(nets), theta: Theta(nets)}
	for i := range n {
		k.root[i] = i
	}
	words := (n + 63) / 64
	bits := make([]uint64, places*words)
	for range places {
		k.size = append(k.size, 1)
		k.apart = append(k.apart, bits[:words:words])
		bits = bits[words:]
	}
	return k
}

func (k *Known) find(a int) int {
	for k.root[a] != a {
		k.root[a] = k.root[k.root[a]]
		a = k.root[a]
	}
	return a
}

// NetOf is the known net that a node is on, or -1.
func (k *Known) NetOf(a int) int {
	if r := k.find(a); r < k.nets {
		return r
	}
	return -1
}

// Relation tells what is known of two nodes.
func (k *Known) Relation(a, b int) Relation {
	a, b = k.find(a), k.find(b)
	switch {
	case a == b:
		return Same
	case k.areApart(a, b):
		return Apart
	}
	return Unknown
}

// areApart is of two roots.
func (k *Known) areApart(a, b int) bool {
	if a < k.nets {
		a, b = b, a
	}
	if a < k.nets {
		return true
	}
	return k.apart[a-k.nets][b/64]&(1<<(b%64)) != 0
}

// Add takes a touch into account. If it contradicts the touches before it, it
// is left out, and the contradiction is returned. Touches that say nothing new
// are kept, since they can be in the chain of a contradiction.
func (k *Known) Add(f Fact) *Contradiction {
	a, b := k.find(f.A), k.find(f.B)
	switch {
	case f.Rings && a != b && k.areApart(a, b), !f.Rings && a == b:
		return k.contradiction(f)
	case f.Rings && a != b:
		k.join(min(a, b), max(a, b))
	case !f.Rings:
		k.part(a, b)
	}
	k.facts = append(k.facts, f)
	return nil
}

// part keeps two roots apart.
func (k *Known) part(a, b int) {
	for _, x := range [2][2]int{{a, b}, {b, a}} {
		if x[0] >= k.nets {
			k.apart[x[0]-k.nets][x[1]/64] |= 1 << (x[1] % 64)
		}
	}
}

// join puts root b into the class of root a, which is the lower one and so the
// net, if one of them is.
func (k *Known) join(a, b int) {
	k.root[b] = a
	k.size[a] += k.size[b]
	for x := range k.nodes {
		if k.root[x] == x && x != a && k.areApart(b, x) {
			k.part(a, x)
		}
	}
}

// IsSettled reports whether it is known of a node if it is on a net with any
// other, and with which.
func (k *Known) IsSettled(a int) bool {
	c := k.find(a)
	return c < k.nets || !k.isOpen(c, k.loose())
}

// open are the classes that may still be on one net with another.
func (k *Known) open() []int {
	loose := k.loose()
	return slices.DeleteFunc(slices.Clone(loose), func(c int) bool { return !k.isOpen(c, loose) })
}

// loose are the classes that are on no known net.
func (k *Known) loose() []int {
	var loose []int
	for p := k.nets; p < k.nodes; p++ {
		if k.root[p] == p {
			loose = append(loose, p)
		}
	}
	return loose
}

// isOpen reports whether one of the loose classes may be on a net, or on one
// with another of them.
func (k *Known) isOpen(c int, loose []int) bool {
	return k.freeNets(c) > 0 || slices.ContainsFunc(loose, func(d int) bool { return d != c && !k.areApart(c, d) })
}

// freeNets counts the nets that a class may be on.
func (k *Known) freeNets(c int) int {
	n := 0
	for net := range k.nets {
		if k.size[net] > 0 && !k.areApart(c, net) {
			n++
		}
	}
	return n
}
