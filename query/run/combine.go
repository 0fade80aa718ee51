package run

import (
	"maps"
	"math/big"
	"slices"

	"netlore/query/check"
	"netlore/query/value"
	"netlore/store/board"
)

// numbers are those of one measure, each with how often it comes up, the least
// first.
type numbers []counted

type counted struct {
	value.Value
	times int
}

// count is how many there are.
func (all numbers) count() int {
	n := 0
	for _, x := range all {
		n += x.times
	}
	return n
}

// combine puts the numbers together. Of no numbers the total is 0, all else is
// none.
func (all numbers) combine(what check.Aggregate) value.Value {
	if len(all) == 0 {
		if what.Kind == check.Total {
			return zero(what.Field.Unit)
		}
		return value.Nothing()
	}
	switch what.Kind {
	case check.Least:
		return all[0].Value
	case check.Greatest:
		return all[len(all)-1].Value
	case check.Parallel:
		return all.parallel()
	case check.Median:
		last := all.count() - 1
		return numbers{{all.at(last / 2), 1}, {all.at((last + 1) / 2), 1}}.mean(exactDigits)
	case check.Mean:
		return all.mean(meanDigits)
	}
	return ofRat(all.sum(), all.unit(), exactDigits)
}

// at is the number at a place in order.
func (all numbers) at(i int) value.Value {
	for _, x := range all {
		if i -= x.times; i < 0 {
			return x.Value
		}
	}
	return value.Value{}
}

// How many digits of a result count. A mean is not exact as a rule.
const (
	exactDigits = 18
	meanDigits  = 6
)

// parallel is what resistances or inductances come to that lie side by side:
// the inverse of the sum of the inverses. Capacitances add up, and nothing else
// has a parallel.
func (all numbers) parallel() value.Value {
	u := all.unit()
	switch u {
	case board.Farad:
		return ofRat(all.sum(), u, exactDigits)
	case board.Ohm, board.Henry:
	default:
		return value.Value{}
	}
	inverses := new(big.Rat)
	for _, x := range all {
		r := ratOf(x.Value)
		if r.Sign() == 0 {
			return zero(u)
		}
		inverses.Add(inverses, r.Mul(r.Inv(r), big.NewRat(int64(x.times), 1)))
	}
	if inverses.Sign() == 0 {
		return value.Value{}
	}
	return ofRat(inverses.Inv(inverses), u, meanDigits)
}

func zero(u board.Unit) value.Value {
	if u == board.NoUnit {
		u = board.One
	}
	return value.OfQuantity(board.Quantity{Unit: u})
}

func (all numbers) unit() board.Unit { return unit(all[0].Value) }

func unit(v value.Value) board.Unit {
	q, _ := v.Quantity()
	return q.Unit
}

func (all numbers) mean(digits int) value.Value {
	total := all.sum()
	return ofRat(total.Quo(total, big.NewRat(int64(all.count()), 1)), all.unit(), digits)
}

func (all numbers) sum() *big.Rat {
	total := new(big.Rat)
	for _, x := range all {
		total.Add(total, new(big.Rat).Mul(ratOf(x.Value), big.NewRat(int64(x.times), 1)))
	}
	return total
}

func ratOf(v value.Value) *big.Rat {
	q, _ := v.Quantity()
	return new(big.Rat).Mul(new(big.Rat).SetInt64(q.Coef), tenTo(int(q.Exp)))
}

// tenTo is a power of ten.
func tenTo(n int) *big.Rat {
	power := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(max(n, -n))), nil)
	if n < 0 {
		return new(big.Rat).SetFrac(big.NewInt(1), power)
	}
	return new(big.Rat).SetInt(power)
}

// ofRat is a number rounded to so many digits that count, halves away from
// zero. It is not known if it is larger than a quantity can be.
func ofRat(r *big.Rat, u board.Unit, digits int) value.Value {
	if r.Sign() == 0 {
		return zero(u)
	}
	exp := firstDigit(r) - digits + 1
	coef := roundedAway(new(big.Rat).Mul(r, tenTo(-exp)))
	q, ok := board.NewQuantity(coef, exp, u)
	if !ok {
		return value.Value{}
	}
	return value.OfQuantity(q)
}

// firstDigit is the power of ten of the first digit of a number.
func firstDigit(r *big.Rat) int {
	size, top := new(big.Rat).Abs(r), 0
	for ; size.Cmp(tenTo(top+1)) >= 0; top++ {
	}
	for ; size.Cmp(tenTo(top)) < 0; top-- {
	}
	return top
}

func roundedAway(r *big.Rat) int64 {
	half := big.NewRat(int64(r.Sign()), 2)
	r = new(big.Rat).Add(r, half)
	return new(big.Int).Quo(r.Num(), r.Denom()).Int64()
}

// measures are the numbers of a group, apart by their units, in order of unit.
// There is one, empty, if there are none.
func (g *group) measures() []numbers {
	byUnit := map[board.Unit]numbers{}
	for _, v := range slices.SortedFunc(maps.Keys(g.numbers), value.Compare) {
		byUnit[unit(v)] = append(byUnit[unit(v)], counted{v, g.numbers[v]})
	}
	if len(byUnit) == 0 {
		return []numbers{nil}
	}
	var all []numbers
	for _, u := range slices.Sorted(maps.Keys(byUnit)) {
		all = append(all, byUnit[u])
	}
	return all
}
