package exchange

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"netlore/store/board"
)

// Vote is the value that a shop expects at a place, in one mode.
type Vote struct {
	Shop Key
	board.Expected
}

const (
	// LeastShops is how many shops must agree before a value of others is used that
	// no shop alone would be believed on.
	LeastShops = 3
	// farOff is beyond how many deviations a value is no longer one of those that
	// agree; and leastDeviation, as a share of the value, is what meters differ by
	// anyhow (common practice, no source).
	farOff         = 5
	leastDeviation = 0.01
	// madToSigma makes of the median absolute deviation the standard deviation of a
	// normal distribution: 1/Φ⁻¹(3/4).
	madToSigma = 1.4826
)

// Agree finds the value that shops agree on at one place and in one mode: the
// median of them, each shop having one vote. A minority, whatever it says, cannot
// move it beyond what the others say, nor make the tolerance wider than their own
// spread calls for. It reports false if there are not three shops that agree. Off
// are the votes that are too far from the median to be of one mind with it.
func Agree(votes []Vote) (agreed board.Expected, off []Vote, ok bool) {
	one := onePerShop(votes)
	open, values := apart(one)
	if len(open) > len(values) {
		agreed = open[0].Expected
		agreed.Text = fmt.Sprintf("%d shops agree", len(open))
		return agreed, values, len(open) >= LeastShops
	}
	if len(values) < LeastShops {
		return board.Expected{}, nil, false
	}
	centre, spread := centreOf(values)
	var same []Vote
	for _, v := range values {
		if math.Abs(v.Value.Float()-centre) > farOff*spread {
			off = append(off, v)
		} else {
			same = append(same, v)
		}
	}
	off = append(off, open...)
	if len(same) < LeastShops {
		return board.Expected{}, off, false
	}
	agreed, ok = middle(same)
	return agreed, off, ok
}

// onePerShop is the middle vote of each shop, in order of the values.
func onePerShop(votes []Vote) []Vote {
	byShop := map[Key][]Vote{}
	var shops []Key
	for _, v := range votes {
		if byShop[v.Shop] == nil {
			shops = append(shops, v.Shop)
		}
		byShop[v.Shop] = append(byShop[v.Shop], v)
	}
	var one []Vote
	for _, s := range shops {
		own := byShop[s]
		slices.SortFunc(own, compareVotes)
		one = append(one, own[(len(own)-1)/2])
	}
	slices.SortFunc(one, compareVotes)
	return one
}

// compareVotes orders votes by what they say alone, then by the shop, so that
// their order does not matter.
func compareVotes(a, b Vote) int {
	return cmp.Or(cmp.Compare(a.Value.Float(), b.Value.Float()), cmp.Compare(a.Value.String(), b.Value.String()),
		cmp.Compare(a.Within.String(), b.Within.String()), slices.Compare(a.Shop[:], b.Shop[:]))
}

// apart parts votes for open from those for a value. Of values in different units
// only those in the unit of the middle one can agree.
func apart(votes []Vote) (open, values []Vote) {
	for _, v := range votes {
		if v.Open {
			open = append(open, v)
		} else if v.Value.Known() {
			values = append(values, v)
		}
	}
	if len(values) > 0 {
		unit := values[(len(values)-1)/2].Value
		values = slices.DeleteFunc(values, func(v Vote) bool { return !v.Value.SameUnit(unit) })
	}
	return open, values
}

// centreOf is the median of values in order, and their deviation from it, which is
// not below what meters differ by.
func centreOf(values []Vote) (centre, spread float64) {
	centre = values[(len(values)-1)/2].Value.Float()
	far := make([]float64, len(values))
	for i, v := range values {
		far[i] = math.Abs(v.Value.Float() - centre)
	}
	slices.Sort(far)
	return centre, max(madToSigma*far[len(far)/2], leastDeviation*math.Abs(centre))
}

// middle is the median of votes that agree, with a tolerance that is as wide as
// their spread or as the middle one of their tolerances.
func middle(same []Vote) (board.Expected, bool) {
	centre, spread := centreOf(same)
	if centre == 0 {
		return board.Expected{}, false
	}
	widths := make([]float64, len(same))
	for i, v := range same {
		widths[i] = width(&v.Expected)
	}
	slices.Sort(widths)
	share := max(3*spread/math.Abs(centre), widths[(len(widths)-1)/2])
	within, err := board.ParseTolerance(fmt.Sprintf("±%d%%", int(math.Ceil(100*share-1e-9))))
	if err != nil {
		return board.Expected{}, false
	}
	m := same[(len(same)-1)/2].Expected
	return board.Expected{Mode: m.Mode, On: m.On, Value: m.Value, Within: within,
		Text: fmt.Sprintf("median of %d shops, %s to %s", len(same), same[0].Value, same[len(same)-1].Value)}, true
}

// width is how far above its value an expected value reaches, as a share of it.
func width(e *board.Expected) float64 {
	_, high, ok := e.Within.Bounds(e.Value)
	if !ok || e.Value.Float() == 0 {
		return 0
	}
	return math.Abs(high.Float()/e.Value.Float() - 1)
}
