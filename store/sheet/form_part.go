package sheet

import (
	"errors"
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

// classWords are the words of part classes, in table order.
var classWords = func() []string {
	var all []string
	for _, c := range board.Classes() {
		all = append(all, c.String())
	}
	return all
}()

var sideWords = []string{"top", "bottom", "through"}

// The places of a part's attributes that its check looks at.
const (
	partName = iota
	partClass
	partValue
)

var partForm = form{word: "part", title: "a part", lead: 1, named: true,
	doc:     "one component; indented lines give the places of its pins",
	example: "part C1201 10uF 6.3V 0402 top at 12.3,8.15",
	attributes: []attribute{
		partName: nameOfIt("the name of the part"),
		partClass: {words: classWords, shape: wordShape, label: "class (capacitor, fuse, …)",
			silent: func(name, word string) bool { return board.ClassOf(name).String() == word },
			set:    func(s *subject, v *value) { s.part.Class = board.Classes()[v.word-1] },
			get: func(s *subject, v *value) bool {
				v.word = classIndex(s.part.Class)
				return v.word > 0 && s.part.Class != board.ClassOf(s.part.Name)
			}},
		partValue: {word: "value", shape: valueShape, label: "value such as 10uF",
			units: []board.Unit{board.Farad, board.Henry, board.Ohm, board.Hertz},
			alone: func(string) bool { return true },
			set:   func(s *subject, v *value) { s.part.Value = v.q },
			get:   func(s *subject, v *value) bool { return v.quantity(s.part.Value) }},
		{shape: quantityShape, label: "rated voltage", units: []board.Unit{board.Volt},
			set: func(s *subject, v *value) { s.part.Volts = v.q },
			get: func(s *subject, v *value) bool { return v.quantity(s.part.Volts) }},
		{shape: quantityShape, label: "rated current", units: []board.Unit{board.Ampere},
			set: func(s *subject, v *value) { s.part.Amps = v.q },
			get: func(s *subject, v *value) bool { return v.quantity(s.part.Amps) }},
		{shape: percentShape, label: "±5%", noun: "tolerance",
			set: func(s *subject, v *value) { s.part.Percent = v.within.Above },
			get: func(s *subject, v *value) bool {
				v.within = board.Tolerance{Below: s.part.Percent, Above: s.part.Percent}
				return s.part.Percent.Known()
			}},
		{word: "package", shape: chipShape, label: "package", alone: board.ChipCode,
			set: func(s *subject, v *value) { s.part.Package = s.keep(v.text) },
			get: func(s *subject, v *value) bool { v.text = s.part.Package; return v.text != "" }},
		{shape: sizeShape, label: "size such as 5x3mm",
			set: func(s *subject, v *value) { s.part.Size = board.Size{W: v.number, H: v.second} },
			get: func(s *subject, v *value) bool { return v.size(s.part.Size) }},
		{words: []string{"top", "bottom"}, shape: wordShape, label: "side",
			set: func(s *subject, v *value) { s.part.Side = board.Side(v.word) },
			get: func(s *subject, v *value) bool { v.word = int(s.part.Side); return v.word > 0 && v.word <= 2 }},
		{word: "at", shape: pointShape, label: "place",
			set: func(s *subject, v *value) { s.part.At, s.part.Placed = v.points[0], true },
			get: func(s *subject, v *value) bool { return s.part.Placed && v.place(s.part.At) }},
		{word: "turned", shape: angleShape, label: "angle in degrees",
			set: func(s *subject, v *value) { s.part.Turn = v.number },
			get: func(s *subject, v *value) bool { return v.turn(s.part.Turn) }},
		{word: "for", shape: namesShape, label: "functions", many: true,
			set: func(s *subject, v *value) { s.part.Functions = s.keepAll(v.names) },
			get: func(s *subject, v *value) bool { return v.list(s.part.Functions) }},
		{word: "unfitted", shape: flagShape, label: "not on the real board",
			set: func(s *subject, v *value) { s.part.Unfitted = true },
			get: func(s *subject, v *value) bool { return s.part.Unfitted }},
		{shape: textShape, label: "what it is, in quotation marks", noun: "text",
			set: func(s *subject, v *value) { s.part.Text = s.keep(v.text) },
			get: func(s *subject, v *value) bool { v.text = s.part.Text; return v.text != "" }},
	},
	members: []formID{formPin},
	likely:  func(c *cursor) board.Unit { return c.partClass().ValueUnit() },
	check:   checkPart}

var (
	valueShape   = &shape{read: readValue, print: printQuantity, want: "a value such as 10uF or 4k7", bare: bareQuantity, same: sameQuantity}
	percentShape = &shape{read: readPercent, print: printTolerance, want: "a tolerance such as ±5%", bare: bareTolerance, same: sameTolerance}
)

// shapeAttributes say what the copper of a pin or pad looks like.
func shapeAttributes(of func(s *subject) *board.PadShape) []attribute {
	return []attribute{
		{shape: sizeShape, label: "size such as 0.5x0.3mm", apart: 1,
			set: func(s *subject, v *value) { of(s).W, of(s).H = v.number, v.second },
			get: func(s *subject, v *value) bool { return v.size(board.Size{W: of(s).W, H: of(s).H}) }},
		{word: "round", shape: lengthShape, label: "diameter", apart: 1,
			set: func(s *subject, v *value) { of(s).W, of(s).H = v.number, 0 },
			get: func(s *subject, v *value) bool { return of(s).H == 0 && v.length(of(s).W) }},
		{word: "turned", shape: angleShape, label: "angle in degrees",
			set: func(s *subject, v *value) { of(s).Turn = v.number },
			get: func(s *subject, v *value) bool { return v.turn(of(s).Turn) }},
	}
}

var pinForm = form{title: "a pin", lead: 1, wordAt: -1, named: true,
	attributes: append([]attribute{nameOfIt("the name of a pin"),
		{words: sideWords, shape: wordShape, label: "side",
			set: func(s *subject, v *value) { s.pin.Side = board.Side(v.word) },
			get: func(s *subject, v *value) bool { v.word = int(s.pin.Side); return v.word > 0 }},
		{word: "at", shape: pointShape, label: "place",
			set: func(s *subject, v *value) { s.pin.At, s.pin.Placed = v.points[0], true },
			get: func(s *subject, v *value) bool { return s.pin.Placed && v.place(s.pin.At) }},
	}, shapeAttributes(func(s *subject) *board.PadShape { return &s.pin.Shape })...)}

// partClass returns the class that the line states or that the letters of the
// name tell.
func (c *cursor) partClass() board.Class {
	for _, at := range c.f.lineAttrs(c.l) {
		if at.slot == partClass {
			word := c.f.tokenText(c.f.tokens[at.token])
			class, _ := board.ClassByWord(word)
			return class
		}
	}
	if len(c.toks) < 2 {
		return board.ClassUnknown
	}
	return board.ClassOf(c.f.nameIn(c.toks[1]))
}

func classIndex(class board.Class) int {
	for i, c := range board.Classes() {
		if c == class {
			return i + 1
		}
	}
	return 0
}

// readValue takes the value of a part. What it is worth depends on the class,
// which may be stated later in the line: checkPart looks at that.
func readValue(c *cursor, a *attribute, v *value) *problem {
	t, s, ok := c.takeBare()
	if !ok {
		return c.missing(a)
	}
	v.q, ok = c.memo.parse(s)
	if !ok {
		v.q, _ = board.QuantityOf(s, c.partClass().ValueUnit())
	}
	if !ok {
		if p := c.parted(t); p != nil {
			return p
		}
	}
	if ok && !isValueUnit(v.q.Unit) {
		return c.fault(t, "S207", diag.Quote(s)+" is "+v.q.Unit.Measures()+"; a value is in farads, henries, ohms or hertz")
	}
	return nil
}

func isValueUnit(u board.Unit) bool {
	return u == board.Farad || u == board.Henry || u == board.Ohm || u == board.Hertz
}

// checkPart reads the value again, now that the class is known.
func checkPart(c *cursor) *problem {
	for _, at := range c.f.lineAttrs(c.l) {
		if at.slot != partValue {
			continue
		}
		t := c.f.tokens[at.token]
		s := c.f.tokenText(t)
		unit := c.partClass().ValueUnit()
		if _, plain := thousandths(s); plain && !c.afterValue(at) {
			return c.plainValue(t, s, unit)
		}
		if !c.isValue(s) {
			return c.noValue(t, s, unit)
		}
	}
	return nil
}

// isValue reports whether s is a quantity, if need be in the unit of the part's
// class.
func (c *cursor) isValue(s string) bool {
	if _, ok := c.memo.parse(s); ok {
		return true
	}
	_, ok := board.QuantityOf(s, c.partClass().ValueUnit())
	return ok
}

// noValue complains of what cannot be read as the value of a part.
func (c *cursor) noValue(t token, s string, unit board.Unit) *problem {
	if value, rest, ok := strings.Cut(s, "@"); ok && c.isValue(value) {
		return c.fault(t, "S206", diag.Quote(s)+" is two things in one word", "write "+value+`, and the rest as text: "at `+rest+`"`)
	}
	if code := strings.TrimRight(s, "\u2126\u03a9"); code != s && c.isValue(code) { // R is the ohm already
		p := c.fault(t, "S206", diag.Quote(s)+" has its unit twice", "did you mean "+code+"?")
		p.Edits = editOf(*p)
		return p
	}
	_, err := board.ParseQuantity(s, unit)
	p := c.quantityFault(t, "S206", err)
	if len(p.Help) > 0 {
		return p
	}
	if unit != board.NoUnit {
		p.Help = []string{"expected " + exampleOf(unit)}
	}
	if s[0] != '-' && s[0] != '+' {
		p.Help = append(p.Help, `if it says what the part is, put it in quotation marks: "`+s+`"`)
	}
	return p
}

// afterValue reports whether an attribute stands after the word value. The
// name of the part, two words before it at least, may be that word too.
func (c *cursor) afterValue(at attr) bool {
	i := int(at.token - c.l.token)
	return i > 2 && c.toks[i-1].marks == 0 && c.f.tokenText(c.toks[i-1]) == "value"
}

// plainValue complains of a number that has neither a unit nor the word value
// before it: it could be a package as well.
func (c *cursor) plainValue(t token, s string, unit board.Unit) *problem {
	p := c.fault(t, "S206", diag.Quote(s)+" has no unit")
	if likely := likelyValue(s, unit); likely != "" {
		p.Help = append(p.Help, "did you mean "+likely+"?")
		p.Edits = []diag.Edit{{Range: p.Range, New: likely}}
	}
	p.Help = append(p.Help, "write package "+s+" if it is the package")
	return p
}

// likelyValue is a plain number with the unit that it probably has. The crystal
// of a clock has 32.768 kHz; of others, up to three digits are megahertz (common
// practice, no source).
func likelyValue(s string, unit board.Unit) string {
	n, _ := thousandths(s)
	switch {
	case unit == board.Ohm:
		return s + "ohm"
	case unit == board.Hertz && n == 32_768:
		return s + "kHz"
	case unit == board.Hertz && n < 1000_000:
		return s + "MHz"
	}
	var q *board.QuantityError
	if _, err := board.ParseQuantity(s, unit); errors.As(err, &q) {
		return q.Likely
	}
	return ""
}

// readPercent reads the tolerance of a value, the same on both sides.
func readPercent(c *cursor, a *attribute, v *value) *problem {
	t, _ := c.peek()
	p := readTolerance(c, a, v)
	if p == nil && (v.within.Below != v.within.Above || v.within.Above.Unit != board.Ratio) {
		return c.fault(t, "S210", "the tolerance of a value is one number of per cent, such as ±5%")
	}
	return p
}

func (v *value) turn(millidegrees int32) bool { v.number = millidegrees; return v.number != 0 }

func (v *value) list(names []string) bool {
	v.names = append(v.names[:0], names...)
	return len(names) > 0
}

func (s *subject) keepAll(names []string) []string {
	kept := make([]string, len(names))
	for i, name := range names {
		kept[i] = s.keep(name)
	}
	return kept
}
