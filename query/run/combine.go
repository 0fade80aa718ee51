package run

import (
	"math/big"
	"slices"

	"netlore/query/check"
	"netlore/query/value"
	"netlore/store/board"
)

// tally is a number and how often there is one. Boards have few different
// values: millions of capacitors come to some hundred.
type tally struct {
	value.Value
	n int
}

// combine puts numbers of one measure together, which are sorted. Of no numbers
// the total is 0, all else is none.
func combine(what check.Aggregate, numbers []tally) value.Value {
	if len(numbers) == 0 {
		if what.Kind == check.Total {
			return zero(what.Field.Unit)
		}
		return value.Nothing()
	}
	switch what.Kind {
	case check.Least:
		return numbers[0].Value
	case check.Greatest:
		return numbers[len(numbers)-1].Value
	case check.Parallel:
		return parallel(numbers)
	case check.Median:
		last := howMany(numbers) - 1
		return mean([]tally{{nth(numbers, last/2), 1}, {nth(numbers, (last+1)/2), 1}}, exactDigits)
	case check.Mean:
		return mean(numbers, meanDigits)
	}
	return ofRat(sum(numbers), unit(numbers[0].Value), exactDigits)
}

// howMany is how many numbers there are.
func howMany(numbers []tally) int {
	n := 0
	for _, t := range numbers {
		n += t.n
	}
	return n
}

// nth is the number at a place, from 0.
func nth(numbers []tally, place int) value.Value {
	for _, t := range numbers {
		if place -= t.n; place < 0 {
			return t.Value
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
func parallel(numbers []tally) value.Value {
	u := unit(numbers[0].Value)
	switch u {
	case board.Farad:
		return ofRat(sum(numbers), u, exactDigits)
	case board.Ohm, board.Henry:
	default:
		return value.Value{}
	}
	inverses := new(big.Rat)
	for _, t := range numbers {
		x := sum([]tally{{t.Value, 1}})
		if x.Sign() == 0 {
			return zero(u)
		}
		inverses.Add(inverses, x.Quo(big.NewRat(int64(t.n), 1), x))
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

func mean(numbers []tally, digits int) value.Value {
	total := sum(numbers)
	return ofRat(total.Quo(total, big.NewRat(int64(howMany(numbers)), 1)), unit(numbers[0].Value), digits)
}

func sum(numbers []tally) *big.Rat {
	total := new(big.Rat)
	for _, t := range numbers {
		q, _ := t.Quantity()
		all := new(big.Int).Mul(big.NewInt(q.Coef), big.NewInt(int64(t.n)))
		total.Add(total, new(big.Rat).Mul(new(big.Rat).SetInt(all), tenTo(int(q.Exp))))
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

// measures are the numbers of a group, sorted, apart by their units in order of
// unit. There is one, empty, if there are none.
func (g *group) measures() [][]tally {
	if len(g.numbers) == 0 {
		return [][]tally{nil}
	}
	var sorted []tally
	for v, n := range g.numbers {
		sorted = append(sorted, tally{v, n})
	}
	slices.SortFunc(sorted, func(a, b tally) int { return value.Compare(a.Value, b.Value) })
	var all [][]tally
	for first, i := 0, 1; i <= len(sorted); i++ {
		if i == len(sorted) || unit(sorted[i].Value) != unit(sorted[first].Value) {
			all = append(all, sorted[first:i])
			first = i
		}
	}
	return all
}
