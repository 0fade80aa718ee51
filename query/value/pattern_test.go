package value

import (
	"path"
	"strings"
	"testing"
)

// Patterns agree with path.Match of the standard library, which has the same *
// and ? where no slash is about.
func TestPatternsAgreeWithPathMatch(t *testing.T) {
	texts, patterns := wordsOf("abB", 4), wordsOf("ab*?", 4)
	for _, text := range texts {
		for _, pattern := range patterns {
			want, err := path.Match(strings.ToLower(pattern), strings.ToLower(text))
			if got := NewPattern(pattern).Fits(text); err != nil || got != want {
				t.Fatalf("%q against %q: %t, want %t (%v)", text, pattern, got, want, err)
			}
		}
	}
}

// wordsOf are all words of up to n of the letters.
func wordsOf(letters string, n int) []string {
	all := []string{""}
	for from := 0; n > 0; n-- {
		last := len(all)
		for _, w := range all[from:last] {
			for _, l := range letters {
				all = append(all, w+string(l))
			}
		}
		from = last
	}
	return all
}

// Case does not count, and characters are characters.
func TestPatterns(t *testing.T) {
	for _, c := range []struct {
		pattern, text string
		want          bool
	}{
		{"VBAT*", "vbat_1", true}, {"VBAT*", "VBAT", true}, {"VBAT*", "XVBAT", false}, {"*BAT*", "VBAT_1", true},
		{"?BAT", "VBAT", true}, {"?BAT", "BAT", false}, {"*", "", true}, {"", "x", false}, {"a*b*c", "axxbyyc", true},
		{"a*b*c", "axxbyy", false}, {"*ab", "aab", true}, {"?Ω", "5ω", true}, {"*Ω?", "aωωb", true}, {"*?Ω", "Ω", false}, {"a*a", "a", false},
	} {
		if got := NewPattern(c.pattern).Fits(c.text); got != c.want {
			t.Errorf("%s fits %s: %t", c.text, c.pattern, got)
		}
	}
}

// The patterns that take a matcher of regular expressions that tries all ways
// longer than anybody can wait are done at once.
func TestPatternsWithoutEnd(t *testing.T) {
	long := strings.Repeat("a", 4000)
	for _, pattern := range []string{
		strings.Repeat("a*", 2000) + "b", strings.Repeat("*a", 2000) + "*b*", strings.Repeat("?*", 3999) + "b", strings.Repeat("*?a", 1000) + "b",
		"*" + strings.Repeat("?", 2000) + "b*", strings.Repeat("*", 5000) + "b",
	} {
		p := NewPattern(pattern)
		if p.Fits(long) || !p.Fits(long+"b") {
			t.Errorf("%.10s…: %t, %t", pattern, p.Fits(long), p.Fits(long+"b"))
		}
	}
}
