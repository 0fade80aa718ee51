package sequence

import (
	"errors"
	"math"
)

// Belief is how likely each state is, which set-ups are made, and which tests
// that must not be made twice are made. It does not change.
type Belief struct {
	states []int32   // those of weight above 0, in order
	w      []float64 // of each of them; sums up to 1
	mode   Mode
	made   []uint64 // bits of tests
}

// Mode is which set-ups are made.
func (b *Belief) Mode() Mode { return b.mode }

// P is how likely each of the states is.
func (b *Belief) P(states int) []float64 {
	all := make([]float64, states)
	for i, s := range b.states {
		all[s] = b.w[i]
	}
	return all
}

// Top is the likeliest state, the first of several, and how likely it is.
func (b *Belief) Top() (state int, p float64) {
	for i, w := range b.w {
		if w > p {
			state, p = int(b.states[i]), w
		}
	}
	return state, p
}

// Entropy is what is missing, in bits.
func (b *Belief) Entropy() float64 { return Entropy(b.w) }

// Entropy is that of probabilities, in bits.
func Entropy(p []float64) float64 {
	h := 0.0
	for _, x := range p {
		h -= xlgx(x)
	}
	return max(h, 0) // and not -0
}

func xlgx(x float64) float64 {
	if x <= 0 {
		return 0
	}
	return x * math.Log(x) / math.Ln2
}

// ErrImpossible is that what was seen cannot be in any state that was left.
var ErrImpossible = errors.New("what was seen is possible in none of the states that were left")

// Observe is the belief after something was seen that is as likely in each
// state as given. The scale does not matter.
func (b *Belief) Observe(likelihood []float64) (*Belief, error) {
	return b.after(func(s int32) float64 { return likelihood[s] })
}

func (b *Belief) after(likelihood func(int32) float64) (*Belief, error) {
	n := &Belief{states: make([]int32, 0, len(b.states)), w: make([]float64, 0, len(b.w)), mode: b.mode, made: b.made}
	sum := 0.0
	for i, s := range b.states {
		if w := b.w[i] * likelihood(s); w > 0 {
			n.states = append(n.states, s)
			n.w = append(n.w, w)
			sum += w
		}
	}
	if !(sum > 0) || math.IsInf(sum, 1) {
		return nil, ErrImpossible
	}
	for i := range n.w {
		n.w[i] /= sum
	}
	return n, nil
}

// isMade reports whether a test is made and is not to be made again.
func (b *Belief) isMade(test int) bool {
	return test/64 < len(b.made) && b.made[test/64]>>(test%64)&1 == 1
}

// withMade are the bits of tests with one more.
func (b *Belief) withMade(test, tests int) []uint64 {
	made := make([]uint64, (tests+63)/64)
	copy(made, b.made)
	made[test/64] |= 1 << (test % 64)
	return made
}
