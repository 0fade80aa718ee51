package ipcd356

import (
	"slices"

	"netlore/store/board"
)

// spot is where a pin or a part lies.
type spot struct {
	at   board.Point
	side board.Side
}

func (b *builder) spot(at int32) spot {
	p := &b.pins.all[at]
	return spot{b.units.point(p.x, p.y), b.layers.side(p.access, p.through)}
}

// far is the square distance between two spots, with a large addition for
// opposite sides of the board.
func far(a, b spot) int64 {
	dx, dy := int64(a.at.X)-int64(b.at.X), int64(a.at.Y)-int64(b.at.Y)
	d := dx*dx + dy*dy
	if a.side != b.side && isFace(a.side) && isFace(b.side) {
		d += 1 << 56
	}
	return d
}

func isFace(s board.Side) bool { return s == board.Top || s == board.Bottom }

// chains groups the records of one name by pin.
func (b *builder) chains(records []int32) [][]int {
	index := map[symbol]int{}
	var chains [][]int
	for i, at := range records {
		name := b.pins.all[at].name
		n, ok := index[name]
		if !ok {
			n = len(chains)
			index[name] = n
			chains = append(chains, nil)
		}
		chains[n] = append(chains[n], i)
	}
	return chains
}

// divide gives each record to one of several places: the records of one pin go
// to different places where there are enough, at the least sum of square
// distances.
func (b *builder) divide(records []int32, seeds []spot) []int {
	group := make([]int, len(records))
	for _, chain := range b.chains(records) {
		spots := make([]spot, len(chain))
		for n, i := range chain {
			spots[n] = b.spot(records[i])
		}
		for n, g := range pair(spots, seeds) {
			group[chain[n]] = g
		}
	}
	return group
}

// exactly is the most places among which spots are shared out at the least
// sum. Beyond it, every spot goes to the nearest.
const exactly = 32

// pair gives each spot a seed. No seed is given twice unless there are more
// spots than seeds, or very many.
//
// Square distances make this right for parts of one kind: for pins shifted
// alike from their parts' places, the least sum is reached where each pin goes
// to its own part, however near the next one is.
func pair(spots, seeds []spot) []int {
	if len(spots) <= len(seeds) && len(seeds) <= exactly {
		return newMatching(spots, seeds).solve()
	}
	nearest := make([]int, len(spots))
	for i, s := range spots {
		nearest[i] = nearestOf(s, seeds)
	}
	return nearest
}

func nearestOf(s spot, seeds []spot) int {
	best := 0
	for g := range seeds {
		if far(s, seeds[g]) < far(s, seeds[best]) {
			best = g
		}
	}
	return best
}

// apart looks whether the records of one name are of several parts, and
// returns the group of each record, or nil if they are of one. Evidence is a
// pin at several places on several nets; for names that may be cut, also on
// both sides.
func (b *builder) apart(name string, records []int32) []int {
	if !b.repeats(records[0]) {
		return nil
	}
	chains := b.chains(records)
	var seeds []spot
	for _, chain := range chains {
		if s := b.evidence(name, records, chain); len(s) > len(seeds) {
			seeds = s
		}
	}
	if len(seeds) < 2 {
		return nil
	}
	group := b.divide(records, seeds)
	if !b.believable(records, chains, group, len(seeds)) {
		return nil
	}
	return group
}

// repeats reports whether any pin of a name has several records. It takes the
// first record of the name.
func (b *builder) repeats(at int32) bool {
	for ; at != 0; at = b.pins.all[at].nextOfRef {
		if b.pins.all[at].next != 0 {
			return true
		}
	}
	return false
}

// evidence returns places of one pin that cannot be of one part.
func (b *builder) evidence(name string, records []int32, chain []int) []spot {
	type mark struct {
		net  board.NetID
		side board.Side
	}
	var marks []mark
	var seeds []spot
	for _, i := range chain {
		p := &b.pins.all[records[i]]
		s := b.spot(records[i])
		m := mark{net: b.net(p.net)}
		if len(name) == cutAt && isFace(s.side) {
			m.side = s.side
		}
		if m.net == board.None || slices.Contains(marks, m) ||
			slices.ContainsFunc(seeds, func(t spot) bool { return t.at == s.at }) {
			continue
		}
		marks, seeds = append(marks, m), append(seeds, s)
	}
	return seeds
}

// believable checks a division: no part has a pin on two nets, and each part
// has only pins that the largest one has too. Otherwise the doubled pin is
// rather a fault of one part, which must not be torn in two.
func (b *builder) believable(records []int32, chains [][]int, group []int, parts int) bool {
	has := make([]int, parts) // pins of each part
	in := make([][]bool, len(chains))
	for c, chain := range chains {
		in[c] = make([]bool, parts)
		net := make([]board.NetID, parts)
		for _, i := range chain {
			g, n := group[i], b.net(b.pins.all[records[i]].net)
			if in[c][g] && net[g] != n && net[g] != board.None && n != board.None {
				return false
			}
			if !in[c][g] {
				has[g]++
			}
			in[c][g], net[g] = true, max(net[g], n)
		}
	}
	largest := slices.Index(has, slices.Max(has))
	for _, c := range in {
		if slices.Contains(c, true) && !c[largest] {
			return false
		}
	}
	return true
}

// box is the smallest upright box round some spots.
type box struct {
	low, high board.Point
	side      board.Side
	any       bool
}

func (x *box) add(s spot) {
	if !x.any {
		*x = box{low: s.at, high: s.at, side: s.side, any: true}
		return
	}
	x.low = board.Point{X: min(x.low.X, s.at.X), Y: min(x.low.Y, s.at.Y)}
	x.high = board.Point{X: max(x.high.X, s.at.X), Y: max(x.high.Y, s.at.Y)}
	if x.side != s.side {
		x.side = board.SideUnknown
	}
}

func (x *box) centre() spot {
	return spot{board.Point{X: mean(x.low.X, x.high.X), Y: mean(x.low.Y, x.high.Y)}, x.side}
}

func mean(a, b int32) int32 { return int32((int64(a) + int64(b)) / 2) }
