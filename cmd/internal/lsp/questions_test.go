package lsp_test

import (
	"context"
	"slices"
	"strings"
	"testing"
	"time"

	"netlore/cmd/internal/lsp"
	"netlore/store"
	"netlore/store/board"
)

const savedQuestions = `netlore 1
board Wren rev 1
part C1 10uF
net "CHG OUT" power 3.3V
  C1 1
question bigcaps $rail "capacitors on $rail with value at least 10uF"
question lids "covers over (bigcaps for \"CHG OUT\")"
question both "bigcaps for VCC and also Bigcaps for GND"
note on C1 "bigcaps on it"
`

// TestSavedQuestionNames goes from a name in the text of a saved question to
// where it is saved, and finds and renames all places that ask for it.
func TestSavedQuestionNames(t *testing.T) {
	c := begin(t)
	c.open("untitled:q", savedQuestions)
	inside := at(t, "untitled:q", savedQuestions, `lids "covers over (big`)
	for _, test := range []struct{ name, params string }{{"in a text", inside}, {"where it is saved", at(t, "untitled:q", savedQuestions, "question bigc")}} {
		places := fromJSON[[]place](t, c.ask("textDocument/definition", test.params))
		if len(places) != 1 || places[0].Range.String() != "5:9-5:16" {
			t.Errorf("%s: defined at %v", test.name, places)
		}
		got := []string{}
		for _, p := range fromJSON[[]place](t, c.ask("textDocument/references", strings.TrimSuffix(test.params, "}")+`,"context":{"includeDeclaration":true}}`)) {
			got = append(got, p.Range.String())
		}
		if want := []string{"5:9-5:16", "6:28-6:35", "7:15-7:22", "7:40-7:47"}; !slices.Equal(got, want) {
			t.Errorf("%s: named at %v, not %v", test.name, got, want)
		}
		d := &desk{beginWith(t, lsp.Options{}, `{}`), map[string]string{"untitled:q": savedQuestions}}
		d.open("untitled:q", savedQuestions)
		if refused := d.renameAt(strings.TrimSuffix(test.params, "}"), "largecaps"); refused != "" {
			t.Fatal(refused)
		}
		want := strings.NewReplacer("bigcaps on it", "bigcaps on it", "bigcaps", "largecaps", "Bigcaps", "largecaps").Replace(savedQuestions)
		if d.texts["untitled:q"] != want {
			t.Errorf("%s: renamed\n%s", test.name, d.texts["untitled:q"])
		}
	}
	for name, why := range map[string]string{
		"parts": "a word of the language", "Big": "no name of a saved question", "lids": "called lids already", "on": "a word of the language", "x y": "no name of a saved question",
	} {
		m := c.call("textDocument/rename", strings.TrimSuffix(inside, "}")+`,"newName":`+toJSON(name)+`}`)
		if m.Error == nil || m.Error.Code != requestFailed || !strings.Contains(m.Error.Message, why) {
			t.Errorf("renamed to %s: %+v", name, m.Error)
		}
	}
	broken := strings.Replace(savedQuestions, "question both", "question bad \"prats or bigcaps\"\nquestion both", 1)
	c.open("untitled:q", broken)
	if m := c.call("textDocument/rename", strings.TrimSuffix(inside, "}")+`,"newName":"other"}`); m.Error == nil || !strings.Contains(m.Error.Message, "the question bad in") {
		t.Errorf("renamed beside a question that cannot be read: %+v", m.Error)
	}
	c.open("untitled:q", savedQuestions)
	hover := hovered(c, inside)
	for _, want := range []string{"saved question bigcaps for RAIL", "capacitors on $rail with value at least 10uF", "asked for by lids, both"} {
		if !strings.Contains(hover, want) {
			t.Errorf("hover does not say %q:\n%s", want, hover)
		}
	}
}

