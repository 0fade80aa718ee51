package run

import (
	"maps"
	"math/big"
	"slices"

	"netlore/query/check"
	"netlore/query/value"
	"netlore/store/board"
)

// combine puts numbers of one measure together. Of no numbers the total is 0,
// all else is none.
func combine(what check.Aggregate, numbers []value.Value) value.Value {
	if len(numbers) == 0 {
		if what.Kind == check.Total {
			return zero(what.Field.Unit)
		}
		return value.Nothing()
	}
	sorted := slices.Clone(numbers)
	slices.SortFunc(sorted, value.Compare)
	last := len(sorted) - 1
	switch what.Kind {
	case check.Least:
		return sorted[0]
	case check.Greatest:
		return sorted[last]
	case check.Parallel:
		return parallel(numbers)
	case check.Median:
		return mean([]value.Value{sorted[last/2], sorted[(last+1)/2]}, exactDigits)
	case check.Mean:
		return mean(numbers, meanDigits)
	}
	return ofRat(sum(numbers), unit(numbers[0]), exactDigits)
}

// How many digits of a result count. A mean is not exact as a rule.
const (
	exactDigits = 18
	meanDigits  = 6
)

// parallel is what resistances or inductances come to that lie side by side:
// the inverse of the sum of the inverses. Capacitances add up, and nothing else
// has a parallel.
func parallel(numbers []value.Value) value.Value {
	u := unit(numbers[0])
	switch u {
	case board.Farad:
		return ofRat(sum(numbers), u, exactDigits)
	case board.Ohm, board.Henry:
	default:
		return value.Value{}
	}
	inverses := new(big.Rat)
	for _, v := range numbers {
		x := sum([]value.Value{v})
		if x.Sign() == 0 {
			return zero(u)
		}
		inverses.Add(inverses, x.Inv(x))
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

func unit(v value.Value) board.Unit {
	q, _ := v.Quantity()
	return q.Unit
}

func mean(numbers []value.Value, digits int) value.Value {
	total := sum(numbers)
	return ofRat(total.Quo(total, big.NewRat(int64(len(numbers)), 1)), unit(numbers[0]), digits)
}

func sum(numbers []value.Value) *big.Rat {
	total := new(big.Rat)
	for _, v := range numbers {
		q, _ := v.Quantity()
		total.Add(total, new(big.Rat).Mul(new(big.Rat).SetInt64(q.Coef), tenTo(int(q.Exp))))
	}
	return total
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
func (g *group) measures() [][]value.Value {
	byUnit := map[board.Unit][]value.Value{}
	for _, v := range g.numbers {
		byUnit[unit(v)] = append(byUnit[unit(v)], v)
	}
	if len(byUnit) == 0 {
		return [][]value.Value{nil}
	}
	var all [][]value.Value
	for _, u := range slices.Sorted(maps.Keys(byUnit)) {
		all = append(all, byUnit[u])
	}
	return all
}
