package ring

import "slices"

// Contradiction is a touch and the fewest earlier ones that it cannot be true
// with.
type Contradiction struct {
	Fact  Fact
	Chain []int // earlier touches that were kept, by when they were added, in order of the way from A to B
	// NetA and NetB are two known nets that would be one, if the touches alone
	// contradict nothing; else they are -1.
	NetA, NetB int
}

// contradiction finds the shortest chain. What contradicts a ring is a way
// between its ends in which just one touch was silent, or two ways to two
// known nets; what contradicts silence is a way of rings.
func (k *Known) contradiction(f Fact) *Contradiction {
	c := &Contradiction{Fact: f, NetA: -1, NetB: -1}
	from := k.ways(f.A)
	if !f.Rings {
		c.Chain = from.to(f.B)
		return c
	}
	back := k.ways(f.B)
	best := 1 << 60
	for i, s := range k.facts {
		if s.Rings {
			continue
		}
		for _, ends := range [2][2]int{{s.A, s.B}, {s.B, s.A}} {
			x, y := ends[0], ends[1]
			if from.far[x] < 0 || back.far[y] < 0 || from.far[x]+1+back.far[y] >= best {
				continue
			}
			best = from.far[x] + 1 + back.far[y]
			c.Chain = through(from.to(x), []int{i}, back.to(y))
		}
	}
	if a, b := k.find(f.A), k.find(f.B); a < k.nets && b < k.nets && from.far[a]+back.far[b] < best {
		c.NetA, c.NetB = a, b
		c.Chain = through(from.to(a), nil, back.to(b))
	}
	return c
}

// through is a way there, a step, and a way back turned round.
func through(there, step, back []int) []int {
	slices.Reverse(back)
	return slices.Concat(there, step, back)
}

// ways are the shortest ways by rings from one node to the others.
type ways struct {
	facts []Fact
	far   []int // how many touches; -1 where no way leads
	by    []int // the last touch on the way
}

// ways goes in breadth, in the order of the touches, so that of several
// shortest ways it is always the same one.
func (k *Known) ways(start int) ways {
	w := ways{k.facts, make([]int, k.nodes), make([]int, k.nodes)}
	next := make([][]int, k.nodes)
	for i, f := range k.facts {
		if f.Rings {
			next[f.A] = append(next[f.A], i)
			next[f.B] = append(next[f.B], i)
		}
	}
	for i := range w.far {
		w.far[i] = -1
	}
	w.far[start] = 0
	for queue := []int{start}; len(queue) > 0; queue = queue[1:] {
		at := queue[0]
		for _, i := range next[at] {
			to := k.facts[i].A + k.facts[i].B - at
			if w.far[to] < 0 {
				w.far[to], w.by[to] = w.far[at]+1, i
				queue = append(queue, to)
			}
		}
	}
	return w
}

// to is the way to a node, in order.
func (w ways) to(node int) []int {
	var way []int
	for w.far[node] > 0 {
		i := w.by[node]
		way = append(way, i)
		node = w.facts[i].A + w.facts[i].B - node
	}
	slices.Reverse(way)
	return way
}
