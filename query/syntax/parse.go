package syntax

import (
	"fmt"

	"netlore/query/diag"
)

// What a question may be at most. They are checked before parsing, so that no
// text from outside can use up memory or stack.
const (
	maxBytes  = 16 << 10
	maxTokens = 2000
	maxOpen   = 64
)

// Parse reads a question. The list is empty, or holds at least one error and
// then there is no tree. Places in the list are bytes of text.
func Parse(text string) (*Question, diag.List) { return (*Shelf)(nil).Parse(text) }

// Parse is the function Parse for questions that ask for saved questions, too.
func (s *Shelf) Parse(text string) (*Question, diag.List) {
	tokens, d, big := readable(text)
	if big {
		return nil, diag.List{d.At(text)}
	}
	q, at := s.parseTokens(text, tokens)
	if at < 0 {
		return q, nil
	}
	return nil, s.complaints(text)
}

// Parses reports whether the text is a question, as far as words go.
func Parses(text string) bool { return (*Shelf)(nil).Parses(text) }

// Parses is the function Parses for questions that ask for saved questions, too.
func (s *Shelf) Parses(text string) bool {
	tokens, _, big := readable(text)
	if big {
		return false
	}
	_, at := s.parseTokens(text, tokens)
	return at < 0
}

// parse returns the tree, which may be a part of one, and the byte where it
// goes wrong, or -1.
func (s *Shelf) parse(text string) (*Question, int) { return s.parseTokens(text, tokenize(text)) }

func (s *Shelf) parseTokens(text string, tokens []token) (*Question, int) {
	q, at := readTokens(text, tokens)
	q.shelf = s
	if early := misplaced(q); early > 0 && early < at || at < 0 {
		at = early
	}
	return q, at
}

// parseGrammar is parse without a look at the nouns.
func parseGrammar(text string) (*Question, int) { return readTokens(text, tokenize(text)) }

func readTokens(text string, tokens []token) (*Question, int) {
	end := token{kind: endToken, rng: diag.Range{Start: len(text), End: len(text)}}
	tokens = append(tokens, end)
	q, bad := theGrammar().read(tokens)
	if bad < 0 {
		return q, -1
	}
	return q, tokens[bad].rng.Start
}

// fewerNames is what to do about a list that is too long.
var fewerNames = []string{"a pattern such as VBAT* or a range such as P11..P14 says many names in one word"}

// tooBig reports whether a text is more than can be read, and what to say then.
func tooBig(text string) (diag.Diagnostic, bool) {
	_, d, big := readable(text)
	return d, big
}

// readable gives the tokens of a text unless it is too big.
func readable(text string) ([]token, diag.Diagnostic, bool) {
	if len(text) > maxBytes {
		return nil, diag.Diagnostic{Code: "Q01", Range: diag.Range{Start: maxBytes, End: maxBytes},
			Message: fmt.Sprintf("the question is too long: at most %d KiB can be read", maxBytes>>10), Help: fewerNames}, true
	}
	tokens, open := tokenize(text), 0
	for i, t := range tokens {
		switch t.text {
		case "(":
			open++
		case ")":
			open--
		}
		if i == maxTokens {
			return nil, diag.Diagnostic{Code: "Q02", Range: t.rng,
				Message: fmt.Sprintf("the question has too many words: at most %d can be read", maxTokens), Help: fewerNames}, true
		}
		if open > maxOpen {
			return nil, diag.Diagnostic{Code: "Q03", Range: t.rng,
				Message: fmt.Sprintf("too many brackets inside each other: at most %d can be open", maxOpen)}, true
		}
	}
	return tokens, diag.Diagnostic{}, false
}
