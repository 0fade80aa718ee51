package render

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// The form of the table is that of GitHub Flavored Markdown 0.29, section
// 4.10: a line of dashes below the head, "--:" for numbers.
func TestMarkdown(t *testing.T) {
	same(t, printed(t, capacitors(), Markdown, 0), `
| part | value | cover |
| --- | ---:| --- |
| C2 | 100nF | SH1 |
| C10 | 4.7uF |  |
| C1201 | 10uF | J7, SH1 |
`)
}

// A bar inside a cell is escaped and a line end gone, so that every line has
// as many cells as the head.
func TestMarkdownCellsCannotBreakTheTable(t *testing.T) {
	for _, name := range []string{"A|B", "|", "||", "a\nb", "a\r\nb", "| --- | --- |", `A\B`, "`A|B`", "<b>", "*", "_x_", "\n\n# head", `a\|b`, `\`, `a\`} {
		table := &Table{Columns: []Column{{Name: "net"}, {Name: "kind"}}, Rows: [][]string{{name, "power"}, {"VMAIN", name}}}
		lines := strings.Split(strings.TrimSuffix(printed(t, table, Markdown, 0), "\n"), "\n")
		if len(lines) != 4 {
			t.Errorf("%q makes %d lines of 4", name, len(lines))
		}
		for _, line := range lines {
			if got := len(markdownCells(line)); got != 2 {
				t.Errorf("%q makes %d cells of 2: %s", name, got, line)
			}
		}
	}
}

func TestMarkdownBar(t *testing.T) {
	table := &Table{Columns: []Column{{Name: "net"}}, Rows: [][]string{{"A|B"}}}
	lines := strings.Split(printed(t, table, Markdown, 0), "\n")
	if diff := cmp.Diff([]string{`A\|B`}, markdownCells(lines[2])); diff != "" {
		t.Error(diff)
	}
}

// markdownCells splits a row as section 4.10 says: at bars that are not
// escaped; the ones at both ends are no cells.
func markdownCells(line string) []string {
	line = strings.TrimSuffix(strings.TrimPrefix(line, "|"), "|")
	var cells []string
	start, escaped := 0, false
	for i := 0; i < len(line); i++ {
		switch {
		case escaped:
			escaped = false
		case line[i] == '\\':
			escaped = true
		case line[i] == '|':
			cells, start = append(cells, strings.TrimSpace(line[start:i])), i+1
		}
	}
	return append(cells, strings.TrimSpace(line[start:]))
}
