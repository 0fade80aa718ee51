package sheet

import (
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

// readPoint reads one place, X,Y.
func readPoint(c *cursor, a *attribute, v *value) *problem {
	first := c.i
	if p := c.point(a, v); p != nil {
		return c.loosePlaces(first, a, p)
	}
	return nil
}

// point reads X,Y.
func (c *cursor) point(a *attribute, v *value) *problem {
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
		if p := c.point(a, v); p != nil {
			return c.loosePlaces(first, a, p)
		}
	}
	b := board.Box(v.points[0], v.points[1])
	v.points[0], v.points[1] = b.Points[0], b.Points[2]
	switch {
	case v.points[0].X == v.points[1].X:
		return c.fault(c.toks[first], "S208", "the two corners make no box: both have the same x")
	case v.points[0].Y == v.points[1].Y:
		return c.fault(c.toks[first], "S208", "the two corners make no box: both have the same y")
	}
	return nil
}

// readPath reads places up to the next word of the form.
func readPath(c *cursor, a *attribute, v *value) *problem {
	first := c.i
	for c.i == first || c.atNumber() {
		if p := c.point(a, v); p != nil {
			return c.loosePlaces(first, a, p)
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

// loosePlaces adds to a complaint about places what was probably meant, where
// only the commas and blanks between the numbers are wrong, or there are
// brackets round them. It leaves out all of the numbers.
func (c *cursor) loosePlaces(first int, a *attribute, p *problem) *problem {
	c.i = first
	numbers := c.looseNumbers(a)
	if len(numbers) == 0 {
		c.i = min(first+1, len(c.toks))
		return p
	}
	if !a.takesNumbers(len(numbers)) {
		p.Help = []string{"a place is two numbers with a comma between them; the decimal mark is the point"}
		return p
	}
	likely := placesOf(numbers)
	from, to := c.toks[first], c.toks[c.i-1]
	p.Range = diag.Range{Start: int(from.start), End: int(to.start) + int(to.size)}
	p.Message = diag.Unexpected(c.f.text[p.Range.Start:p.Range.End], "", a.expects())
	p.Help = []string{"did you mean " + likely + "?"}
	p.Edits = []diag.Edit{{Range: p.Range, New: likely}}
	return p
}

// looseNumbers takes the numbers that follow, as many as the attribute can
// have and more only if a comma joins them.
func (c *cursor) looseNumbers(a *attribute) (numbers []string) {
	for c.i < len(c.toks) {
		t := c.toks[c.i]
		s := strings.TrimSuffix(strings.Trim(c.f.tokenText(t), "()[]"), "mm")
		full := a.shape.places > 0 && len(numbers) >= 2*a.shape.places
		if _, ok := thousandths(s); !ok || full && c.toks[c.i-1].marks&comma == 0 {
			break
		}
		numbers = append(numbers, s)
		c.i++
	}
	return numbers
}

// takesNumbers reports whether so many numbers make what the attribute wants.
func (a *attribute) takesNumbers(n int) bool {
	if a.shape.places > 0 {
		return n == 2*a.shape.places
	}
	return n%2 == 0 && n >= 2*a.least
}

// placesOf puts numbers together as places.
func placesOf(numbers []string) string {
	var s strings.Builder
	for i, n := range numbers {
		if i > 0 {
			s.WriteByte(" ,"[i%2])
		}
		s.WriteString(n)
	}
	return s.String()
}

// strayPlace complains of a place without the word that says what is there,
// at or box. It returns nil if there is none.
func (c *cursor) strayPlace(t token) *problem {
	if t.marks&comma == 0 || !c.atPlainNumber() {
		return nil
	}
	first := c.i
	for _, places := range []int{2, 1} {
		a := c.form.withPlaces(places)
		if a == nil {
			continue
		}
		c.i = first
		if numbers := c.looseNumbers(a); a.takesNumbers(len(numbers)) {
			return c.wordless(t, a.word, placesOf(numbers))
		}
	}
	c.i = first
	return nil
}

func (c *cursor) wordless(t token, word, places string) *problem {
	p := c.fault(t, "S208", "no word before the place "+places+" says what is there", "did you mean "+word+" "+places+"?")
	last := c.toks[c.i-1]
	p.Range.End = int(last.start) + int(last.size)
	p.Edits = []diag.Edit{{Range: p.Range, New: word + " " + places}}
	return p
}

// withPlaces returns the first attribute that has so many places, or nil.
func (f *form) withPlaces(n int) *attribute {
	for i := f.lead; i < len(f.attributes); i++ {
		if f.attributes[i].shape.places == n {
			return &f.attributes[i]
		}
	}
	return nil
}

// atPlainNumber reports whether the next token is a number without a unit,
// perhaps with a bracket of a place.
func (c *cursor) atPlainNumber() bool {
	t, ok := c.peek()
	if !ok || t.marks&quoted != 0 {
		return false
	}
	_, plain := thousandths(strings.Trim(c.f.tokenText(t), "()[]"))
	return plain
}
