package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"netlore/cmd/internal/render"
	"netlore/query/words"
)

// newWords makes the help topic `netlore help words`.
func newWords() *cobra.Command {
	return &cobra.Command{Use: "words", Short: "the words of the question language", Long: wordsText()}
}

// wordsText lists the words that the language knows, from its own tables.
func wordsText() string {
	var s strings.Builder
	s.WriteString("A question asks for things, narrowed by what is said of them:\n\n")
	explained(&s, words.AllNouns())
	s.WriteString("\nand for parts by their class: capacitors, resistors, inductors, chips …\n\nBefore them can stand:\n\n")
	explained(&s, words.AllAdjectives())
	s.WriteString("\nAfter them, what they are related to:\n\n")
	explained(&s, words.AllRelations())
	s.WriteString("\nand for pads, nets and pins, what was read: reading below expected by 15%\n")
	s.WriteString("\nJoined, leading, fed and lost follow a supply through inductors, beads, fuses or\n" +
		"0ohm, unless it is said through what: through resistors below 1ohm, through any.\n" +
		"So does route from J2 to U300, which is a question of its own.\n")
	s.WriteString("\nThese words are never names unless they are quoted, as in \"ON\":\n\n")
	for line := range strings.Lines(render.Wrap(strings.Join(words.Reserved(), " "), 76)) {
		s.WriteString("  " + strings.TrimSpace(line) + "\n")
	}
	return s.String()
}

// explained lists words, each with what it means beside it, on 80 columns.
func explained[T interface {
	String() string
	Doc() string
}](s *strings.Builder, all []T) {
	widest := 0
	for _, w := range all {
		widest = max(widest, len(w.String()))
	}
	next := "\n" + strings.Repeat(" ", widest+4)
	for _, w := range all {
		fmt.Fprintf(s, "  %-*s  %s\n", widest, w, strings.ReplaceAll(render.Wrap(w.Doc(), 80-widest-4), "\n", next))
	}
}
