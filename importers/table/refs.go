package table

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxRange is the most parts that one range may stand for.
const maxRange = 4096

// refs takes a cell with reference designators apart: "C1, C2", "R1 R2;R3",
// "B1-B3", "C1..C4". The second result is what of it is no designator.
func refs(dst []string, text string) (names []string, odd string) {
	if isPlainRef(text) {
		return append(dst, text), "" // by far the most, so without more ado
	}
	text = tightRanges(text)
	words := strings.FieldsFunc(text, func(r rune) bool { return unicode.IsSpace(r) || strings.ContainsRune(",;|&", r) })
	single := len(words) == 1
	for _, w := range words {
		var ok bool
		if dst, ok = addRefs(dst, w, single); !ok && odd == "" {
			odd = w
		}
	}
	return dst, odd
}

// isPlainRef reports whether a cell is one designator: capital letters, then
// digits.
func isPlainRef(text string) bool {
	digits := strings.TrimLeft(text, "ABCDEFGHIJKLMNOPQRSTUVWXYZ")
	return digits != "" && digits != text && strings.Trim(digits, "0123456789") == ""
}

// tightRanges takes the blanks out of "C1 - C4".
func tightRanges(text string) string {
	if !strings.ContainsAny(text, "-–…") {
		return text
	}
	return rangeMarks.Replace(text)
}

var rangeMarks = strings.NewReplacer(" - ", "-", " – ", "-", "–", "-", "…", "..", " .. ", "..", " ... ", "..", "...", "..")

// addRefs adds what one word stands for. A word alone in its cell may be any
// name with a letter in it; of several, each must look like a designator, or it is prose.
func addRefs(dst []string, word string, single bool) ([]string, bool) {
	for _, mark := range []string{"..", "-"} {
		if from, to, ok := strings.Cut(word, mark); ok {
			if names, ok := expand(dst, from, to); ok {
				return names, true
			}
		}
	}
	if parts := strings.Split(word, "/"); len(parts) > 1 && allRefs(parts) {
		return append(dst, parts...), true
	}
	if single && goodName(word) && strings.IndexFunc(word, unicode.IsLetter) >= 0 || isRef(word) {
		return append(dst, word), true
	}
	return dst, false
}

// expand lists the names from one designator to another of the same letters.
func expand(dst []string, from, to string) ([]string, bool) {
	a, lo, ok1 := splitRef(from)
	b, hi, ok2 := splitRef(to)
	if !ok1 || !ok2 || a != b || a == "" || lo >= hi || hi-lo >= maxRange {
		return dst, false
	}
	width := 0
	if digits := from[len(a):]; digits[0] == '0' {
		width = len(digits)
	}
	for n := lo; n <= hi; n++ {
		number := strconv.Itoa(n)
		dst = append(dst, a+strings.Repeat("0", max(width-len(number), 0))+number)
	}
	return dst, true
}

// splitRef takes the number off the end of a designator.
func splitRef(s string) (letters string, number int, ok bool) {
	letters = strings.TrimRight(s, "0123456789")
	if len(s)-len(letters) > 9 {
		return "", 0, false
	}
	number, err := strconv.Atoi(s[len(letters):])
	return letters, number, err == nil
}

func allRefs(words []string) bool {
	for _, w := range words {
		if !isRef(w) {
			return false
		}
	}
	return true
}

// isRef reports whether a word looks like a designator: it begins with a
// letter and has a digit in it.
func isRef(s string) bool {
	first, _ := utf8.DecodeRuneInString(s)
	return unicode.IsLetter(first) && hasDigit(s) && goodName(s)
}

func hasDigit(s string) bool {
	for i := range len(s) {
		if '0' <= s[i] && s[i] <= '9' {
			return true
		}
	}
	return false
}

// maxName is the most bytes of a name.
const maxName = 128

// goodName reports whether a text can be the name of a thing: not too long,
// and printable.
func goodName(s string) bool {
	if s == "" || len(s) > maxName {
		return false
	}
	for _, r := range s {
		if r == utf8.RuneError || !unicode.IsPrint(r) {
			return false
		}
	}
	return true
}

// maxText is the most bytes of a describing text that are kept. A line of a
// sheet holds 4096.
const maxText = 1000

// plainText makes a text of one line, without control characters. It reports
// whether it had to be cut.
func plainText(s string) (text string, cut bool) {
	if len(s) <= maxText && onePlainLine(s) {
		return s, false
	}
	text = strings.Join(strings.FieldsFunc(s, func(r rune) bool {
		return unicode.IsSpace(r) || unicode.IsControl(r)
	}), " ")
	if len(text) <= maxText {
		return text, false
	}
	end := maxText
	for !utf8.RuneStart(text[end]) {
		end--
	}
	return text[:end], true
}

// onePlainLine reports whether a text has only letters of ASCII and single
// blanks in it, so that it needs no change.
func onePlainLine(s string) bool {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' || s[i] == ' ' && i > 0 && s[i-1] == ' ' {
			return false
		}
	}
	return true
}
