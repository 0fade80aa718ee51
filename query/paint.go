package query

import (
	"netlore/query/syntax"
	"netlore/store/board"
)

// Piece is a piece of a question and what it is, for those who colour it.
type Piece = syntax.Piece

// Paint cuts a question, which may be unfinished, into pieces. With the reading
// of a last question, it is a noun.
func Paint(text, it string, saved []board.SavedQuestion) []Piece {
	return Options{It: it}.shelf(&board.Catalogue{Questions: saved}).Paint(text)
}

// Unfinished reports whether a question that is typed goes on in the next line.
func Unfinished(text string) bool { return syntax.Unfinished(text) }

// shelf is what can be asked for besides the nouns of the language: what is
// saved, and the last answer.
func (opt Options) shelf(all *board.Catalogue) *syntax.Shelf {
	if opt.It == "" {
		return syntax.NewShelf(all.Questions)
	}
	it := board.SavedQuestion{Name: It, Text: opt.It}
	return syntax.NewShelf(append([]board.SavedQuestion{it}, all.Questions...))
}

// It is the noun for the last answer.
const It = "it"

// shellWords are nouns and commands of those who ask one question after the
// other, which are not to be confused with saved questions.
var shellWords = map[string]bool{It: true, "help": true, "quit": true, "exit": true, "save": true, "saved": true, "forget": true, "explain": true}
