package value

import (
	"cmp"

	"netlore/store/board"
)

// Compare orders values: it returns -1, 0 or +1, and 0 only for values that
// show the same. Names and texts are in natural order, quantities by size
// within their unit, words in the order of their list. Values of different
// kinds are in the order of kinds, but none comes after all of them and unknown
// comes last.
func Compare(a, b Value) int {
	if c := cmp.Compare(a.class(), b.class()); c != 0 {
		return c
	}
	switch a.kind {
	case Text:
		return board.CompareNatural(a.text, b.text)
	case Name:
		return cmp.Or(board.CompareNatural(a.Raw(), b.Raw()), board.CompareNatural(a.text, b.text))
	case Quantity:
		return compareQuantities(a.quantity(), b.quantity())
	case List:
		return compareLists(a.more.list, b.more.list)
	}
	return cmp.Or(cmp.Compare(a.low, b.low), cmp.Compare(a.top(), b.top()), cmp.Compare(a.text, b.text))
}

// CompareDown is Compare the other way round, but with none and unknown last
// all the same.
func CompareDown(a, b Value) int {
	if a.Missing() || b.Missing() {
		return Compare(a, b)
	}
	return Compare(b, a)
}

// class is the place of the value's kind in the order of kinds.
func (v Value) class() int {
	switch v.kind {
	case None:
		return int(List) + 1
	case Unknown:
		return int(List) + 2
	}
	return int(v.kind)
}

func compareQuantities(a, b board.Quantity) int {
	if !a.SameUnit(b) {
		return cmp.Compare(a.Unit, b.Unit)
	}
	return a.Compare(b)
}

func compareLists(a, b []Value) int {
	for i := range min(len(a), len(b)) {
		if c := Compare(a[i], b[i]); c != 0 {
			return c
		}
	}
	return cmp.Compare(len(a), len(b))
}
