package words

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/store/board"
)

// The reserved words are a promise: a word more makes a question that worked
// mean something else.
func TestReservedWordsAreClosed(t *testing.T) {
	want := strings.Fields(`and or not except shared show by sorted first unknown from to through why
		on of in under over behind within with without where joined leading fed lost reading for is at above below between
		as`)
	if d := cmp.Diff(want, Reserved()); d != "" {
		t.Error(d)
	}
}

// No word means two things in one place: a noun is no adjective, and nothing
// that can begin a question is reserved.
func TestNoWordMeansTwoThings(t *testing.T) {
	seen := map[string]string{}
	note := func(word, what string) {
		if was, ok := seen[word]; ok {
			t.Errorf("%s is %s and %s", word, was, what)
		}
		if IsReserved(word) {
			t.Errorf("%s %s is reserved", what, word)
		}
		seen[word] = what
	}
	for _, n := range AllNouns() {
		note(n.String(), "a noun")
	}
	for _, c := range board.Classes() {
		note(c.Plural(), "a kind of part")
	}
	for _, k := range CoverKinds() {
		if _, ok := CoverKindByPlural(k.String() + "s"); ok {
			note(k.String()+"s", "a kind of cover")
		}
	}
	for _, a := range AllAdjectives() {
		note(a.String(), "an adjective")
	}
}

func TestEveryWordIsFoundAndExplained(t *testing.T) {
	for _, n := range AllNouns() {
		if got, ok := NounByWord(strings.ToUpper(n.String())); !ok || got != n || n.Doc() == "" {
			t.Errorf("%s: found %s, %q", n, got, n.Doc())
		}
		for _, id := range n.Columns() {
			if FieldByID(n, id) == nil {
				t.Errorf("%s shows field %d, which it has not", n, id)
			}
		}
	}
	for _, a := range AllAdjectives() {
		if got, ok := AdjectiveByWord(a.String()); !ok || got != a || a.Doc() == "" || len(a.Nouns()) == 0 {
			t.Errorf("%s: found %s, %q", a, got, a.Doc())
		}
	}
	for _, r := range AllRelations() {
		if got, ok := RelationByWord(r.String()); !ok || got != r || r.Doc() == "" || DutyOf(strings.Fields(r.String())[0]) != Relating {
			t.Errorf("%s: found %s, %q", r, got, r.Doc())
		}
	}
}

func TestFieldsAreWellFormed(t *testing.T) {
	for _, n := range AllNouns() {
		var seen []string
		for _, f := range FieldsOf(n) {
			if got, ok := FieldByWord(n, f.Word); !ok || got != f || f.Noun != n || f.Doc == "" || IsReserved(f.Word) || slices.Contains(seen, f.Word) {
				t.Errorf("field %s of %s", f, n)
			}
			if FieldByID(n, f.ID) != f {
				t.Errorf("field %s of %s shares its id", f, n)
			}
			seen = append(seen, f.Word)
		}
	}
}

func TestQuoteName(t *testing.T) {
	for name, want := range map[string]string{
		"VMAIN": "VMAIN", "ON": `"ON"`, "shield": `"shield"`, "Net": `"Net"`, "parts": `"parts"`, "any": `"any"`, "VM AIN": `"VM AIN"`,
		"5V": "5V", "N$12": "N$12", "a:b": `"a:b"`, "VBAT*": `"VBAT*"`, `a"b`: `"a\"b"`, "#1": `"#1"`, "power": `"power"`,
	} {
		if got := QuoteName(name); got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
}

// TestEveryWordIsQuoted: no word of the language may stand bare as a name.
func TestEveryWordIsQuoted(t *testing.T) {
	all := append(Reserved(), leaders()...)
	for _, n := range AllNouns() {
		all = append(all, n.String())
	}
	for _, c := range board.Classes() {
		all = append(all, PartKind{Class: c}.String())
	}
	for _, k := range CoverKinds() {
		all = append(all, k.String(), k.String()+"s")
	}
	for _, word := range append(all, zeroOhm) {
		for _, name := range []string{word, strings.ToUpper(word)} {
			if got := QuoteName(name); got != `"`+name+`"` {
				t.Errorf("%s is written %s", name, got)
			}
		}
	}
}
