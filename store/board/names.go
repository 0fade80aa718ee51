package board

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// BareName reports whether a name can be written without quotes, in a sheet
// and in a question: printing characters except the blank and , ( ) " < > = !
// : ; with one level of brackets allowed after the first character. It does
// not start with #, and holds neither "..", nor * or ?, which make ranges and
// patterns.
func BareName(s string) bool {
	if plainName(s) {
		return true
	}
	if s == "" || s[0] == '#' || s[0] == '(' || strings.Contains(s, "..") || !utf8.ValidString(s) {
		return false
	}
	inside := false
	for _, r := range s {
		switch {
		case r == '(' && !inside, r == ')' && inside:
			inside = !inside
		case strings.ContainsRune(" ,()\"<>=!:;*?", r) || !unicode.IsPrint(r):
			return false
		}
	}
	return !inside
}

// plainName reports whether a name is made of letters, digits and _ + - / only,
// as nearly all are. It only saves time.
func plainName(s string) bool {
	for i := range len(s) {
		switch c := s[i]; {
		case 'a' <= c|0x20 && c|0x20 <= 'z', '0' <= c && c <= '9', c == '_', c == '+', c == '-', c == '/':
		default:
			return false
		}
	}
	return s != ""
}

// QuoteName writes a name: bare when it can be, else in double quotes with \"
// and \\ as the only escapes. Names hold no line ends.
func QuoteName(s string) string {
	if BareName(s) {
		return s
	}
	return `"` + quoted.Replace(s) + `"`
}

var quoted = strings.NewReplacer(`\`, `\\`, `"`, `\"`)

// Unquote reads a name in double quotes, as QuoteName writes it. It reports
// false if s is not one whole quoted name: a quote that does not close, text
// after it, or a backslash before anything but " and \.
func Unquote(s string) (string, bool) {
	body, ok := strings.CutPrefix(s, `"`)
	if !ok {
		return "", false
	}
	var name strings.Builder
	for i := 0; i < len(body); i++ {
		switch c := body[i]; {
		case c == '"':
			return name.String(), i == len(body)-1
		case c == '\\':
			i++
			if i == len(body) || body[i] != '"' && body[i] != '\\' {
				return "", false
			}
		}
		name.WriteByte(body[i])
	}
	return "", false
}

// PlainName is the name or text that s writes: all of it, or what it has in double quotes.
func PlainName(s string) string {
	if plain, ok := Unquote(s); ok {
		return plain
	}
	return s
}
