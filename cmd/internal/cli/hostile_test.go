package cli

import (
	"os"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// TestNothingMovesTheCursor gives names, notes and words that would do
// something to a terminal wherever a command prints one: control sequences of
// ECMA-48, line ends, and the marks that turn the direction of writing (Unicode
// Standard Annex 9), which sheets may hold inside quotation marks.
func TestNothingMovesTheCursor(t *testing.T) {
	const clear, turn = "\x1b[2J\x9b31m\n\u009bx", "\u202eturned\u2066"
	benchWithBase(t)
	sheet := "netlore 1\nboard Odd rev 1 \"" + turn + "\"\npart \"C" + turn + "\" 10uF\nnet VCC power 3.3V\n  \"C" + turn + "\" 1\n" +
		"note on VCC \"" + turn + "\" by \"" + turn + "\" when 2026-03-15\n"
	for name, text := range map[string]string{
		clear + ".lore": sheet, clear + ".d356": strings.ReplaceAll(d356Head, "wren", "odd") + d356Record + "999\n", clear + ".csv": placements,
		clear + "bad.lore": sheetHead + "net A\n  C1 1\nnet B\n  C1 1\n", clear + "other.lore": "netlore 1\nboard Odd rev 1\npart \"C" + turn + "\" 22uF\n",
	} {
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Mkdir(clear, 0o755); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		{"add", clear + ".lore"}, {"add", clear + ".d356"}, {"add", clear + ".d356", clear + ".csv", "--board", turn}, {"add", clear + "bad.lore"},
		{"add", clear + "other.lore"}, {"add", clear + "none"}, {"add", clear}, {"add", clear + "none", clear}, {"add", clear + ".csv", "--board", clear},
		{"check", clear + "bad.lore"}, {"fmt", "--check", clear + "other.lore"}, {"fmt", "-w", clear + "bad.lore"},
		{"show", "Odd"}, {"show", clear}, {"show", "Odd", "rev", clear}, {"history", "Odd"}, {"diff", "Odd", clear, turn}, {"remove", clear},
		{"export", "Wren", "--to", clear + "/out"}, {"export", "--to", clear + ".csv"}, {"boards"}, {"boards", clear}, {"verify", turn},
		{"ask", "--on", "Odd", "notes"}, {"ask", "--on", "Odd", "parts"}, {"ask", "--on", clear, "parts"}, {"ask", "-f", clear}, {"ask", "-f", clear + "none"},
		{"ask", "--on", "Odd", "plan of (parts on " + clear + ")"}, {"ask", "--on", "Odd", "parts on \"" + turn + "\""}, {"ask", "--rows", clear, "parts"},
		{"explain", clear}, {"meter", clear}, {"supply", turn}, {"meter", "--spread", clear, "10.0.0.7"}, {"quote", turn}, {"help", clear}, {clear}, {clear, turn}, {"add", "--" + clear}, {"-" + clear}, {"--colour", clear}, {"completion", turn},
		{"--base", clear, "boards"}, {"--base", clear + ".csv", "boards"}, {"--base", clear + "/none", "boards"},
	} {
		code, out, complaints := command(t, "", append([]string{"--base", "base"}, args...)...)
		if !documented[code] {
			t.Errorf("%q: exit code %d", args, code)
		}
		moves := func(r rune) bool {
			return r != '\n' && unicode.In(r, unicode.Cc, unicode.Bidi_Control, unicode.Zl, unicode.Zp)
		}
		if said := out + complaints; strings.ContainsFunc(said, moves) || !utf8.ValidString(said) {
			t.Errorf("%q lets something through:\n%q", args, said)
		}
		if strings.Contains(complaints, "\nx") {
			t.Errorf("%q breaks a line:\n%s", args, complaints)
		}
	}
}
