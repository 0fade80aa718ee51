package syntax

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"netlore/query/words"
)

// tokenKind is a sort of token. Whether a word is a name or a value depends on
// where it stands, never on its look, so 5V and 0R are fine names. Only the short
// list of package words is told apart.
type tokenKind uint8

const (
	wordToken     tokenKind = iota
	leaderToken             // a word that can stand before a name, or be one
	relationToken           // reserved: starts a phrase
	compareToken            // reserved, or a sign: starts a comparison
	reservedToken           // any other reserved word
	stringToken
	toleranceToken // ±8%, +-20mV
	signToken      // >= and its like
	markToken      // ( ) and the comma
	blankToken
	badToken // what can stand nowhere: an open quote, a lone !
	endToken // after the last
)

// kindNames are the kinds of which the grammar speaks.
var kindNames = map[string]tokenKind{
	"Word": wordToken, "Leader": leaderToken, "Relation": relationToken, "Compare": compareToken,
	"String": stringToken, "Tolerance": toleranceToken, "Sign": signToken,
}

var kindOf = map[words.Duty]tokenKind{
	words.Free: wordToken, words.Leading: leaderToken, words.Relating: relationToken,
	words.Comparing: compareToken, words.Structure: reservedToken, words.Coming: reservedToken,
}

// signs are the comparison signs, longest first.
var signs = []string{">=", "<=", "!=", "<>", "==", "=", "<", ">", "≥", "≤", "≠"}

// notInWord are the characters that end a word. Of these the colon is allowed
// once, after a role: lower:VMAIN.
const notInWord = `,()"<>=!;≥≤≠`

// next gives the sort and size of the first token of s, which is not empty. All
// words are taken for free ones.
func next(s string) (tokenKind, int) {
	if first := s[0] | 0x20; 'a' <= first && first <= 'z' {
		return withQuoted(s, word(s))
	}
	if n := blanks(s); n > 0 {
		return blankToken, n
	}
	if s[0] == '"' {
		return quoted(s)
	}
	if strings.IndexByte("(),", s[0]) >= 0 {
		return markToken, 1
	}
	for _, sign := range signs {
		if strings.HasPrefix(s, sign) {
			return signToken, len(sign)
		}
	}
	if n := tolerance(s); n > 0 {
		return toleranceToken, n
	}
	if n := word(s); n > 0 && s[0] != '#' {
		return withQuoted(s, n)
	}
	return badToken, bad(s)
}

// blanks is the size of the blanks that s starts with.
func blanks(s string) int {
	for i, r := range s {
		if !unicode.IsSpace(r) {
			return i
		}
	}
	return len(s)
}

// quoted reads a name in double quotes. An open one takes the rest of the line.
func quoted(s string) (tokenKind, int) {
	for i := 1; i < len(s); i++ {
		switch s[i] {
		case '\\':
			i++
		case '\n':
			return badToken, i
		case '"':
			return stringToken, i + 1
		}
	}
	return badToken, len(s)
}

// tolerance is the size of a tolerance; a blank after its sign is part of it.
func tolerance(s string) int {
	for _, sign := range []string{"±", "+-", "+/-"} {
		rest, ok := strings.CutPrefix(s, sign)
		if !ok {
			continue
		}
		gap := blanks(rest)
		if number := rest[gap:]; number != "" && (number[0] == '.' || '0' <= number[0] && number[0] <= '9') {
			return len(sign) + gap + word(number)
		}
	}
	return 0
}

// word is the size of the word that s starts with. One level of brackets
// belongs to a word, after its first character: Net-(C12-Pad1).
func word(s string) int {
	n := 0
	for n < len(s) {
		if s[n] == '(' && n > 0 {
			inside := plain(s[n+1:])
			if end := n + 1 + inside; end >= len(s) || s[end] != ')' {
				return n
			}
			n += inside + 2
			continue
		}
		size := plain(s[n:])
		if size == 0 {
			return n
		}
		n += size
	}
	return n
}

// plain is the size of the run of characters that can stand in any word.
func plain(s string) int {
	for i := 0; i < len(s); {
		if c := s[i]; c < utf8.RuneSelf {
			if c <= ' ' || c == '\x7f' || strings.IndexByte(notInWord, c) >= 0 {
				return i
			}
			i++
			continue
		}
		r, size := utf8.DecodeRuneInString(s[i:])
		if r == utf8.RuneError && size == 1 || !unicode.IsPrint(r) || strings.ContainsRune(notInWord, r) {
			return i
		}
		i += size
	}
	return len(s)
}

// withQuoted adds the quoted name after a role: lower:"VM AIN".
func withQuoted(s string, n int) (tokenKind, int) {
	if s[n-1] == ':' && n < len(s) && s[n] == '"' {
		kind, size := quoted(s[n:])
		if kind == badToken {
			return badToken, n + size
		}
		return wordToken, n + size
	}
	return wordToken, n
}

// bad is the size of what is taken as one piece of nonsense: a word after a #,
// else one character.
func bad(s string) int {
	if s[0] == '#' {
		return 1 + plain(s[1:])
	}
	_, size := utf8.DecodeRuneInString(s)
	return size
}
