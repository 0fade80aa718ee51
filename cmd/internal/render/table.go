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

// Print prints the table as text, CSV or Markdown. Text is never wider than
// width columns: its cells are broken at blanks, and where even that is not
// enough, one record a block is printed. Nothing is cut; width 0 is no limit.
func (t *Table) Print(w io.Writer, format Format, width int) error {
	switch format {
	case CSV:
		return t.csv(w)
	case Markdown:
		return write(w, t.writer(t.cells(markdown)).RenderMarkdown())
	}
	cells := t.cells(diag.Printable)
	t.alignPoints(cells)
	for _, between := range []string{gap, narrowGap} {
		if widths, fits := t.widths(cells, width, len(between)); fits {
			out := t.writer(cells)
			out.SetStyle(plain(between))
			out.SetColumnConfigs(t.configs(widths))
			return write(w, trimLines(out.Render()))
		}
	}
	return t.records(w, cells, width)
}

// cells are the rows, each cell as clean makes it.
func (t *Table) cells(clean func(string) string) [][]string {
	all := make([][]string, len(t.Rows))
	for r, cells := range t.Rows {
		all[r] = make([]string, len(cells))
		for i, c := range cells {
			all[r][i] = clean(c)
		}
	}
	return all
}

func write(w io.Writer, s string) error {
	_, err := io.WriteString(w, s+"\n")
	return err
}

// writer lays out cells.
func (t *Table) writer(cells [][]string) table.Writer {
	tw := table.NewWriter()
	tw.SetStyle(plain(gap))
	tw.SetColumnConfigs(t.configs(nil))
	head := make(table.Row, len(t.Columns))
	for i, c := range t.Columns {
		head[i] = c.Name
	}
	tw.AppendHeader(head)
	for _, row := range cells {
		all := make(table.Row, len(row))
		for i, c := range row {
			all[i] = c
		}
		tw.AppendRow(all)
	}
	return tw
}

// configs put numbers at the right and break heads; widths may be nil.
func (t *Table) configs(widths []int) []table.ColumnConfig {
	all := make([]table.ColumnConfig, len(t.Columns))
	for i, c := range t.Columns {
		all[i] = table.ColumnConfig{Number: i + 1, WidthMaxEnforcer: Wrap}
		if widths != nil {
			all[i].WidthMax = widths[i]
		}
		if c.Number {
			all[i].Align, all[i].AlignHeader = text.AlignRight, text.AlignRight
		}
	}
	return all
}

// plain is a table with a line under its head and nothing else but what stands
// between its columns.
func plain(between string) table.Style {
	return table.Style{
		Name: "plain",
		Box: table.BoxStyle{MiddleHorizontal: "─", MiddleSeparator: between, MiddleVertical: between,
			TopSeparator: between, BottomSeparator: between, UnfinishedRow: " …"},
		Options: table.Options{SeparateHeader: true, SeparateColumns: true},
		Format:  table.FormatOptions{Header: text.FormatDefault, Row: text.FormatDefault},
	}
}

func trimLines(s string) string {
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	return strings.Join(lines, "\n")
}

// records prints one block a row, a line a cell, or more where it is broken at
// blanks.
func (t *Table) records(w io.Writer, rows [][]string, width int) error {
	most := 0
	for _, c := range t.Columns {
		most = max(most, runewidth.StringWidth(c.Name))
	}
	next := "\n" + strings.Repeat(" ", most) + gap
	var s strings.Builder
	for r, cells := range rows {
		if r > 0 {
			s.WriteByte('\n')
		}
		for i, cell := range cells {
			cell = strings.ReplaceAll(Wrap(strings.TrimSpace(cell), width-most-len(gap)), "\n", next)
			line := runewidth.FillRight(t.Columns[i].Name, most) + gap + cell
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
