package board

import "strings"

// readSuffix finds the unit in what follows the digits. It may take more
// digits into n, where RKM code has them after the letter.
func (n *number) readSuffix(suffix string, want Unit) (spelling, *QuantityError) {
	if n.any {
		if suffix == "" {
			return n.bare(want)
		}
		if sp, ok := findUnit(suffix); ok {
			return sp, nil
		}
	}
	if sp, ok := n.readCode(suffix, want); ok {
		return sp, nil
	}
	if p, rest, ok := cutPrefix(suffix); ok && n.any && rest == "" {
		return n.withoutUnit(p, want)
	}
	return spelling{}, n.unreadable(suffix, want)
}

// bare judges a number with nothing after it.
func (n *number) bare(want Unit) (spelling, *QuantityError) {
	if want == Ohm || want == One {
		return spelling{unit: want, coef: 1}, nil
	}
	if n.quiet {
		return spelling{}, errQuiet
	}
	return spelling{}, &QuantityError{Reason: "has no unit", Likely: n.likely(want.row().likely, want)}
}

// codeUnit tells what a prefix letter alone stands for where unit is wanted.
func codeUnit(p prefix, want Unit) (spelling, bool) {
	letters := ""
	switch want {
	case Ohm:
		letters = "kMGT"
	case Farad, Henry:
		letters = units[want].prefixes
	}
	return spelling{unit: want, coef: 1, exp: p.exp}, strings.IndexByte(letters, p.letter) >= 0
}

// withoutUnit judges a number with a prefix but no unit: 10p, 4.7k.
func (n *number) withoutUnit(p prefix, want Unit) (spelling, *QuantityError) {
	if sp, ok := codeUnit(p, want); ok {
		return sp, nil
	}
	if n.quiet {
		return spelling{}, errQuiet
	}
	e := &QuantityError{Reason: "has a prefix but no unit"}
	unit := want
	if want == NoUnit {
		unit = usualUnit(p)
	}
	tiny := unit == Ohm && strings.IndexByte("fpnu", p.letter) >= 0 // no part has nanohms
	if !tiny && strings.IndexByte(unit.row().prefixes, p.letter) >= 0 {
		e.Likely = n.likely(string(p.letter)+unit.String(), want)
	}
	return spelling{}, e
}

// usualUnit is what a prefix alone usually means on a board.
func usualUnit(p prefix) Unit {
	switch p.letter {
	case 'p', 'n', 'u':
		return Farad
	case 'k', 'M', 'G':
		return Ohm
	}
	return NoUnit
}

// readCode reads RKM code, in which a letter stands for the decimal point:
// 4k7, R47, 4n7F.
func (n *number) readCode(suffix string, want Unit) (spelling, bool) {
	sp, after, ok := codeLetter(suffix, want)
	if !ok || !n.whole || after == "" || !digit(after[0]) {
		return spelling{}, false
	}
	if !n.any && (n.start > 0 || want != Ohm && want != Farad && want != Henry) {
		return spelling{}, false // R47 may be the name of a part, and -R47 is nothing
	}
	m := *n
	rest := strings.TrimLeft(after, "0123456789")
	m.end = 0
	m.scanDigits(after[:len(after)-len(rest)], 1)
	if rest != "" {
		letter := suffix[:len(suffix)-len(after)]
		if sp, ok = findUnit(letter + rest); !ok || sp.plain {
			return spelling{}, false
		}
	}
	if sp.unit == NoUnit {
		return spelling{}, false
	}
	m.end = n.end
	*n = m
	return sp, true
}

// codeLetter reads the letter of RKM code at the front of s. Its unit is
// NoUnit if that is neither told by the letter nor by what is wanted.
func codeLetter(s string, want Unit) (sp spelling, rest string, ok bool) {
	if s == "" {
		return spelling{}, s, false
	}
	if s[0] == 'L' {
		return spelling{unit: Ohm, coef: 1, exp: -3}, s[1:], want == Ohm
	}
	if strings.IndexByte("RVF", s[0]) >= 0 {
		sp, _ := findUnit(s[:1])
		return sp, s[1:], true
	}
	p, rest, ok := cutPrefix(s)
	if sp, known := codeUnit(p, want); known {
		return sp, rest, ok
	}
	return spelling{exp: p.exp}, rest, ok
}
