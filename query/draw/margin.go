package draw

import (
	"cmp"
	"slices"
)

// margins puts labels into the margins left and right of a view w wide and h high, and returns
// those for which there is no room.
func margins(labels []*label, w, h float64) (over []*label) {
	room := max(int(h/labelHeight), 1)
	if len(labels) > 2*room {
		labels, over = labels[:2*room], labels[2*room:]
	}
	byX := slices.Clone(labels)
	slices.SortStableFunc(byX, func(a, b *label) int { return cmp.Compare(a.of.x0+a.of.x1, b.of.x0+b.of.x1) })
	lefts, _ := slices.BinarySearchFunc(byX, w, func(l *label, w float64) int { return cmp.Compare(l.of.x0+l.of.x1, w) })
	lefts = min(max(lefts, len(byX)-room), room)
	margin(byX[:lefts], h, -1, func(l *label) float64 { return -marginGap - l.w }, -marginGap)
	margin(byX[lefts:], h, 1, func(*label) float64 { return w + marginGap }, w+marginGap)
	return over
}

// marginGap is how far from the board names in the margin stand.
const marginGap = 18.0

// margin puts labels into one margin. Lines end at x, and toward is -1 in the left one.
func margin(labels []*label, h, toward float64, left func(*label) float64, x float64) {
	free := slices.Clone(labels)
	for _, y := range slices.Backward(heights(labels, h)) {
		best := 0
		for i := 1; i < len(free); i++ {
			if firstHit(free[i], free[best], x, y, toward) {
				best = i
			}
		}
		l := free[best]
		free = slices.Delete(free, best, best+1)
		mx, my := l.of.middle()
		l.line, l.to = true, segment{mx, my, x, y}
		l.at = box{left(l), y - labelHeight/2, left(l) + l.w, y + labelHeight/2}
	}
}

// firstHit reports whether a ray from a place in the margin that turns up from
// straight down meets the middle of a before that of b, or both at once and a nearer.
func firstHit(a, b *label, x, y, toward float64) bool {
	ax, ay := a.of.middle()
	bx, by := b.of.middle()
	ax, bx = (x-ax)*toward, (x-bx)*toward // both above 0: how far away
	ay, by = ay-y, by-y
	if turn := ay*bx - by*ax; turn != 0 {
		return turn > 0
	}
	return ax < bx
}

// heights are where the labels of a margin stand, from the top: as near to what they name as
// least squares allow, one label apart, within the height of the view.
func heights(labels []*label, h float64) []float64 {
	want := make([]float64, len(labels))
	for i, l := range labels {
		_, want[i] = l.of.middle()
	}
	slices.Sort(want)
	// Less i heights, what must be a label apart need only be in order.
	type pool struct {
		sum float64
		n   int
	}
	var pools []pool
	for i, y := range want {
		pools = append(pools, pool{y - float64(i)*labelHeight, 1})
		for k := len(pools) - 1; k > 0 && pools[k-1].sum*float64(pools[k].n) > pools[k].sum*float64(pools[k-1].n); k-- {
			pools[k-1].sum += pools[k].sum
			pools[k-1].n += pools[k].n
			pools = pools[:k]
		}
	}
	at := want[:0]
	most := h - labelHeight/2 - float64(len(labels)-1)*labelHeight
	for _, p := range pools {
		base := max(min(p.sum/float64(p.n), most), labelHeight/2)
		for range p.n {
			at = append(at, base+float64(len(at))*labelHeight)
		}
	}
	return at
}
