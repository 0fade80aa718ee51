package sheet_test

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"netlore/query/diag"
	"netlore/store/sheet"
)

const grammarFile = "sheet.abnf"

// TestGrammarIsWhole wants every rule that is referred to, and none that is
// not.
func TestGrammarIsWhole(t *testing.T) {
	g := readGrammar(t, grammarFile)
	used := map[string]bool{"sheet": true}
	for name, n := range g {
		for _, r := range n.rules() {
			used[r] = true
			if g[r] == nil {
				t.Errorf("rule %s refers to %s, which is not there", name, r)
			}
		}
	}
	for name := range g {
		if !used[name] {
			t.Errorf("nothing refers to rule %s", name)
		}
	}
}

// newer reports whether a sheet says a newer minor version, for which this
// grammar is not made.
func newer(f *sheet.File) bool { return strings.HasPrefix(string(f.Canonical()), "netlore 1.") }

// largestMatched keeps the matcher, which is no fast one, to texts of a
// reasonable size.
const largestMatched = 20_000

// TestGrammarAgrees holds the grammar against every case of the suite: it
// takes what is valid, and of what is refused only that which the grammar
// cannot tell.
func TestGrammarAgrees(t *testing.T) {
	g := readGrammar(t, grammarFile)
	for _, c := range cases(t) {
		for _, f := range c.archive.Files {
			text := string(f.Data)
			switch {
			case strings.HasSuffix(f.Name, ".quoted"):
				text = unquoted(t, text)
			case !strings.HasSuffix(f.Name, ".lore"):
				continue
			}
			parsed, complaints := sheet.Parse(f.Name, []byte(text))
			if len(text) > largestMatched || newer(parsed) || c.layer == "version" {
				continue
			}
			want := c.layer != "grammar" && (c.kind != "canonical" || len(complaints) == 0)
			if got := g.matches("sheet", text); got != want {
				t.Errorf("%s, %s: the grammar takes it: %v, expected: %v", c.path, f.Name, got, want)
			}
		}
	}
}

// firsts are the first complaints of each line: those after it may follow from
// it.
func firsts(l diag.List) (first diag.List) {
	for _, d := range l {
		if len(first) == 0 || first[len(first)-1].Line != d.Line {
			first = append(first, d)
		}
	}
	return first
}

// onlyGrammar reports whether a code is found by the grammar alone.
func onlyGrammar(found map[string][]string, code string) bool {
	return slices.Equal(found[code], []string{"grammar"})
}

// TestGrammarSentences makes up statements from the grammar: the parser takes
// them, or complains of something that the grammar cannot tell.
func TestGrammarSentences(t *testing.T) {
	g, found := readGrammar(t, grammarFile), foundIn(t)
	random := rand.New(rand.NewPCG(20260302, 1))
	taken := map[string]int{}
	for range 20_000 {
		text := "netlore 1\n" + g.sentence(g["block"], random)
		_, complaints := sheet.Parse("sentence.lore", []byte(text))
		for _, d := range firsts(complaints) {
			if onlyGrammar(found, d.Code) {
				t.Fatalf("the grammar gives %q\n%s", text, drawn(t, diag.List{d}))
			}
		}
		if len(complaints) == 0 {
			taken[strings.Fields(text)[2]]++
		}
	}
	t.Log("taken without complaint:", taken)
	if len(taken) < 15 {
		t.Errorf("of %d kinds only was one taken without complaint", len(taken))
	}
}

// TestGrammarMutations changes letters and words of valid sheets: what the
// grammar then refuses, the parser complains of, and what the grammar takes,
// it complains of only where the grammar cannot tell.
func TestGrammarMutations(t *testing.T) {
	g, found := readGrammar(t, grammarFile), foundIn(t)
	random := rand.New(rand.NewPCG(20260302, 2))
	var seeds []string
	for _, c := range cases(t) {
		if text, ok := c.section("in.lore"); ok && (c.kind == "valid" || c.kind == "roundtrip") && len(text) < 800 {
			seeds = append(seeds, text)
		}
	}
	const tries = 3000
	refused := 0
	for range tries {
		text := mutate(seeds[random.IntN(len(seeds))], random)
		parsed, complaints := sheet.Parse("mutation.lore", []byte(text))
		if newer(parsed) {
			continue
		}
		takes := g.matches("sheet", text)
		if !takes {
			refused++
		}
		only := slices.ContainsFunc(firsts(complaints), func(d diag.Diagnostic) bool { return onlyGrammar(found, d.Code) })
		if takes && only || !takes && len(complaints) == 0 {
			t.Errorf("the grammar takes it: %v\n%q\n%s", takes, text, drawn(t, complaints))
		}
	}
	t.Logf("%d of %d refused by the grammar", refused, tries)
}

// mutate changes one to three things in a text.
func mutate(text string, random *rand.Rand) string {
	pieces := []string{" ", ",", `"`, "#", "..", ".", ":", "-", "±", "mm", "V", "0", "1,2", " on", " at", "\t", "  ", "\n", "(", ")", "x", "k", "%", "\\", " top", " nothing", " pad"}
	for range 1 + random.IntN(3) {
		i := random.IntN(len(text) + 1)
		switch piece := pieces[random.IntN(len(pieces))]; random.IntN(4) {
		case 0:
			text = text[:i] + piece + text[i:]
		case 1:
			text = text[:i] + text[min(i+1+random.IntN(2), len(text)):]
		case 2:
			text = text[:i] + piece + text[min(i+1, len(text)):]
		case 3: // a word goes
			words := strings.SplitAfter(text, " ")
			k := random.IntN(len(words))
			text = strings.Join(slices.Delete(words, k, k+1), "")
		}
	}
	return text
}
