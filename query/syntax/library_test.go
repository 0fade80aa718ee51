package syntax

import (
	"errors"
	"io"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"
	"github.com/google/go-cmp/cmp"
	"golang.org/x/tools/txtar"
)

// library is the participle library's parser of the same tags. It is what the
// reader is held to.
var library = sync.OnceValue(buildLibrary)

func buildLibrary() *participle.Parser[Question] {
	return participle.MustBuild[Question](
		participle.Lexer(definition{}),
		participle.CaseInsensitive("Word", "Leader", "Relation", "Compare", "Reserved"),
		participle.Elide("Blank"),
		participle.UseLookahead(mostTaken),
	)
}

// byLibrary is parseGrammar done by the library.
func byLibrary(text string) (*Question, int) {
	q, err := library().ParseString("", text)
	var bad participle.Error
	switch {
	case errors.As(err, &bad):
		return q, bad.Position().Offset
	case err != nil:
		panic(err)
	}
	return q, -1
}

// definition hands the tokens to the library.
type definition struct{}

func (definition) Symbols() map[string]lexer.TokenType {
	symbols := map[string]lexer.TokenType{"EOF": lexer.EOF, "Reserved": typeOf(reservedToken), "Blank": typeOf(blankToken)}
	for name, kind := range kindNames {
		symbols[name] = typeOf(kind)
	}
	return symbols
}

// typeOf is a kind as the library has it: below EOF, which is -1.
func typeOf(kind tokenKind) lexer.TokenType { return -2 - lexer.TokenType(kind) }

func (definition) Lex(_ string, r io.Reader) (lexer.Lexer, error) {
	text, err := io.ReadAll(r)
	return &tokenList{text: string(text)}, err
}

type tokenList struct {
	text string
	at   int
}

func (l *tokenList) Next() (lexer.Token, error) {
	pos := lexer.Position{Offset: l.at}
	if l.at == len(l.text) {
		return lexer.EOFToken(pos), nil
	}
	t := tokenAt(l.text, l.at)
	l.at = t.rng.End
	return lexer.Token{Type: typeOf(t.kind), Value: t.text, Pos: pos}, nil
}

// selfRead reads a node that reads itself from the library's tokens, of which it
// takes so many at most.
func selfRead(n selfReader, l *lexer.PeekingLexer, most int) error {
	if !n.begins(tokenOf(l.Peek())) {
		return participle.NextMatch
	}
	before := l.MakeCheckpoint()
	var tokens []token
	for ; len(tokens) < most && !l.Peek().EOF(); l.Next() {
		tokens = append(tokens, tokenOf(l.Peek()))
	}
	l.LoadCheckpoint(before)
	size := n.read(append(tokens, token{kind: endToken}))
	for range size {
		l.Next()
	}
	if size == 0 {
		return participle.NextMatch
	}
	return nil
}

func tokenOf(t *lexer.Token) token {
	if t.EOF() {
		return token{kind: endToken}
	}
	one := tokenAt(t.Value, 0)
	one.rng.Start += t.Pos.Offset
	one.rng.End += t.Pos.Offset
	return one
}

func (n *Name) Parse(l *lexer.PeekingLexer) error   { return selfRead(n, l, 1) }
func (w *Width) Parse(l *lexer.PeekingLexer) error  { return selfRead(w, l, 1) }
func (r *Region) Parse(l *lexer.PeekingLexer) error { return selfRead(r, l, maxTokens) }

func (k *Keyword) Capture(words []string) error {
	k.take(tokenize(strings.Join(words, " ")))
	return nil
}

func (t *Tight) Capture(words []string) error {
	t.take(tokenize(strings.Join(words, " ")))
	return nil
}

// sameAsLibrary checks that the reader and the library make the same of a text:
// the tree, or what there is of it, and the place where it goes wrong. Where the
// nodes stand is another test's.
func sameAsLibrary(t *testing.T, text string) {
	t.Helper()
	want, wantAt := byLibrary(text)
	got, at := parseGrammar(text)
	if at != wantAt {
		t.Errorf("%q goes wrong at %d, by the library at %d", text, at, wantAt)
	}
	if d := cmp.Diff(tree(want), tree(got)); d != "" {
		t.Errorf("%q, - by the library, + by the reader:\n%s", text, d)
	}
}

// questions are the first lines of all case files, right and wrong ones.
func questions(t testing.TB) []string {
	var all []string
	for _, pattern := range []string{"*.txtar", "*/*.txtar"} {
		files, err := filepath.Glob("../../testdata/query/" + pattern)
		if err != nil || len(files) == 0 {
			t.Fatalf("no cases fit %s: %v", pattern, err)
		}
		for _, file := range files {
			archive, err := txtar.ParseFile(file)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range archive.Files {
				text, _, _ := strings.Cut(string(f.Data), "\n")
				all = append(all, text)
			}
		}
	}
	return all
}

// TestSameAsLibrary asks every question of the case files, and each once more cut
// off, with a word less and with a word more at every place.
func TestSameAsLibrary(t *testing.T) {
	all := questions(t)
	if len(all) < 500 {
		t.Errorf("only %d questions were found", len(all))
	}
	r := rand.New(rand.NewPCG(5, 6))
	for i, text := range all {
		sameAsLibrary(t, text)
		if testing.Short() && i%10 > 0 {
			continue
		}
		for _, tok := range tokenize(text) {
			before, after := text[:tok.rng.Start], text[tok.rng.End:]
			more := strings.Fields(all[r.IntN(len(all))] + " " + units[r.IntN(len(units))])
			sameAsLibrary(t, before)
			sameAsLibrary(t, before+after)
			sameAsLibrary(t, before+more[r.IntN(len(more))]+" "+text[tok.rng.Start:])
		}
	}
}

// FuzzSameAsLibrary does so with any text.
func FuzzSameAsLibrary(f *testing.F) {
	for _, text := range questions(f) {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		// The library takes these two for s and k. So it finds words of the language
		// in them; we do not.
		if len(text) > 400 || strings.ContainsAny(text, "\u017f\u212a") {
			return
		}
		sameAsLibrary(t, text)
	})
}
