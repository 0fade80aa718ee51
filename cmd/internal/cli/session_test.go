package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netlore/query"
	"netlore/query/syntax"
	"netlore/query/words"
)

// Help has something to say about every word that can be said.
func TestEveryWordHasHelp(t *testing.T) {
	all := append(append(syntax.Heads(), words.Reserved()...), "count", "total", "least", "greatest", "mean", "median", "possibly", "plan", "any", "every", "also", "it")
	for _, n := range words.AllNouns() {
		all = append(all, n.Singular())
		for _, f := range words.FieldsOf(n) {
			all = append(all, f.Word)
		}
	}
	for c := range commands {
		if c != "?" {
			all = append(all, c)
		}
	}
	for _, w := range all {
		if text := helpOn(strings.ToLower(w)); !strings.HasPrefix(text, strings.ToLower(w)) && !strings.Contains(text, "  ") {
			t.Errorf("help %s says %q", w, text)
		}
	}
	if text := helpOn("undr"); text != "" {
		t.Errorf("help undr says %q", text)
	}
}

// No command is the first word of a question, nor can one be saved under it.
func TestCommandsAreNoQuestions(t *testing.T) {
	for c := range commands {
		if _, adjective := words.AdjectiveByWord(c); adjective || words.IsNoun(c) || syntax.Begins(c) || syntax.Parses(c+" parts") {
			t.Errorf("%s can begin a question", c)
		}
	}
}

func TestHistoryFile(t *testing.T) {
	env := map[string]string{"HOME": "/home/x", "XDG_STATE_HOME": "relative"}
	if got := historyFile(func(k string) string { return env[k] }); got != "/home/x/.local/state/netlore/history" {
		t.Error(got)
	}
	env["XDG_STATE_HOME"] = "/state"
	if got := historyFile(func(k string) string { return env[k] }); got != "/state/netlore/history" {
		t.Error(got)
	}
	if got := historyFile(func(string) string { return "" }); got != "" {
		t.Error(got)
	}
	file := filepath.Join(t.TempDir(), "a", "history")
	h := openHistory(file)
	for _, line := range []string{"parts on A", "parts on A", " covers over (\nparts )", ""} {
		if _, err := h.Write(line); err != nil {
			t.Fatal(err)
		}
	}
	h = openHistory(file)
	last, err := h.GetLine(1)
	if _, bad := h.GetLine(2); h.Len() != 2 || last != "covers over ( parts )" || err != nil || bad == nil {
		t.Errorf("%d lines, the last %q, %v", h.Len(), last, err)
	}
	if err := os.WriteFile(file, []byte(strings.Repeat("parts\n", 2*mostHistory+1)), 0o600); err != nil {
		t.Fatal(err)
	}
	openHistory(file)
	text, err := os.ReadFile(file)
	if err != nil || strings.Count(string(text), "\n") != mostHistory {
		t.Errorf("%d lines are kept, %v", strings.Count(string(text), "\n"), err)
	}
	if _, err := openHistory("/dev/null/history").Write("parts"); err == nil {
		t.Error("a history in no folder is written")
	}
}

func TestPaint(t *testing.T) {
	for text, want := range map[string]string{
		"hidden parts on VMAIN":               "Ahidden Aparts Lon NVMAIN",
		"capacitors with value at least 10uF": "Acapacitors Lwith Vvalue Lat Lleast V10uF",
		"it under shield":                     "Ait Lunder Nshield",
		"covers over (parts on \"A B\"":       "Acovers Lover L( Aparts Lon N\"A B\"",
		"count prats on A":                    "Lcount Wprats Lon NA",
		"parts on A !":                        "Aparts Lon NA W!",
		"":                                    "",
	} {
		var got []string
		for _, p := range query.Paint(text, "parts", nil) {
			got = append(got, string(" LANVW"[p.Paint])+text[p.Start:p.End])
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%s: %q, want %q", text, strings.Join(got, " "), want)
		}
	}
}
