package sheet_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"unicode/utf8"
)

// matcher finds all ends of what a rule matches from a place on. What a rule
// gave at a place is remembered.
type matcher struct {
	g    grammar
	text []rune // -1 is a byte that is not UTF-8
	memo map[memoKey][]int
}

type memoKey struct {
	rule string
	at   int
}

// matches reports whether a rule matches a whole text.
func (g grammar) matches(rule, text string) bool {
	m := &matcher{g: g, memo: map[memoKey][]int{}}
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRuneInString(text[i:])
		if r == utf8.RuneError && size == 1 {
			r = -1
		}
		m.text, i = append(m.text, r), i+size
	}
	return slices.Contains(m.rule(rule, 0), len(m.text))
}

func (m *matcher) rule(name string, at int) []int {
	key := memoKey{name, at}
	ends, ok := m.memo[key]
	if !ok {
		ends = m.ends(m.g[name], at)
		m.memo[key] = ends
	}
	return ends
}

// ends gives the ends of what n matches at a place, in order.
func (m *matcher) ends(n *node, at int) (ends []int) {
	switch n.kind {
	case 'a':
		for _, s := range n.sub {
			ends = union(ends, m.ends(s, at))
		}
	case 'c':
		ends = []int{at}
		for i := 0; i < len(n.sub) && len(ends) > 0; i++ {
			ends = m.each(ends, n.sub[i])
		}
	case '*':
		return m.repeated(n, at)
	case 'r':
		return m.rule(n.text, at)
	case 'x':
		for _, end := range m.rule(n.text, at) {
			if !slices.Contains(n.except, string(m.text[at:end])) {
				ends = append(ends, end)
			}
		}
	case 'v':
		if at < len(m.text) && n.lo <= int(m.text[at]) && int(m.text[at]) <= n.hi {
			return []int{at + 1}
		}
	case 's':
		end := at + utf8.RuneCountInString(n.text)
		if end > len(m.text) {
			return nil
		}
		if s := string(m.text[at:end]); s == n.text || n.insens && strings.EqualFold(s, n.text) {
			return []int{end}
		}
	}
	return ends
}

func (m *matcher) each(starts []int, n *node) (ends []int) {
	for _, at := range starts {
		ends = union(ends, m.ends(n, at))
	}
	return ends
}

func (m *matcher) repeated(n *node, at int) (ends []int) {
	seen := map[int]bool{}
	for reached, times := []int{at}, 0; len(reached) > 0 && times <= n.hi; times++ {
		if times >= n.lo {
			for _, end := range reached {
				ends = append(ends, end)
				seen[end] = true
			}
		}
		reached = slices.DeleteFunc(m.each(reached, n.sub[0]), func(end int) bool { return seen[end] })
	}
	slices.Sort(ends)
	return slices.Compact(ends)
}

func union(a, b []int) []int {
	if len(a) == 0 {
		return b
	}
	all := append(slices.Clone(a), b...)
	slices.Sort(all)
	return slices.Compact(all)
}

// wideSamples stand for all letters beyond ASCII in random sentences: which of
// the others print, only Unicode's tables tell.
var wideSamples = []rune("äßéµΩ±°ᠠ–‰№→√日本中豈！😀")

// sentence makes up a text that a rule matches.
func (g grammar) sentence(n *node, r *rand.Rand) string {
	switch n.kind {
	case 'a':
		return g.sentence(n.sub[r.IntN(len(n.sub))], r)
	case 'c', '*':
		var s strings.Builder
		for _, sub := range n.sub {
			times := 1
			if n.kind == '*' {
				times = n.lo + r.IntN(min(n.hi-n.lo, 3)+1)
			}
			for range times {
				s.WriteString(g.sentence(sub, r))
			}
		}
		return s.String()
	case 'r':
		return g.sentence(g[n.text], r)
	case 'x':
		for {
			if s := g.sentence(g[n.text], r); !slices.Contains(n.except, s) {
				return s
			}
		}
	case 'v':
		return string(g.letter(n, r))
	case 's':
		return n.text
	}
	panic(fmt.Sprintf("no such node: %c", n.kind))
}

func (g grammar) letter(n *node, r *rand.Rand) rune {
	if n.lo < utf8.RuneSelf || n.lo == n.hi {
		return rune(n.lo + r.IntN(n.hi-n.lo+1))
	}
	for range 50 {
		if c := wideSamples[r.IntN(len(wideSamples))]; n.lo <= int(c) && int(c) <= n.hi {
			return c
		}
	}
	return rune(n.lo)
}
