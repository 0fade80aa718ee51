package query

import (
	"flag"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/query/syntax"
	"netlore/query/words"
	"netlore/store/board"
)

var update = flag.Bool("update", false, "write the tables of LANGUAGE.md anew")

const language = "LANGUAGE.md"

// TestLanguageTables keeps what LANGUAGE.md says of grammar, nouns, adjectives,
// relations and reserved words in step with the tables that questions are
// checked with.
func TestLanguageTables(t *testing.T) {
	was, err := os.ReadFile(language)
	if err != nil {
		t.Fatal(err)
	}
	text := string(was)
	for name, table := range map[string]func(*testing.T) string{
		"grammar": grammar, "nouns": nounTable, "adjectives": adjectiveTable, "relations": relationTable, "reserved": reservedWords,
	} {
		begin := "<!-- " + name + " -->\n"
		from := strings.Index(text, begin)
		if from < 0 {
			t.Fatalf("%s has no table of %s", language, name)
		}
		from += len(begin)
		to := from + strings.Index(text[from:], "<!-- end -->")
		text = text[:from] + table(t) + text[to:]
	}
	if d := cmp.Diff(string(was), text); d != "" && !*update {
		t.Errorf("%s is not what the tables say:\n%s", language, d)
	}
	if *update {
		if err := os.WriteFile(language, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

func grammar(t *testing.T) string {
	ebnf, err := os.ReadFile("syntax/grammar.ebnf")
	if err != nil {
		t.Fatal(err)
	}
	return "```ebnf\n" + string(ebnf) + "```\n"
}

func nounTable(*testing.T) string {
	var s strings.Builder
	s.WriteString("| noun | what it is | fields |\n|---|---|---|\n")
	for _, n := range words.AllNouns() {
		var fields []string
		for _, f := range words.FieldsOf(n) {
			text := f.Word
			if unit := shownUnit(f.Unit); unit != "" {
				text += " (" + unit + ")"
			}
			fields = append(fields, text)
		}
		fmt.Fprintf(&s, "| `%s` | %s | %s |\n", n, n.Doc(), strings.Join(fields, ", "))
	}
	return s.String()
}

// shownUnit is the unit in which columns of answers have their numbers.
func shownUnit(u board.Unit) string {
	switch u {
	case board.Metre:
		return "mm"
	case board.Second:
		return "min"
	}
	return u.String()
}

func adjectiveTable(*testing.T) string {
	var s strings.Builder
	s.WriteString("| adjective | before | says |\n|---|---|---|\n")
	for _, a := range words.AllAdjectives() {
		fmt.Fprintf(&s, "| `%s` | %s | %s |\n", a, nouns(a.Nouns()), a.Doc())
	}
	return s.String()
}

func relationTable(*testing.T) string {
	var s strings.Builder
	s.WriteString("| relation | says | of | takes |\n|---|---|---|---|\n")
	for _, r := range words.AllRelations() {
		for _, use := range uses(r) {
			fmt.Fprintf(&s, "| `%s` | %s | %s | %s |\n", r, r.Doc(), nouns(use.from), nouns(use.to))
		}
	}
	return s.String()
}

type use struct{ from, to []words.Noun }

// uses are what a relation ties, those that take the same put together.
func uses(r words.Relation) []use {
	var all []use
next:
	for _, n := range words.AllNouns() {
		to := r.Operands(n)
		if to == nil {
			continue
		}
		for i := range all {
			if nouns(all[i].to) == nouns(to) {
				all[i].from = append(all[i].from, n)
				continue next
			}
		}
		all = append(all, use{[]words.Noun{n}, to})
	}
	return all
}

func nouns(list []words.Noun) string {
	var all []string
	for _, n := range list {
		all = append(all, n.String())
	}
	return strings.Join(all, ", ")
}

func reservedWords(*testing.T) string { return "`" + strings.Join(words.Reserved(), "` `") + "`\n" }

var codeSpan = regexp.MustCompile("`([^`\n]+)`")

// TestLanguageSpeaksTheLanguage reads every question that LANGUAGE.md has in a
// line of text.
func TestLanguageSpeaksTheLanguage(t *testing.T) {
	text, err := os.ReadFile(language)
	if err != nil {
		t.Fatal(err)
	}
	read := 0
	for i, part := range strings.Split(string(text), "```") {
		if i%2 == 1 {
			continue // a block, which is run elsewhere
		}
		for _, m := range codeSpan.FindAllStringSubmatch(part, -1) {
			first, rest, _ := strings.Cut(m[1], " ")
			_, adjective := words.AdjectiveByWord(first)
			if rest == "" || m[1] == "why not" || !words.IsNoun(first) && !adjective && first != "why" && first != "count" && first != "plan" && first != "route" {
				continue
			}
			if read++; !syntax.Parses(m[1]) {
				t.Errorf("not a question: %s", m[1])
			}
		}
	}
	if read < 10 {
		t.Errorf("only %d questions found", read)
	}
}
