package isolate

import (
	"cmp"
	"math"
	"slices"

	"netlore/query/trace"
	"netlore/store/board"
)

// Kind is the kind of a fault.
type Kind uint8

// The kinds.
const (
	Single    Kind = iota // one part
	Bridge                // solder between a pad on the rail and one on ground
	Zone                  // copper, by corrosion or a scratch
	Several               // two parts beside each other
	Elsewhere             // what the device does not tell of
	kinds
)

// Fault is one thing that may be the matter, at one place of the rail for each
// site: what may be at any of several places is as many faults. See Suspect.
type Fault struct {
	Kind   Kind
	Sites  []Site  // each of them alone makes the short
	Pads   [2]int  // of a Bridge: on the rail, on ground
	Weight float64 // any scale
	// Second is 1 more than the fault that is there besides the last of the sites; 0
	// if there is none. See Seconds.
	Second int
}

// Site is a place where the rail meets ground that should not.
type Site struct {
	At   trace.Place
	Part int // None if it is no part
	Spot Spot
	New  bool // it is the new part in the place of one that was replaced
}

// zone is what parts of one zone share.
type zone struct {
	at     trace.Place
	board  int
	side   board.Side
	cover  int
	inside bool
}

func (x *Part) zone() zone {
	return zone{x.At[0], x.Spot.Board, x.Spot.Side, x.Spot.Cover, x.Spot.Inside}
}

// Faults are what may be the matter with a device: each part that is or may be on
// ground, too; two such parts beside each other in one zone, that is, on one
// piece of copper, on one side, under one cover; its copper; each pad of the rail
// bridged to a neighbour on ground; and what nobody knows of. Culprits is how
// often each part of the device was the culprit of a closed job; nil for never.
func Faults(d *Device, p Priors, culprits []float64) []Fault {
	if culprits == nil {
		culprits = make([]float64, len(d.Parts))
	}
	single, first := d.singles(p, culprits)
	all := single
	order, zones := d.zones()
	for _, z := range order {
		members := zones[z]
		all = append(all, Fault{Kind: Zone, Sites: []Site{d.copper(members)}, Weight: float64(len(members))})
		for _, pair := range d.beside(members) {
			a, b := single[first[pair[0]]], single[first[pair[1]]]
			all = append(all, Fault{Kind: Several, Sites: []Site{a.Sites[0], b.Sites[0]}, Weight: math.Sqrt(a.Weight * b.Weight)})
		}
	}
	all = append(all, d.bridges()...)
	all = append(all, Fault{Kind: Elsewhere, Weight: 1})
	weigh(all, p.Shares)
	return all
}

// weigh gives each kind its weight.
func weigh(all []Fault, shares [kinds]float64) {
	var sums [kinds]float64
	for i := range all {
		sums[all[i].Kind] += all[i].Weight
	}
	for i := range all {
		if f := &all[i]; sums[f.Kind] > 0 {
			f.Weight *= shares[f.Kind] / sums[f.Kind]
		}
	}
}

// singles are the faults of one part, and which is the first of each part. Where a
// part is on the rail at several places, it is bad at one of them.
func (d *Device) singles(p Priors, culprits []float64) (all []Fault, first map[int]int) {
	var weights, counts []float64
	var may []int
	for i := range d.Parts {
		if d.Parts[i].mayShort() {
			may = append(may, i)
			weights = append(weights, d.Parts[i].weight(p))
			counts = append(counts, culprits[i])
		}
	}
	first = map[int]int{}
	for k, w := range Smooth(weights, counts, p.Strength) {
		x := &d.Parts[may[k]]
		first[may[k]] = len(all)
		for _, at := range x.At {
			all = append(all, Fault{Kind: Single, Sites: []Site{{At: at, Part: may[k], Spot: x.Spot}}, Weight: w / float64(len(x.At))})
		}
	}
	return all, first
}

// mayShort reports whether a part can be between the rail and ground.
func (x *Part) mayShort() bool { return x.Grounded != board.False && len(x.At) > 0 }

