package mirror

import (
	"cmp"
	"slices"
	"strings"
)

// heldText is a statement that the base holds, and its first line with one blank
// behind each word.
type heldText struct{ words, text string }

// was finds the signed statement that a piece was most likely made of: one that is in no
// sheet any more and begins with the same words, its kind and name at least. Of several
// it is the first in order.
func (s *subject) was(text string) (was string, ok bool) {
	if s.inOrder == nil {
		for _, held := range s.held {
			s.inOrder = append(s.inOrder, heldText{wordsOf(held), held})
		}
		slices.SortFunc(s.inOrder, func(a, b heldText) int {
			return cmp.Or(strings.Compare(a.words, b.words), strings.Compare(a.text, b.text))
		})
	}
	from := func(words string) int {
		at, _ := slices.BinarySearchFunc(s.inOrder, words, func(h heldText, words string) int { return strings.Compare(h.words, words) })
		return at
	}
	// In order, those that begin most like it lie next to it.
	mine, best := wordsOf(text), ""
	for at := max(0, from(mine)-1); at <= min(from(mine), len(s.inOrder)-1); at++ {
		if same := sameWords(mine, s.inOrder[at].words); len(same) > len(best) {
			best = same
		}
	}
	if strings.Count(best, " ") < 2 {
		return "", false
	}
	return s.inOrder[from(best)].text, true
}

func wordsOf(text string) string {
	line, _, _ := strings.Cut(text, "\n")
	return strings.Join(strings.Fields(line), " ") + " "
}

// sameWords is with which words two lines begin alike.
func sameWords(a, b string) string {
	n := 0
	for i := 0; i < len(a) && i < len(b) && a[i] == b[i]; i++ {
		if a[i] == ' ' {
			n = i + 1
		}
	}
	return a[:n]
}
