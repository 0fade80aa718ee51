package check

import (
	"fmt"
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/query/syntax"
	"netlore/query/words"
	"netlore/store/board"
)

// aboutNames are questions about one thing of a noun.
var aboutNames = map[words.Noun][]string{
	words.Parts:    {"parts with name = ", "nets of ", "covers over "},
	words.Nets:     {"parts on ", "pads on ", "readings on "},
	words.Pads:     {"pads with name = ", "nets of ", "readings on ", "branches joined to "},
	words.Pins:     {"pins with name = ", "nets of ", "readings on "},
	words.Covers:   {"parts under ", "notes on "},
	words.Branches: {"parts on ", "pads on "},
	words.Groups:   {"pads in "},
	words.Boards:   {"parts in ", "nets in "},
	words.Stacks:   {"jobs on "},
}

// askedBy are how people ask for all that there is to say about a name.
var askedBy = []string{"what is", "what's", "where is", "tell me about", "tell me everything about", "everything about", "all about", "about", "show me", "show", "find", "info on", "info about", "look up", "search for", "search"}

// loneName words a question that is no more than a name: it says what the name
// is of, and what can be asked about it.
func loneName(text string, s *Scope) (diag.Diagnostic, bool) {
	name := strings.TrimRight(strings.TrimSpace(text), "?!. ")
	for _, lead := range askedBy {
		if len(name) > len(lead) && strings.EqualFold(name[:len(lead)], lead) && name[len(lead)] == ' ' {
			name = strings.TrimSpace(name[len(lead):])
			break
		}
	}
	l, ok := readName(name)
	if !ok || name == "" || strings.ContainsAny(name, " ()") && name[0] != '"' {
		return diag.Diagnostic{}, false
	}
	start := strings.LastIndex(text, name)
	d := diag.Diagnostic{Code: "Q20", Range: diag.Range{Start: start, End: start + len(name)}}
	nouns := l.nouns(s)
	if nouns == nil {
		nouns = l.folding().nouns(s)
	}
	var called []string
	for _, noun := range nouns {
		if l.pattern == nil {
			called = append(called, "a "+noun.Singular())
		} else {
			called = append(called, noun.String())
		}
		for _, help := range examplesAbout(noun, name, len(nouns) > 1) {
			if !slices.Contains(d.Help, help) {
				d.Help = append(d.Help, help)
			}
		}
	}
	what, it := "is", "it"
	if l.pattern != nil {
		what, it = "fits", "them"
	}
	d.Message = fmt.Sprintf("%s %s %s; a question says what is asked about %s", name, what, strings.Join(called, " and "), it)
	return d.At(text), d.Help != nil
}

// nouns are the nouns of which something has the name.
func (l lookup) nouns(s *Scope) []words.Noun {
	var found []words.Noun
	for _, noun := range anyNoun {
		if slices.ContainsFunc(every(s), func(i int) bool { return l.find(s, i, noun) != nil }) {
			found = append(found, noun)
		}
	}
	return found
}

// examplesAbout are questions about a name, or the first of them.
func examplesAbout(noun words.Noun, name string, one bool) []string {
	var all []string
	for i, about := range aboutNames[noun] {
		if one && i > 0 {
			break
		}
		if _, reserved := board.TargetKindByWord(name); !reserved && syntax.Parses(about+name) {
			all = append(all, "what can be asked: "+about+name)
		}
	}
	return all
}
