package copper

// elimination takes nodes out of a circuit, always one of those with the fewest
// neighbours.
type elimination struct {
	*Solution
	gone    []bool
	at      []int32  // of each node, where it is among the branches of the node at hand
	buckets [][]Node // nodes by how many neighbours they have, or had
	lowest  int      // no bucket below has any
}

func newElimination(s *Solution, links []link) *elimination {
	e := &elimination{Solution: s, gone: make([]bool, len(s.root)), at: make([]int32, len(s.root))}
	for i := range e.at {
		e.at[i] = -1
	}
	for _, l := range links {
		if a, b := s.root[l.a], s.root[l.b]; a != b {
			s.to[a] = append(s.to[a], branch{b, l.siemens})
			s.to[b] = append(s.to[b], branch{a, l.siemens})
		}
	}
	for v, root := range s.root {
		if Node(v) != root {
			continue
		}
		s.to[v] = e.merged(s.to[v])
		e.put(root)
	}
	return e
}

// merged makes one of the resistors that are side by side.
func (e *elimination) merged(list []branch) []branch {
	kept := list[:0]
	for _, x := range list {
		if at := e.at[x.to]; at >= 0 {
			kept[at].g += x.g
			continue
		}
		e.at[x.to] = int32(len(kept))
		kept = append(kept, x)
	}
	for _, x := range kept {
		e.at[x.to] = -1
	}
	return kept
}

func (e *elimination) put(v Node) {
	n := len(e.to[v])
	for len(e.buckets) <= n {
		e.buckets = append(e.buckets, nil)
	}
	e.buckets[n] = append(e.buckets[n], v)
	e.lowest = min(e.lowest, n)
}

// next is a node with the fewest neighbours. What is in a bucket of another number
// has been put again since.
func (e *elimination) next() (Node, bool) {
	for e.lowest < len(e.buckets) {
		bucket := e.buckets[e.lowest]
		if len(bucket) == 0 {
			e.lowest++
			continue
		}
		v := bucket[0]
		e.buckets[e.lowest] = bucket[1:]
		if !e.gone[v] && len(e.to[v]) == e.lowest {
			return v, true
		}
	}
	return None, false
}

// takeOut turns the star round a node into a mesh of its neighbours.
func (e *elimination) takeOut(v Node) {
	e.gone[v] = true
	star := e.to[v]
	for _, x := range star {
		e.sum[v] += x.g
	}
	for _, x := range star {
		list := e.to[x.to]
		for i, y := range list {
			e.at[y.to] = int32(i)
		}
		for _, y := range star {
			g := x.g * y.g / e.sum[v]
			switch at := e.at[y.to]; {
			case y.to == x.to:
			case at >= 0:
				list[at].g += g
			default:
				list = append(list, branch{y.to, g})
			}
		}
		last := len(list) - 1
		back := e.at[v]
		for _, y := range list {
			e.at[y.to] = -1
		}
		list[back] = list[last]
		e.to[x.to] = list[:last]
		e.put(x.to)
	}
}
