package board

import "slices"

// ringer follows touches. Its nodes are the nets, then the pads, then the pins of
// a board; a pad or pin whose net is stated is that net.
type ringer struct {
	b       *Board
	touches []Touch
	ends    [][2][]int    // of each touch: its nodes; several where it is against ground
	at      map[int][]int // by place without net: its touches
	loose   []int         // places without net, in order
}

func newRinger(b *Board, touches []Touch) *ringer {
	r := &ringer{b: b, touches: touches, at: map[int][]int{}}
	for i := range touches {
		r.ends = append(r.ends, [2][]int{r.nodes(touches[i].A), r.nodes(touches[i].B)})
		for _, end := range r.ends[i] {
			for _, n := range end {
				if n >= len(b.Nets) && !slices.Contains(r.at[n], i) {
					r.at[n] = append(r.at[n], i)
				}
			}
		}
	}
	for n := range r.at {
		r.loose = append(r.loose, n)
	}
	slices.Sort(r.loose)
	return r
}

// nodes are the nodes of a target. There are none of what is no place.
func (r *ringer) nodes(t Target) []int {
	if t == (Target{}) {
		return r.grounds()
	}
	f := r.b.Find(t)
	switch {
	case len(f.Kinds) == 0:
		return nil
	case f.Net != None:
		return []int{int(f.Net)}
	case f.Kinds[0] == OnPad:
		return []int{len(r.b.Nets) + int(r.b.FindPad(t.Name))}
	case f.Kinds[0] == OnPin:
		id, _ := r.b.findPinOf(t)
		return []int{len(r.b.Nets) + len(r.b.Pads) + int(id)}
	}
	return nil
}

func (r *ringer) grounds() []int {
	var all []int
	for i := range r.b.Nets {
		if r.b.Nets[i].Kind == Ground {
			all = append(all, i)
		}
	}
	return all
}

// walk is what a place rings to by some touches.
type walk struct {
	from    int
	members []int       // places without net, and itself
	nets    []NetID     // in the order in which they were come to
	last    map[int]int // by node, the touch by which it was come to
	before  map[int]int // and the node before it
	by      []int       // all touches that were followed
}

// walk goes in breadth, in the order of the touches, and no further than nets.
func (r *ringer) walk(from int, use func(*Touch) bool) *walk {
	w := &walk{from: from, members: []int{from}, last: map[int]int{}, before: map[int]int{from: from}}
	for k := 0; k < len(w.members); k++ {
		at := w.members[k]
		for _, i := range r.at[at] {
			if t := &r.touches[i]; !t.Rings || !use(t) {
				continue
			}
			for _, to := range r.other(i, at) {
				w.come(r, at, i, to)
			}
		}
	}
	return w
}

func (w *walk) come(r *ringer, at, touch, to int) {
	if !slices.Contains(w.by, touch) {
		w.by = append(w.by, touch)
	}
	if _, seen := w.before[to]; seen {
		return
	}
	w.before[to], w.last[to] = at, touch
	if to < len(r.b.Nets) {
		w.nets = append(w.nets, NetID(to))
	} else {
		w.members = append(w.members, to)
	}
}

// other are the nodes at the other end of a touch.
func (r *ringer) other(touch, at int) []int {
	if e := r.ends[touch]; slices.Contains(e[0], at) {
		return e[1]
	}
	return r.ends[touch][0]
}

// way is the touches from where a walk began to a node.
func (w *walk) way(to int) []int {
	var way []int
	for to != w.from {
		way = append(way, w.last[to])
		to = w.before[to]
	}
	slices.Reverse(way)
	return way
}

// silences are what places that are on one net do not ring to.
type silences struct {
	nets   map[NetID]bool
	by     map[NetID]int // a touch that says so
	within []int         // touches that say it of two of these places, and one that they are on one net
}

// silent gathers what the places of a walk do not ring to. What is silent on one
// device may be broken there.
func (r *ringer) silent(w *walk) silences {
	s := silences{nets: map[NetID]bool{}, by: map[NetID]int{}}
	for _, at := range w.members {
		for _, i := range r.at[at] {
			if t := &r.touches[i]; t.Rings || t.Job != "" {
				continue
			}
			for _, to := range r.other(i, at) {
				if slices.Contains(w.members, to) {
					s.within = append(append(append(s.within, i), w.way(at)...), w.way(to)...)
				} else if net, ok := r.onSaid(to); ok {
					s.nets[net], s.by[net] = true, i
				}
			}
		}
	}
	return s
}

// onSaid is the net of a node as far as it is stated.
func (r *ringer) onSaid(node int) (NetID, bool) {
	if node < len(r.b.Nets) {
		return NetID(node), true
	}
	if w := r.walk(node, isSaid); len(w.nets) == 1 {
		return w.nets[0], true
	}
	return None, false
}

func isSaid(t *Touch) bool { return t.Said }
