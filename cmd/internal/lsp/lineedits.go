package lsp

import (
	"slices"
	"sort"
	"strings"

	"netlore/query/diag"
)

// lineEdits turns one text into another by edits of whole lines. Lines that
// both texts have once, in the same order, are held fast; so are the lines that
// are the same before and after each of them. That is not always the least
// number of lines, but it takes time in proportion to the texts, and it does
// not tear apart what belongs together.
func lineEdits(old, new string) []diag.Edit {
	x, y := slices.Collect(strings.Lines(old)), slices.Collect(strings.Lines(new))
	var edits []diag.Edit
	var done, at pair // lines dealt with, and the byte of x at done
	offset := 0
	for _, a := range append(anchors(x, y), pair{len(x), len(y)}) {
		if a.x < done.x || a.y < done.y {
			continue // inside what is the same as the lines before it
		}
		at = a
		for at.x > done.x && at.y > done.y && x[at.x-1] == y[at.y-1] {
			at.x--
			at.y--
		}
		size := total(x[done.x:at.x])
		if is := strings.Join(y[done.y:at.y], ""); size > 0 || is != "" {
			edits = append(edits, diag.Edit{Range: diag.Range{Start: offset, End: offset + size}, New: is})
		}
		offset += size
		for at.x < len(x) && at.y < len(y) && x[at.x] == y[at.y] {
			offset += len(x[at.x])
			at.x++
			at.y++
		}
		done = at
	}
	return edits
}

type pair struct{ x, y int }

func total(lines []string) int {
	n := 0
	for _, l := range lines {
		n += len(l)
	}
	return n
}

// anchors are the lines that each text has once, the longest sequence of them
// that is in the same order in both.
func anchors(x, y []string) []pair {
	type seen struct{ inX, inY, x, y int }
	lines := make(map[string]*seen, len(x))
	for i, l := range x {
		s := lines[l]
		if s == nil {
			s = &seen{}
			lines[l] = s
		}
		s.inX++
		s.x = i
	}
	for i, l := range y {
		if s := lines[l]; s != nil {
			s.inY++
			s.y = i
		}
	}
	var once []pair // in order of x
	for i, l := range x {
		if s := lines[l]; s.inX == 1 && s.inY == 1 {
			once = append(once, pair{i, s.y})
		}
	}
	return longestRising(once)
}

// longestRising is the longest part of the pairs in which y rises too.
func longestRising(pairs []pair) []pair {
	var tails []int // index of the pair that ends the best sequence of each length
	before := make([]int, len(pairs))
	for i, p := range pairs {
		n := sort.Search(len(tails), func(k int) bool { return pairs[tails[k]].y >= p.y })
		before[i] = -1
		if n > 0 {
			before[i] = tails[n-1]
		}
		if n == len(tails) {
			tails = append(tails, i)
		}
		tails[n] = i
	}
	if len(tails) == 0 {
		return nil
	}
	best := make([]pair, len(tails))
	for i, k := tails[len(tails)-1], len(tails)-1; k >= 0; i, k = before[i], k-1 {
		best[k] = pairs[i]
	}
	return best
}
