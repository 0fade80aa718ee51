package sheet

import (
	"errors"
	"strconv"
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

// A shape is how the value of an attribute is written. read takes it from the
// cursor, at the first token after the attribute's word if it has one. print
// writes the value alone, in canonical form.
type shape struct {
	read  func(c *cursor, a *attribute, v *value) *problem
	print func(dst []byte, a *attribute, v *value, m *memo) []byte
	want  string // what is expected, with an example
	// same reports whether tokens that have been read are certainly the
	// canonical text of their value; nil says no.
	same func(m *memo, f *File, toks []token) bool
	bare bareKind
	list bool // commas may follow the value's tokens

	places int // how many places it has: one, two, or 0 for any number and for what is no place
}

// bareKind tells how a value that stands without its word is recognised.
type bareKind uint8

const (
	notBare       bareKind = iota
	bareQuantity           // by its unit
	bareSize               // 5x3mm
	bareTolerance          // ±5%
	bareChip               // 0402
	bareParameter          // $rail
	bareText               // in quotation marks
)

var (
	flagShape = &shape{read: func(*cursor, *attribute, *value) *problem { return nil },
		print: func(dst []byte, a *attribute, v *value, m *memo) []byte { return dst }, same: always}
	wordShape      = &shape{read: readWord, print: printWord, same: always}
	nameShape      = &shape{read: readName, print: printText, want: "a name", same: sameName}
	namesShape     = &shape{read: readNames, print: printNames, want: "a name, or several with commas between them", list: true, same: sameNames}
	rangeShape     = &shape{read: readNameRange, print: printNames, want: "a name", same: sameName}
	pinsShape      = &shape{read: readNamesToEnd, print: printPins, want: "pins, such as 1 or A4..A7", same: sameNames}
	textShape      = &shape{read: readText, print: printQuoted, want: "text in quotation marks", bare: bareText, same: always}
	lengthShape    = &shape{read: readLength, print: printLength, want: "a length such as 0.3mm", same: sameLength}
	diameterShape  = &shape{read: readDiameter, print: printLength, want: "a length such as 0.3mm", same: sameDiameter}
	angleShape     = &shape{read: readAngle, print: printNumber, want: "an angle in degrees such as 90", same: sameAngle}
	pointShape     = &shape{read: readPoint, print: printPoints, want: "a place in mm such as 12.3,8.15", list: true, places: 1, same: samePoints}
	boxShape       = &shape{read: readBox, print: printPoints, want: "two corners in mm such as 4,3.5 22,19", list: true, places: 2, same: sameBox}
	pathShape      = &shape{read: readPath, print: printPoints, want: "places in mm such as 1,2 3,2", list: true, same: samePoints}
	sizeShape      = &shape{read: readSize, print: printSize, want: "a size such as 5x3mm", bare: bareSize, same: sameSize}
	quantityShape  = &shape{read: readQuantity, print: printQuantity, bare: bareQuantity, same: sameQuantity}
	toleranceShape = &shape{read: readTolerance, print: printTolerance, want: "a tolerance such as ±8%", bare: bareTolerance, same: sameTolerance}
	chipShape      = &shape{read: readName, print: printText, want: "a package", bare: bareChip, same: sameName}
	timeShape      = &shape{read: readTime, print: printTime, want: "a date such as 2026-03-02 or 2026-03-02T10:11Z", same: sameTime}
	targetShape    = &shape{read: readTarget, print: printTargets, want: "what it is about, such as VMAIN, C12.1 or lower:P11", same: sameTarget}
	targetsShape   = &shape{read: readTargets, print: printTargets, want: "what it is about, such as VMAIN, C12.1 or lower:P11", list: true, same: sameTargets}
	endShape       = &shape{read: readEnd, want: "a pad with its board, such as upper:P11"}
	wholeShape     = &shape{read: readWhole, print: printWhole, want: "a whole number", same: sameWhole}
	spanShape      = &shape{read: readSpan, print: printSpan, want: "two layers such as 1..2"}
)

func readWord(c *cursor, a *attribute, v *value) *problem {
	t, ok := c.take()
	if !ok {
		return c.missing(a)
	}
	s := c.f.tokenText(t)
	if v.word = a.wordIndex(s); v.word == 0 || t.marks&quoted != 0 {
		p := c.fault(t, "S201", diag.Unexpected(c.f.plain(t), "", a.expects()))
		p.Help = likelyWord(s, a.words, otherWords)
		p.Edits = editOf(*p)
		switch {
		case len(p.Help) > 0:
		case len(a.words) == len(modeWords):
			p.Help = []string{"the mode comes first, then where: " + c.form.word + " " + modeWords[0] + " " + s}
		case strings.Contains(a.label, ": "):
			p.Help = []string{a.label}
		}
		return p
	}
	return nil
}

func printWord(dst []byte, a *attribute, v *value, m *memo) []byte {
	return append(dst, a.words[v.word-1]...)
}

func printText(dst []byte, a *attribute, v *value, m *memo) []byte { return appendName(dst, v.text) }

func printNames(dst []byte, a *attribute, v *value, m *memo) []byte {
	return appendNames(dst, v.names, ',')
}

func printPins(dst []byte, a *attribute, v *value, m *memo) []byte {
	return appendNames(dst, v.names, ' ')
}

func appendNames(dst []byte, names []string, between byte) []byte {
	for i, name := range names {
		if i > 0 {
			dst = append(dst, between)
		}
		dst = appendName(dst, name)
	}
	return dst
}

func readText(c *cursor, a *attribute, v *value) *problem {
	t, ok := c.take()
	if !ok {
		return c.missing(a)
	}
	if t.marks&quoted == 0 {
		return c.fault(t, "S215", "the text needs quotation marks", "write "+string(appendQuoted(nil, c.f.tokenText(t))))
	}
	if v.text = c.f.plain(t); v.text == "" {
		return c.fault(t, "S205", "there is nothing between the quotation marks; expected some text")
	}
	return nil
}

func printQuoted(dst []byte, a *attribute, v *value, m *memo) []byte {
	return appendQuoted(dst, v.text)
}

func readAngle(c *cursor, a *attribute, v *value) *problem {
	t, s, ok := c.takeBare()
	if !ok {
		return c.missing(a)
	}
	if v.number, ok = angle(s); !ok {
		return c.fault(t, "S208", diag.Unexpected(s, "after turned", a.expects()))
	}
	return nil
}

func printNumber(dst []byte, a *attribute, v *value, m *memo) []byte {
	return appendThousandths(dst, v.number)
}

func readWhole(c *cursor, a *attribute, v *value) *problem {
	t, s, ok := c.takeBare()
	if !ok {
		return c.missing(a)
	}
	n, ok := whole(s, a.most)
	if !ok || n < a.least {
		return c.fault(t, "S208", diag.Unexpected(s, "", a.expects()))
	}
	v.number = int32(n)
	return nil
}

func printWhole(dst []byte, a *attribute, v *value, m *memo) []byte {
	return strconv.AppendInt(dst, int64(v.number), 10)
}

// readSpan reads the layers a via joins, 1..2, the upper one first.
func readSpan(c *cursor, a *attribute, v *value) *problem {
	t, s, ok := c.takeBare()
	if !ok {
		return c.missing(a)
	}
	from, to, found := cutRange(s)
	x, ok1 := whole(from, a.most)
	y, ok2 := whole(to, a.most)
	if !found || !ok1 || !ok2 || x < a.least || y <= x {
		p := c.fault(t, "S208", diag.Unexpected(s, "after layers", a.expects()))
		if from, to, dashed := strings.Cut(s, "-"); dashed && !found {
			p.Help = []string{"did you mean " + from + ".." + to + "?"}
			p.Edits = editOf(*p)
		}
		return p
	}
	v.number, v.second = int32(x), int32(y)
	return nil
}

func printSpan(dst []byte, a *attribute, v *value, m *memo) []byte {
	dst = strconv.AppendInt(dst, int64(v.number), 10)
	return strconv.AppendInt(append(dst, '.', '.'), int64(v.second), 10)
}

func readTime(c *cursor, a *attribute, v *value) *problem {
	t, s, ok := c.takeBare()
	if !ok {
		return c.missing(a)
	}
	if v.when, ok = parseTime(s); !ok {
		return c.noTime(t, s, a)
	}
	return nil
}

func printTime(dst []byte, a *attribute, v *value, m *memo) []byte { return appendTime(dst, v.when) }

func printTargets(dst []byte, a *attribute, v *value, m *memo) []byte {
	return appendTargets(dst, v.targets)
}

// quantityFault words what board.ParseQuantity had to say.
func (c *cursor) quantityFault(t token, code string, err error) *problem {
	var q *board.QuantityError
	if !errors.As(err, &q) {
		return c.fault(t, code, err.Error())
	}
	p := c.fault(t, code, diag.Quote(q.Text)+" "+q.Reason)
	if q.Likely != "" {
		p.Help = []string{"did you mean " + q.Likely + "?"}
		p.Edits = []diag.Edit{{Range: p.Range, New: q.Likely}}
	}
	return p
}
