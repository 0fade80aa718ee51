package draw

import (
	"strings"
	"sync"

	"github.com/mattn/go-runewidth"
)

// The looks: thin dark ink on white, one accent colour. Ink has a contrast of 17:1, accent of
// 7.5:1, lines of what was not asked for 3.6:1.
const (
	ink    = "#1c1c1c"
	pale   = "#868686"
	accent = "#9a2f0c"
	tint   = "#f6dccf"
	paper  = "#ffffff"

	faces = "'Liberation Sans',Arial,Helvetica,sans-serif"

	small  = 11.0 // size of names
	medium = 13.0 // of legend and notes
	large  = 16.0 // of titles

	dashes = "4 2.4" // what is hidden
)

// mostLetters is how much of a name is shown on the plan; its title has it whole.
const mostLetters = 28

// short is a name that fits a plan.
func short(s string) string { return runewidth.Truncate(s, mostLetters, "…") }

// width is how wide a text of a size is drawn. Advances are those of Helvetica, rounded up to
// a few classes (from memory); texts are then set to exactly this width.
func width(s string, size float64) float64 {
	em, table := 0.0, advances()
	for _, r := range s {
		if r < 0x80 {
			em += table[r]
		} else {
			em += advance(r)
		}
	}
	return em * size
}

// advances are those of ASCII.
var advances = sync.OnceValue(func() *[0x80]float64 {
	var all [0x80]float64
	for r := range all {
		all[r] = advance(rune(r))
	}
	return &all
})

func advance(r rune) float64 {
	switch {
	case strings.ContainsRune("iIjl.,:;'|!/\\[]()ft ", r):
		return 0.31
	case strings.ContainsRune("mwMW@%—", r):
		return 0.92
	case r >= 'A' && r <= 'Z' || r == '…' || r == '·':
		return 0.70
	case r < 0x2000:
		return 0.56
	}
	return float64(max(runewidth.RuneWidth(r), 1)) * 0.62
}

// fillings are the patterns of groups: lines of several directions, dots, a grid. They
// repeat when there are more groups; letters do not.
var fillings = []struct {
	w, h float64
	d    string
}{
	{4, 4, "M0 2L4 2"},
	{4, 4, "M2 0L2 4"},
	{5, 5, "M0 0L5 5M-1 4L1 6M4 -1L6 1"},
	{5, 5, "M0 5L5 0M-1 1L1 -1M4 6L6 4"},
	{5, 5, "M0 2.5L5 2.5M2.5 0L2.5 5"},
	{5, 5, "M1.5 2.5L3.5 2.5M2.5 1.5L2.5 3.5"},
}

// patterns writes the fillings and the hatching of covers.
func (w *writer) patterns(groups int) {
	w.start("defs")
	w.start("pattern", "id", "nl-cover", "width", 9.0, "height", 9.0, "patternUnits", "userSpaceOnUse")
	w.empty("path", "d", "M0 9L9 0M-2 2L2 -2M7 11L11 7", "stroke", pale, "stroke-width", "0.7", "fill", "none")
	w.end("pattern")
	for i, f := range fillings[:min(groups, len(fillings))] {
		w.start("pattern", "id", filling(i), "width", f.w, "height", f.h, "patternUnits", "userSpaceOnUse")
		w.empty("rect", "width", f.w, "height", f.h, "fill", paper)
		w.empty("path", "d", f.d, "stroke", accent, "stroke-width", 1.0, "fill", "none")
		w.end("pattern")
	}
	w.end("defs")
}

func filling(group int) string { return "nl-group-" + letters(group%len(fillings)) }

// letters name a group: A to Z, then AA, AB.
func letters(i int) string {
	if i >= 26 {
		return letters(i/26-1) + letters(i%26)
	}
	return string(rune('A' + i))
}
