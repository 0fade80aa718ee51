package main

import (
	"fmt"
	"io"
	"strings"
)

// table is one in Markdown.
type table struct {
	head []string
	rows [][]string
}

func (t *table) add(cells ...any) {
	row := make([]string, len(cells))
	for i, c := range cells {
		switch c := c.(type) {
		case float64:
			row[i] = number(c)
		default:
			row[i] = fmt.Sprint(c)
		}
	}
	t.rows = append(t.rows, row)
}

// number is a number of three digits or so.
func number(x float64) string {
	switch {
	case x != x:
		return "–"
	case x >= 100 || x <= -100:
		return fmt.Sprintf("%.0f", x)
	case x >= 10 || x <= -10:
		return fmt.Sprintf("%.1f", x)
	case x >= 1 || x <= -1:
		return fmt.Sprintf("%.2f", x)
	}
	return fmt.Sprintf("%.3f", x)
}

func percent(part, whole int) string {
	if whole == 0 {
		return "–"
	}
	return fmt.Sprintf("%.1f %%", 100*float64(part)/float64(whole))
}

func (t *table) print(w io.Writer) {
	fmt.Fprintf(w, "\n| %s |\n|%s\n", strings.Join(t.head, " | "), strings.Repeat("---|", len(t.head)))
	for _, row := range t.rows {
		fmt.Fprintf(w, "| %s |\n", strings.Join(row, " | "))
	}
}
