package sheet

import "netlore/store/board"

// Most lines of most sheets are canonical already. To see that is several
// times faster than to decode them and print them anew, and what cannot be
// seen at once is decoded: so the checks here may say no to canonical text,
// but never yes to any other.

// asIs returns the words of a line if they are canonical.
func (g *gatherer) asIs(f *File, l *line) (string, bool) {
	toks, attrs := f.lineTokens(l), f.lineAttrs(l)
	form := g.forms[l.form]
	for i := 1; i < len(toks); i++ {
		end := toks[i-1].start + uint32(toks[i-1].size)
		if toks[i].start != end+1 || f.text[end] == '\t' {
			return "", false
		}
	}
	for i, at := range attrs {
		a := &form.attributes[at.slot]
		first := at.token - l.token
		if i > 0 && at.slot <= attrs[i-1].slot || a.shape.same == nil || a.say != nil {
			return "", false
		}
		if a.silent != nil && a.silent(f.nameIn(toks[1]), f.tokenText(toks[first])) {
			return "", false
		}
		if !a.shape.same(g.memo, f, toks[first:first+uint32(at.tokens)]) || a.alone != nil && !a.rightWord(f, toks, int(first)) {
			return "", false
		}
	}
	last := toks[len(toks)-1]
	return f.text[toks[0].start : last.start+uint32(last.size)], true
}

// rightWord reports whether a value that can stand without its word has it
// only if it needs it.
func (a *attribute) rightWord(f *File, toks []token, first int) bool {
	hasWord := first > 0 && f.tokenText(toks[first-1]) == a.word
	return hasWord != a.alone(f.tokenText(toks[first]))
}

// always is for values that have one way to be written.
func always(*memo, *File, []token) bool { return true }

// sameName is for names: bare ones of ASCII letters.
func sameName(m *memo, f *File, toks []token) bool {
	return toks[0].marks == 0 && f.text[toks[0].start] != '#'
}

// sameNames is for sets of names.
func sameNames(m *memo, f *File, toks []token) bool {
	for i, t := range toks {
		if t.marks&^comma != 0 || f.text[t.start] == '#' {
			return false
		}
		if i > 0 && board.CompareNatural(f.tokenText(toks[i-1]), f.tokenText(t)) >= 0 {
			return false
		}
	}
	return true
}

// sameTarget is for one target without role or quotation marks.
func sameTarget(m *memo, f *File, toks []token) bool {
	for _, t := range toks {
		if t.marks != 0 || f.text[t.start] == '#' {
			return false
		}
	}
	return true
}

// sameTargets is for a list of one target; sets of several are decoded.
func sameTargets(m *memo, f *File, toks []token) bool {
	return len(toks) <= 2 && sameTarget(m, f, toks)
}

func samePoints(m *memo, f *File, toks []token) bool {
	for _, t := range toks {
		if !canonicalNumber(f.tokenText(t)) {
			return false
		}
	}
	return true
}

// sameBox is for two corners, the lower left one first.
func sameBox(m *memo, f *File, toks []token) bool {
	if !samePoints(m, f, toks) {
		return false
	}
	var n [4]int32
	for i := range n {
		n[i], _ = thousandths(f.tokenText(toks[i]))
	}
	return n[0] < n[2] && n[1] < n[3]
}

func sameSize(m *memo, f *File, toks []token) bool {
	s := f.tokenText(toks[0])
	w, h, ok := splitSize(s)
	return ok && canonicalNumber(w) && canonicalNumber(h) && len(w)+len(h)+len("xmm") == len(s)
}

func sameLength(m *memo, f *File, toks []token) bool {
	s := f.tokenText(toks[0])
	n := len(s) - len("mm")
	return n > 0 && s[n:] == "mm" && canonicalNumber(s[:n])
}

// sameDiameter is for an even number of micrometres.
func sameDiameter(m *memo, f *File, toks []token) bool {
	n, ok := millimetres(f.tokenText(toks[0]))
	return ok && n&1 == 0 && sameLength(m, f, toks)
}

// sameAngle is for degrees of one turn.
func sameAngle(m *memo, f *File, toks []token) bool {
	s := f.tokenText(toks[0])
	n, ok := thousandths(s)
	return ok && n >= 0 && n < 360_000 && canonicalNumber(s)
}

func sameWhole(m *memo, f *File, toks []token) bool {
	s := f.tokenText(toks[0])
	return s[0] != '0' || len(s) == 1
}

func sameQuantity(m *memo, f *File, toks []token) bool { return m.canonical(f.tokenText(toks[0])) }

// sameMeasured is for a quantity, or a word that stands for one.
func sameMeasured(m *memo, f *File, toks []token) bool {
	s := f.tokenText(toks[0])
	return 'a' <= s[0] && s[0] <= 'z' || m.canonical(s)
}

func sameTolerance(m *memo, f *File, toks []token) bool {
	s := f.tokenText(toks[0])
	t, err := m.tolerance(s)
	return err == nil && m.toleranceText(t) == s
}

// sameTime is for dates.
func sameTime(m *memo, f *File, toks []token) bool { return toks[0].size == uint16(len("2026-03-02")) }

// canonicalNumber reports whether a number of thousandths is written as
// appendThousandths does: no needless sign or zero, at most three decimals.
func canonicalNumber(s string) bool {
	if s != "" && s[0] == '-' {
		s = s[1:]
		if s == "0" {
			return false
		}
	}
	i := 0
	for i < len(s) && isDigit(s[i]) {
		i++
	}
	if i == 0 || i > 1 && s[0] == '0' {
		return false
	}
	if i == len(s) {
		return true
	}
	decimals := len(s) - i - 1
	return s[i] == '.' && decimals >= 1 && decimals <= 3 && s[len(s)-1] != '0' && digitsOnly(s[i+1:])
}

func digitsOnly(s string) bool {
	for i := range len(s) {
		if !isDigit(s[i]) {
			return false
		}
	}
	return true
}
