package sheet

import (
	"errors"
	"math"
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

// torn complains of a quantity or size that a blank or a comma parts from its
// unit or decimals, as in "10 uF" and "4,7uF", and leaves the second word out.
// It returns nil if the two words make no quantity together.
func (c *cursor) torn(first, second token) *problem {
	s, rest, between := c.f.tokenText(first), c.f.tokenText(second), ""
	if first.marks&comma != 0 {
		between = "."
	}
	if p := c.tornSize(first); p != nil {
		return p
	}
	if (first.marks|second.marks)&quoted != 0 || !isDigit(s[len(s)-1]) || isDigit(rest[0]) != (between == ".") {
		return nil
	}
	joined := s + between + rest
	if likely := likelySpelling(joined); likely != "" && !c.measures(joined) && len(rest) > 2 {
		joined = likely
	}
	if _, isWord := c.form.lookup.find(rest); isWord || !c.measures(joined) {
		return nil
	}
	c.i++
	p := c.fault(first, "S206", "there is a blank in "+diag.Quote(s+" "+rest), "did you mean "+joined+"?")
	if between == "." {
		p.Message = "there is a comma in " + diag.Quote(s+","+rest) + "; the decimal mark is the point"
	}
	p.Range.End = int(second.start) + int(second.size)
	p.Edits = []diag.Edit{{Range: p.Range, New: joined}}
	return p
}

// likelySpelling is a quantity whose unit is written in full, in the way of
// sheets: 12minutes is 12min.
func likelySpelling(s string) string {
	var q *board.QuantityError
	if _, err := board.ParseQuantity(s, board.NoUnit); errors.As(err, &q) {
		return q.Likely
	}
	return ""
}

// tornSize complains of a size in several words, as in "5 x 3 mm", and leaves
// them out. The cursor is after the first.
func (c *cursor) tornSize(first token) *problem {
	joined, best := c.f.tokenText(first), 0
	for i := c.i; i < min(len(c.toks), c.i+3) && (c.toks[i-1].marks|c.toks[i].marks)&(comma|quoted) == 0; i++ {
		if joined += c.f.tokenText(c.toks[i]); looksLikeSize(joined) && len(likelySize(joined)) > 0 {
			best = i
		}
	}
	if best == 0 {
		return nil
	}
	c.i = best + 1
	last := c.toks[best]
	at := diag.Range{Start: int(first.start), End: int(last.start) + int(last.size)}
	text := c.f.text[at.Start:at.End]
	p := &problem{Code: "S206", Range: at, Message: "there is a blank in " + diag.Quote(text), Help: likelySize(strings.ReplaceAll(text, " ", ""))}
	p.Edits = editOf(*p)
	return p
}

// measures reports whether s is a quantity or a size.
func (c *cursor) measures(s string) bool {
	if _, ok := board.QuantityOf(s, board.NoUnit); ok {
		return true
	}
	_, ok := board.QuantityOf(s, c.form.unitOf(c))
	return ok || len(likelySize(s)) > 0
}

// parted is torn for a number that has just been taken.
func (c *cursor) parted(t token) *problem {
	next, ok := c.peek()
	if !ok || t.marks&comma != 0 && next.start != t.start+uint32(t.size)+1 {
		return nil
	}
	return c.torn(t, next)
}

// unitOf is the unit that a number without one has in this line.
func (f *form) unitOf(c *cursor) board.Unit {
	if f.likely == nil {
		return board.NoUnit
	}
	return f.likely(c)
}

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
			return firstProblem(c.parted(t), c.quantityFault(t, "S206", err))
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

// readDiameter reads the diameter of an outline, whose radius is kept in whole
// micrometres.
func readDiameter(c *cursor, a *attribute, v *value) *problem {
	p := readLength(c, a, v)
	if v.number&1 == 1 && v.number < math.MaxInt32 {
		v.number++
	}
	return p
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
	if hasUnit && ok1 && ok2 {
		return nil
	}
	if p := c.parted(t); p != nil {
		return p
	}
	p := c.fault(t, "S209", diag.Unexpected(s, "", a.expects()))
	p.Help = likelySize(s)
	if p.Edits = editOf(*p); p.Edits == nil && isSizeOfNothing(s) {
		p.Message = diag.Quote(s) + " is no size: width and height are above zero"
	}
	return p
}

// isSizeOfNothing reports whether s would be a size if its numbers were above
// zero.
func isSizeOfNothing(s string) bool {
	w, h, ok := splitSize(s)
	_, ok1 := thousandths(w)
	_, ok2 := thousandths(h)
	return ok && ok1 && ok2
}

// likelySize guesses what size was meant.
func likelySize(s string) []string {
	s = strings.NewReplacer("X", "x", "×", "x", "*", "x").Replace(s)
	w, h, ok := splitSize(strings.TrimSuffix(s, "mm") + "mm")
	if _, ok1 := plainSize(w); !ok || !ok1 {
		return nil
	}
	if _, ok2 := plainSize(h); !ok2 {
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
	if p == nil && a.positive && v.q.Coef < 0 {
		p = c.fault(t, "S208", s+" is below zero; expected "+a.expects())
	}
	return p
}

func (c *cursor) quantity(t token, s string, unit board.Unit) (board.Quantity, *problem) {
	if q, ok := c.memo.parse(s); ok && q.Unit == unit {
		return q, nil
	}
	if q, ok := board.QuantityOf(s, unit); ok {
		return q, nil
	}
	if p := c.parted(t); p != nil {
		return board.Quantity{}, p
	}
	_, err := board.ParseQuantity(s, unit)
	p := c.quantityFault(t, "S206", err)
	if len(p.Help) == 0 && unit != board.NoUnit {
		p.Help = []string{"expected " + exampleOf(unit)}
	}
	return board.Quantity{}, p
}

func printQuantity(dst []byte, a *attribute, v *value, m *memo) []byte { return m.append(dst, v.q) }

func readTolerance(c *cursor, a *attribute, v *value) *problem {
	t, s, ok := c.takeBare()
	if !ok {
		return c.missing(a)
	}
	var err error
	if v.within, err = c.memo.tolerance(plusMinus(s)); err != nil {
		return c.noTolerance(t, s, err)
	}
	return nil
}

func (c *cursor) noTolerance(t token, s string, err error) *problem {
	p := c.quantityFault(t, "S210", err)
	if next, ok := c.peek(); ok {
		joined := s + c.f.tokenText(next)
		if _, err := board.ParseTolerance(joined); err == nil {
			c.i++
			p.Message, p.Help = "there is a blank in "+diag.Quote(s+" "+c.f.tokenText(next)), []string{"did you mean " + joined + "?"}
			p.Range.End = int(next.start) + int(next.size)
			p.Edits = editOf(*p)
			return p
		}
	}
	if _, err := board.ParseTolerance(s + "%"); err == nil {
		p.Help = []string{"write " + s + "%, or the unit of the value after the number"}
	}
	return p
}

// plusMinus is a tolerance with the sign that may be left out before per cent.
func plusMinus(s string) string {
	if s[len(s)-1] == '%' && (isDigit(s[0]) || s[0] == '.') {
		return "±" + s
	}
	return s
}

func printTolerance(dst []byte, a *attribute, v *value, m *memo) []byte {
	return append(dst, m.toleranceText(v.within)...)
}