// TestSavedQuestionComplaints types wrong questions; each complaint stands where
// the slip is, behind the quotation mark and the backslashes before it.
func TestSavedQuestionComplaints(t *testing.T) {
	held := baseWith(t, board.SavedQuestion{Name: "heldcaps", Text: "capacitors"})
	for _, test := range []struct {
		line, code, at string // at is what is marked
	}{
		{`question q "parts onn VMAIN"`, "Q10", "onn"},
		{`question q "prats"`, "Q20", "prats"},
		{`question q "parts on \"A B\" undr shield"`, "Q10", "undr"},
		{`question q "parts with valeu = 1uF"`, "Q25", "valeu"},
		{`question q "parts with value = 3V"`, "Q41", "3V"},
		{`question q $rail "parts"`, "Q86", "q"},
		{`question q "q on VMAIN"`, "Q81", "q"},
		{`question parts "nets"`, "Q89", "parts"},
		{`question q "bigcaps with pads = 3"`, "Q83", "bigcaps"},
		{`question q "bigcaps for VMAIN"`, "", ""},
		{`question q "heldcaps on VMAIN"`, "", ""},
		{`question q "heldcapz on VMAIN"`, "Q20", "heldcapz"},
	} {
		t.Run(test.line, func(t *testing.T) {
			c := beginWith(t, lsp.Options{Base: held, Quiet: time.Millisecond}, modern)
			text := savedQuestions + test.line + "\n"
			c.open("untitled:q", text)
			found := c.complaints("untitled:q", 1)
			found = slices.DeleteFunc(found, func(x complaint) bool { return x.Code[0] != 'Q' })
			if test.code == "" && len(found) == 0 {
				return
			}
			last := strings.Split(text, "\n")[9]
			if len(found) == 0 || found[0].Code != test.code || found[0].Range.Start.Line != 9 || last[found[0].Range.Start.Character:found[0].Range.End.Character] != test.at {
				t.Errorf("%+v, want %s at %q", found, test.code, test.at)
			}
		})
	}
}

// baseWith is a knowledge base with one saved question.
func baseWith(t *testing.T, q board.SavedQuestion) func(context.Context) (*store.Base, error) {
	t.Helper()
	dir := t.TempDir()
	b, err := store.Open(t.Context(), dir, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.Save(t.Context(), q, "bench-1"); err != nil {
		t.Fatal(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	return func(ctx context.Context) (*store.Base, error) {
		return store.Open(ctx, dir, store.Options{ReadOnly: true, Wait: time.Second})
	}
}

// TestSavedQuestionCompletion completes inside the quotation marks of a saved
// question, closed or not, and what is put in is what the sheet must hold.
func TestSavedQuestionCompletion(t *testing.T) {
	for _, test := range []struct{ line, label, want string }{
		{`question q "capac|"`, "capacitors", `question q "capacitors"`},
		{`question q "capac|`, "capacitors", `question q "capacitors`},
		{`question q "bigc|"`, "bigcaps", `question q "bigcaps"`},
		{`question q "parts on CH|"`, `"CHG OUT"`, `question q "parts on \"CHG OUT\""`},
		{`question q "parts on \"CHG OUT\" und| shield"`, "under", `question q "parts on \"CHG OUT\" under shield"`},
		{`question q "parts with val|"`, "value", `question q "parts with value"`},
		{`question q $rail "parts on $r|"`, "$rail", `question q $rail "parts on $rail"`},
		{`question q "parts sorted by descending cl|`, "", ""},
	} {
		t.Run(test.line, func(t *testing.T) {
			text, params := cursor(t, "untitled:x", savedQuestions+test.line)
			completed(t, "untitled:x", text, params)
			c := begin(t)
			c.open("untitled:x", text)
			got := fromJSON[suggestions](t, c.ask("textDocument/completion", params))
			for _, item := range got.Items {
				if item.Label != test.label {
					continue
				}
				lines := strings.Split(applied(text, []wireEdit{item.TextEdit}), "\n")
				if is := lines[len(lines)-1]; is != test.want {
					t.Errorf("it becomes %s, want %s", is, test.want)
				}
				return
			}
			if test.label != "" {
				t.Errorf("%s is not among %+v", test.label, got.Items)
			}
		})
	}
}
