// Package render prints tables and answers: as text for people, as CSV
// (RFC 4180), as JSON with one object a line, and as Markdown.
package render

import (
	"bufio"
	"io"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"
	"github.com/mattn/go-runewidth"

	"netlore/query/diag"
)

// Format is how a table is printed.
type Format uint8

const (
	Text Format = iota
	CSV
	JSON
	Markdown
)

// FormatByWord finds a format by its name.
func FormatByWord(word string) (Format, bool) {
	f, ok := map[string]Format{"table": Text, "csv": CSV, "json": JSON, "markdown": Markdown}[word]
	return f, ok
}

// FormatWords are the names of the formats.
func FormatWords() []string { return []string{"table", "csv", "json", "markdown"} }

// Column is the head of a column of a Table.
type Column struct {
	Name   string
	Number bool // its cells stand at the right
}

// Table is cells that are texts already.
type Table struct {
	Columns []Column
	Rows    [][]string
}

// Print prints the table as text, CSV or Markdown. Text that is wider than
// width columns is printed as one record a block instead of being cut; width 0
// is no limit.
func (t *Table) Print(w io.Writer, format Format, width int) error {
	switch format {
	case CSV:
		return t.csv(w)
	case Markdown:
		return write(w, t.writer(markdown).RenderMarkdown())
	}
	out := t.writer(diag.Printable).Render()
	if width > 0 && widest(out) > width {
		return t.records(w)
	}
	return write(w, trimLines(out))
}

func write(w io.Writer, s string) error {
	_, err := io.WriteString(w, s+"\n")
	return err
}

// writer lays the table out, each cell as clean makes it.
func (t *Table) writer(clean func(string) string) table.Writer {
	tw := table.NewWriter()
	tw.SetStyle(plain)
	head := make(table.Row, len(t.Columns))
	var configs []table.ColumnConfig
	for i, c := range t.Columns {
		head[i] = c.Name
		if c.Number {
			configs = append(configs, table.ColumnConfig{Number: i + 1, Align: text.AlignRight, AlignHeader: text.AlignRight})
		}
	}
	tw.SetColumnConfigs(configs)
	tw.AppendHeader(head)
	for _, cells := range t.Rows {
		row := make(table.Row, len(cells))
		for i, c := range cells {
			row[i] = clean(c)
		}
		tw.AppendRow(row)
	}
	return tw
}

// plain is a table with a line under its head and nothing else.
var plain = table.Style{
	Name: "plain",
	Box: table.BoxStyle{MiddleHorizontal: "─", MiddleSeparator: "  ", MiddleVertical: "  ",
		TopSeparator: "  ", BottomSeparator: "  ", UnfinishedRow: " …"},
	Options: table.Options{SeparateHeader: true, SeparateColumns: true},
	Format:  table.FormatOptions{Header: text.FormatDefault, Row: text.FormatDefault},
}

func trimLines(s string) string {
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	return strings.Join(lines, "\n")
}

func widest(s string) int {
	most := 0
	for line := range strings.SplitSeq(s, "\n") {
		most = max(most, runewidth.StringWidth(strings.TrimRight(line, " ")))
	}
	return most
}

// records prints one block a row, a line a cell.
func (t *Table) records(w io.Writer) error {
	most := 0
	for _, c := range t.Columns {
		most = max(most, runewidth.StringWidth(c.Name))
	}
	var s strings.Builder
	for r, cells := range t.Rows {
		if r > 0 {
			s.WriteByte('\n')
		}
		for i, cell := range cells {
			line := runewidth.FillRight(t.Columns[i].Name, most) + "  " + diag.Printable(cell)
			s.WriteString(strings.TrimRight(line, " ") + "\n")
		}
	}
	_, err := io.WriteString(w, s.String())
	return err
}

// csv prints by the rules of RFC 4180. The standard library's writer drops
// carriage returns inside cells, and prints a lone empty cell as an empty line,
// which readers pass over.
func (t *Table) csv(w io.Writer) error {
	out := bufio.NewWriter(w)
	head := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		head[i] = c.Name
	}
	csvLine(out, head)
	for _, cells := range t.Rows {
		csvLine(out, cells)
	}
	return out.Flush()
}

// csvLine writes one record. A failed write shows when out is flushed.
func csvLine(out *bufio.Writer, cells []string) {
	for i, cell := range cells {
		if i > 0 {
			out.WriteByte(',')
		}
		if strings.ContainsAny(cell, "\",\r\n") || strings.TrimSpace(cell) != cell || len(cells) == 1 && cell == "" {
			cell = `"` + strings.ReplaceAll(cell, `"`, `""`) + `"`
		}
		out.WriteString(cell)
	}
	out.WriteString("\r\n")
}

// markdown makes a cell of a Markdown table, where a backslash escapes; the
// table's writer deals with bars.
func markdown(s string) string { return strings.ReplaceAll(diag.Printable(s), `\`, `\\`) }
