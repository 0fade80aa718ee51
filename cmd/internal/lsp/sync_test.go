package lsp_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/google/go-cmp/cmp"

	"netlore/cmd/internal/lsp"
)

// pieces are what random texts are made of: letters of one to four bytes, all
// line ends, and things that get complaints.
var pieces = []string{"part C1 10uF\n", "part ", "C", "7", " ", "\n", "\r\n", "\r", "±", "Ω", "𝄞", "\"", "net V 3.3\n", "€", "", "\n\n"}

// TestIncrementalSync makes random changes, several at once, to a document and
// to a model of it. Then the server complains of the document as it does of the
// model's text opened anew: its text is the same (section DidChangeTextDocument
// Notification). It is done in each of the three encodings.
func TestIncrementalSync(t *testing.T) {
	for _, encoding := range []string{"utf-16", "utf-8", "utf-32"} {
		t.Run(encoding, func(t *testing.T) {
			r := rand.New(rand.NewPCG(1, 2))
			c := beginWith(t, lsp.Options{}, strings.Replace(modern, `["utf-16"]`, `["`+encoding+`"]`, 1))
			text := "netlore 1\n"
			c.open("untitled:doc", text)
			c.complaints("untitled:doc", 1)
			for version := 2; version < 60; version++ {
				var changes []map[string]any
				for range 1 + r.IntN(3) {
					change, next := randomChange(r, text, encoding)
					changes, text = append(changes, change), next
				}
				c.tell("textDocument/didChange", toJSON(map[string]any{
					"textDocument": map[string]any{"uri": "untitled:doc", "version": version}, "contentChanges": changes}))
				got := c.complaints("untitled:doc", version)
				c.open("untitled:fresh", text)
				want := c.complaints("untitled:fresh", 1)
				c.tell("textDocument/didClose", `{"textDocument":{"uri":"untitled:fresh"}}`)
				c.complaints("untitled:fresh", 0)
				if d := cmp.Diff(alone(want), alone(got)); d != "" {
					t.Fatalf("seed 1, 2; version %d, %q: %s", version, text, d)
				}
			}
		})
	}
}

// alone is the complaints that are about one file, not about two of them.
func alone(all []complaint) (lines []string) {
	for _, d := range all {
		if len(d.Related) == 0 {
			lines = append(lines, fmt.Sprintf("%v %s %s", d.Range, d.Code, d.Message))
		}
	}
	return lines
}

// randomChange is one change and the text after it.
func randomChange(r *rand.Rand, text, encoding string) (map[string]any, string) {
	insert := ""
	for range r.IntN(4) {
		insert += pieces[r.IntN(len(pieces))]
	}
	if r.IntN(20) == 0 {
		insert = "netlore 1\n" + insert
		return map[string]any{"text": insert}, insert
	}
	letters := []rune(text)
	at := r.IntN(len(letters) + 1)
	to := writable(letters, min(len(letters), at+r.IntN(6)))
	from := writable(letters, at)
	change := map[string]any{"range": map[string]any{"start": spotOf(letters, from, encoding), "end": spotOf(letters, to, encoding)}, "text": insert}
	return change, string(letters[:from]) + insert + string(letters[to:])
}

// writable moves a place between \r and \n, which no position names, to the end
// of their line.
func writable(letters []rune, at int) int {
	if at > 0 && at < len(letters) && letters[at-1] == '\r' && letters[at] == '\n' {
		return at - 1
	}
	return at
}

// spotOf is where a letter is, in units of an encoding.
func spotOf(letters []rune, at int, encoding string) map[string]int {
	line, start := 0, 0
	for i, l := range letters[:at] {
		if l == '\n' || l == '\r' && !(i+1 < len(letters) && letters[i+1] == '\n') {
			line, start = line+1, i+1
		}
	}
	n := len(letters[start:at])
	switch encoding {
	case "utf-16":
		n = len(utf16.Encode(letters[start:at]))
	case "utf-8":
		n = len(string(letters[start:at]))
	}
	return map[string]int{"line": line, "character": n}
}
