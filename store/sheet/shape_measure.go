package sheet

import (
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

// readLength reads a length with its unit.
func readLength(c *cursor, a *attribute, v *value) *problem {
	t, s, ok := c.takeBare()
	if !ok {
		return c.missing(a)
	}
	if um, ok := thousandths(strings.TrimSuffix(s, "mm")); ok && strings.HasSuffix(s, "mm") {
		v.number = um
	} else {
		q, err := board.ParseQuantity(s, board.Metre)
		if err != nil {
			return c.quantityFault(t, "S206", err)
		}
		if v.number, ok = board.Micrometres(q); !ok {
			return c.fault(t, "S208", diag.Quote(s)+" is beyond any board")
		}
	}
	if v.number <= 0 {
		return c.fault(t, "S208", diag.Quote(s)+" is not above zero; expected "+a.expects())
	}
	return nil
}

func printLength(dst []byte, a *attribute, v *value, m *memo) []byte {
	return append(appendThousandths(dst, v.number), "mm"...)
}

// angle reads degrees into millidegrees of one turn, 0 up to below 360.
func angle(s string) (int32, bool) {
	s = strings.TrimSuffix(strings.TrimSuffix(s, "deg"), "°")
	m, ok := thousandths(s)
	const turn = 360_000
	return ((m % turn) + turn) % turn, ok
}

// readPoint reads X,Y.
func readPoint(c *cursor, a *attribute, v *value) *problem {
	t, x, ok := c.takeBare()
	if !ok {
		return c.missing(a)
	}
	px, okX := millimetres(x)
	if !okX {
		return c.fault(t, "S208", diag.Unexpected(x, "", a.expects()))
	}
	if t.marks&comma == 0 {
		return c.fault(t, "S208", diag.Quote(x)+" has no second number; expected "+a.expects())
	}
	t, _ = c.take()
	y := c.f.tokenText(t)
	py, okY := millimetres(y)
	if !okY {
		return c.fault(t, "S208", diag.Unexpected(y, "", a.expects()))
	}
	if t.marks&comma != 0 {
		return c.fault(t, "S208", "a place has two numbers, and a comma goes on after the second")
	}
	v.points = append(v.points, board.Point{X: px, Y: py})
	return nil
}

// readBox reads two opposite corners, and puts the lower left one first.
func readBox(c *cursor, a *attribute, v *value) *problem {
	first := c.i
	for range 2 {
		if p := readPoint(c, a, v); p != nil {
			return p
		}
	}
	b := board.Box(v.points[0], v.points[1])
	v.points[0], v.points[1] = b.Points[0], b.Points[2]
	if v.points[0].X == v.points[1].X || v.points[0].Y == v.points[1].Y {
		return c.fault(c.toks[first], "S208", "the two corners make no box: they share a coordinate")
	}
	return nil
}

// readPath reads places up to the next word of the form.
func readPath(c *cursor, a *attribute, v *value) *problem {
	first := c.i
	for c.i == first || c.atNumber() {
		if p := readPoint(c, a, v); p != nil {
			return p
		}
	}
	if n := len(v.points); n < a.least {
		return c.fault(c.toks[first], "S208", "there are too few places; expected "+a.expects())
	}
	return nil
}

// atNumber reports whether the next token can only be one of a place: a
// number with a comma after it.
func (c *cursor) atNumber() bool {
	t, ok := c.peek()
	if !ok || t.marks&quoted != 0 {
		return false
	}
	s := c.f.tokenText(t)
	return t.marks&comma != 0 || isDigit(s[0]) || s[0] == '-'
}

func printPoints(dst []byte, a *attribute, v *value, m *memo) []byte {
	for i, p := range v.points {
		if i > 0 {
			dst = append(dst, ' ')
		}
		dst = appendPoint(dst, p)
	}
	return dst
}

func appendPoint(dst []byte, p board.Point) []byte {
	dst = append(appendThousandths(dst, p.X), ',')
	return appendThousandths(dst, p.Y)
}

// readSize reads WxHmm.
func readSize(c *cursor, a *attribute, v *value) *problem {
	t, s, ok := c.takeBare()
	if !ok {
		return c.missing(a)
	}
	w, h, hasUnit := splitSize(s)
	var ok1, ok2 bool
	v.number, ok1 = plainSize(w)
	v.second, ok2 = plainSize(h)
	if !hasUnit || !ok1 || !ok2 {
		p := c.fault(t, "S209", diag.Unexpected(s, "", a.expects()))
		p.Help = likelySize(s)
		return p
	}
	return nil
}

// likelySize guesses what size was meant.
func likelySize(s string) []string {
	s = strings.NewReplacer("X", "x", "×", "x").Replace(s)
	w, h, ok := splitSize(strings.TrimSuffix(s, "mm") + "mm")
	if _, ok1 := thousandths(w); !ok || !ok1 {
		return nil
	}
	if _, ok2 := thousandths(h); !ok2 {
		return nil
	}
	return []string{"did you mean " + w + "x" + h + "mm?"}
}

func printSize(dst []byte, a *attribute, v *value, m *memo) []byte {
	dst = append(appendThousandths(dst, v.number), 'x')
	return append(appendThousandths(dst, v.second), "mm"...)
}

// readQuantity reads a number with one of the attribute's units.
func readQuantity(c *cursor, a *attribute, v *value) *problem {
	t, s, ok := c.takeBare()
	if !ok {
		return c.missing(a)
	}
	var p *problem
	v.q, p = c.quantity(t, s, a.units[0])
	return p
}

func (c *cursor) quantity(t token, s string, unit board.Unit) (board.Quantity, *problem) {
	if q, ok := c.memo.parse(s); ok && q.Unit == unit {
		return q, nil
	}
	if q, ok := board.QuantityOf(s, unit); ok {
		return q, nil
	}
	_, err := board.ParseQuantity(s, unit)
	return board.Quantity{}, c.quantityFault(t, "S206", err)
}

func printQuantity(dst []byte, a *attribute, v *value, m *memo) []byte { return m.append(dst, v.q) }

func readTolerance(c *cursor, a *attribute, v *value) *problem {
	t, s, ok := c.takeBare()
	if !ok {
		return c.missing(a)
	}
	if last := s[len(s)-1]; last == '%' && (isDigit(s[0]) || s[0] == '.') {
		s = "±" + s
	}
	var err error
	if v.within, err = c.memo.tolerance(s); err != nil {
		return c.quantityFault(t, "S210", err)
	}
	return nil
}

func printTolerance(dst []byte, a *attribute, v *value, m *memo) []byte {
	return append(dst, m.toleranceText(v.within)...)
}