// weight is how often a part is short, on the scale of its mode. What may not be on
// ground counts half.
func (x *Part) weight(p Priors) float64 {
	m := x.Mode
	if m == (Mode{}) {
		m = ModeOf(x.Class)
	}
	w := m.PerMillionHours()
	if x.Class.Is(board.Capacitor) {
		w *= p.Ceramic
	}
	if x.Grounded == board.Unknown {
		w /= 2
	}
	return w
}

// zones are the parts of each zone that may be short, and the zones in order.
func (d *Device) zones() (order []zone, members map[zone][]int) {
	members = map[zone][]int{}
	for i := range d.Parts {
		x := &d.Parts[i]
		if !x.mayShort() {
			continue
		}
		z := x.zone()
		if members[z] == nil {
			order = append(order, z)
		}
		members[z] = append(members[z], i)
	}
	return order, members
}

// copper is the site of the copper of a zone, in the middle of its parts.
func (d *Device) copper(members []int) Site {
	s := Site{At: d.Parts[members[0]].At[0], Part: None, Spot: d.Parts[members[0]].Spot}
	s.Spot.X, s.Spot.Y, s.Spot.Placed = 0, 0, false
	n := 0.0
	for _, i := range members {
		if at := d.Parts[i].Spot; at.Placed {
			n++
			s.Spot.X += at.X
			s.Spot.Y += at.Y
		}
	}
	if n > 0 {
		s.Spot.X, s.Spot.Y, s.Spot.Placed = s.Spot.X/n, s.Spot.Y/n, true
	}
	return s
}

// beside pairs each part of a zone with the nearest one, each pair once; without
// places, with the next one.
func (d *Device) beside(members []int) (pairs [][2]int) {
	nearest := d.nearest(members)
	seen := map[[2]int]bool{}
	for _, i := range members {
		j, ok := nearest[i]
		pair := [2]int{min(i, j), max(i, j)}
		if ok && !seen[pair] {
			seen[pair] = true
			pairs = append(pairs, pair)
		}
	}
	return pairs
}

// nearest is the part of a zone that is nearest to each; of those that have no place,
// the one before, and to the first the next. Parts are sorted along the axis along
// which they are spread more, so that only those near along it are looked at.
func (d *Device) nearest(members []int) map[int]int {
	var placed, loose []int
	for _, i := range members {
		if d.Parts[i].Spot.Placed {
			placed = append(placed, i)
		} else {
			loose = append(loose, i)
		}
	}
	found := make(map[int]int, len(members))
	for k, i := range loose {
		if k > 0 {
			found[i] = loose[k-1]
		} else if len(loose) > 1 {
			found[i] = loose[1]
		}
	}
	along := d.longAxis(placed)
	sorted := slices.Clone(placed)
	slices.SortStableFunc(sorted, func(i, j int) int { return cmp.Compare(along(i), along(j)) })
	for k, i := range sorted {
		best, far := None, math.Inf(1)
		try := func(j int) (more bool) {
			if math.Abs(along(j)-along(i)) > far {
				return false
			}
			away := d.Parts[i].Spot.away(d.Parts[j].Spot)
			if away < far || away == far && j < best {
				best, far = j, away
			}
			return true
		}
		for l := k - 1; l >= 0 && try(sorted[l]); l-- {
		}
		for l := k + 1; l < len(sorted) && try(sorted[l]); l++ {
		}
		if best != None && !math.IsInf(far, 1) {
			found[i] = best
		}
	}
	return found
}

// longAxis is where parts lie along the axis along which they are spread more.
func (d *Device) longAxis(parts []int) (along func(part int) float64) {
	x := func(i int) float64 { return d.Parts[i].Spot.X }
	y := func(i int) float64 { return d.Parts[i].Spot.Y }
	spread := func(along func(int) float64) float64 {
		low, high := math.Inf(1), math.Inf(-1)
		for _, i := range parts {
			low, high = min(low, along(i)), max(high, along(i))
		}
		return high - low
	}
	if spread(y) > spread(x) {
		return y
	}
	return x
}

// away is how far two spots are from each other in mm, if they are on one side of
// one board; else it is +Inf.
func (s Spot) away(o Spot) float64 {
	if s.Board != o.Board || s.Side != o.Side || !s.Placed || !o.Placed {
		return math.Inf(1)
	}
	return math.Hypot(s.X-o.X, s.Y-o.Y)
}
