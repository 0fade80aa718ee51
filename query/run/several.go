package run

import "netlore/query/value"

// several collects the values of one cell. Most cells have one, which needs no
// list.
type several struct {
	n    int
	one  value.Value
	list []value.Value
}

func (s *several) add(v value.Value) {
	switch s.n++; s.n {
	case 1:
		s.one = v
	case 2:
		s.list = append(s.list, s.one, v)
	default:
		s.list = append(s.list, v)
	}
}

// value is what was added: none, the one, or a list.
func (s *several) value() value.Value {
	if s.n == 1 {
		return s.one
	}
	return value.OfList(s.list)
}
