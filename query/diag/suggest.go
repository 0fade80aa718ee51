package diag

import (
	"cmp"
	"slices"
	"strings"
	"unicode/utf8"
)

// Closest returns up to two of the candidates that a person may have meant by
// word: at most two slips away, one for words under five letters. A slip is a
// letter too many, too few, wrong, or two swapped; case does not count. The
// closest come first, equals in the order given.
func Closest(word string, candidates []string) []string {
	type scored struct {
		name  string
		slips int
	}
	limit := 2
	if utf8.RuneCountInString(word) < 5 {
		limit = 1
	}
	low := []rune(strings.ToLower(word))
	var found []scored
	for _, c := range candidates {
		if n := slips(low, []rune(strings.ToLower(c)), limit); n <= limit && c != word {
			found = append(found, scored{c, n})
		}
	}
	slices.SortStableFunc(found, func(a, b scored) int { return cmp.Compare(a.slips, b.slips) })
	var names []string
	for _, f := range found {
		if len(names) < 2 && !slices.Contains(names, f.name) {
			names = append(names, f.name)
		}
	}
	return names
}

// slips counts the least edits between a and b, a swap of neighbours being one
// (optimal string alignment). Above limit it may return any larger number.
func slips(a, b []rune, limit int) int {
	if len(a)-len(b) > limit || len(b)-len(a) > limit {
		return limit + 1
	}
	before, last := make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row := make([]int, len(b)+1)
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last = last, row
	}
	return last[len(b)]
}
