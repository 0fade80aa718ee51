package check

import (
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/query/syntax"
	"netlore/query/words"
)

// MayBeOfNames reports whether ByNames has anything to look for.
func MayBeOfNames(list diag.List) bool { return list[0].Code == "Q10" || list[0].Code == "Q20" }

// ByNames words the complaints about a question that was not read anew, as far as
// knowing the names of the scope helps.
func ByNames(text string, list diag.List, s *Scope) diag.List {
	if d, ok := loneName(text, s); ok {
		return diag.List{d}
	}
	quoteBlanks(text, list, s)
	return list
}

// quoteBlanks looks at the first complaint: if the word there and its neighbours
// are a name with blanks that the scope knows, it suggests the name in quotes
// before anything else.
func quoteBlanks(text string, list diag.List, s *Scope) {
	const most = 4 // words of a name
	d := &list[0]
	end := d.Range.End
	for range most {
		start := d.Range.Start
		for range most - 1 {
			start = wordBefore(text, start)
			if name := text[start:end]; strings.Contains(name, " ") && known(s, name) {
				suggestFirst(d, text, diag.Range{Start: start, End: end}, `"`+name+`"`)
				return
			}
		}
		end = wordAfter(text, end)
	}
}

// wordBefore is where the word before a byte begins, wordAfter where the word
// after it ends; words here are what blanks and brackets set apart.
func wordBefore(text string, at int) int {
	return strings.LastIndexAny(strings.TrimRight(text[:at], " "), " (,") + 1
}

func wordAfter(text string, at int) int {
	rest := strings.TrimLeft(text[at:], " ")
	at = len(text) - len(rest)
	if i := strings.IndexAny(rest, " ),"); i >= 0 {
		return at + i
	}
	return len(text)
}

// known reports whether any member has a thing of exactly this name.
func known(s *Scope, name string) bool {
	l := lookup{text: name, list: []string{name}}
	for i := range s.Members {
		if slices.ContainsFunc(anyNoun, func(n words.Noun) bool { return l.find(s, i, n) != nil }) {
			return true
		}
	}
	return false
}

// suggestFirst puts a suggestion in front of the others.
func suggestFirst(d *diag.Diagnostic, text string, at diag.Range, instead string) {
	better := text[:at.Start] + instead + text[at.End:]
	if strings.Contains(instead[1:len(instead)-1], `"`) || !syntax.Parses(better) {
		return
	}
	d.Help = slices.Insert(d.Help, 0, "did you mean: "+better)
	d.Edits = []diag.Edit{{Range: at, New: instead}}
}
