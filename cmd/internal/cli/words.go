package cli

import (
	"fmt"
	"strings"

	"github.com/jedib0t/go-pretty/v6/text"
	"github.com/spf13/cobra"

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
	for _, n := range words.AllNouns() {
		fmt.Fprintf(&s, "  %-10s %s\n", n, n.Doc())
	}
	s.WriteString("\nand for parts by their class: capacitors, resistors, inductors, chips …\n\nBefore them can stand:\n\n")
	for _, a := range words.AllAdjectives() {
		fmt.Fprintf(&s, "  %-10s %s\n", a, a.Doc())
	}
	s.WriteString("\nAfter them, what they are related to:\n\n")
	for _, r := range words.AllRelations() {
		fmt.Fprintf(&s, "  %-12s %s\n", r, r.Doc())
	}
	s.WriteString("\nThe last four follow a supply: through inductors, beads, fuses or 0ohm, unless\n" +
		"it is said through what: through resistors below 1ohm, through any. So does\n" +
		"route from J2 to U300, which is a question of its own.\n")
	s.WriteString("\nThese words are never names unless they are quoted, as in \"ON\":\n\n")
	for line := range strings.Lines(text.WrapSoft(strings.Join(words.Reserved(), " "), 76)) {
		s.WriteString("  " + strings.TrimSpace(line) + "\n")
	}
	return s.String()
}
