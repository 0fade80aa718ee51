package cli

import (
	"fmt"
	"slices"

	"netlore/cmd/internal/render"
)

// textTable is a small table that a command prints.
type textTable struct {
	app *app
	t   render.Table
}

func newText(a *app, columns ...string) *textTable {
	t := &textTable{app: a}
	for _, c := range columns {
		t.t.Columns = append(t.t.Columns, render.Column{Name: c})
	}
	return t
}

// numbers says that columns first to last, from 1, hold numbers.
func (t *textTable) numbers(first, last int) {
	for i := first - 1; i < last; i++ {
		t.t.Columns[i].Number = true
	}
}

func (t *textTable) row(cells ...any) {
	row := make([]string, len(cells))
	for i, c := range cells {
		row[i] = fmt.Sprint(c)
	}
	t.t.Rows = append(t.t.Rows, row)
}

// dropEmpty drops the columns in which no row says anything.
func (t *textTable) dropEmpty() {
	for i := len(t.t.Columns) - 1; i >= 0; i-- {
		if slices.ContainsFunc(t.t.Rows, func(row []string) bool { return row[i] != "" }) {
			continue
		}
		t.t.Columns = slices.Delete(t.t.Columns, i, i+1)
		for n := range t.t.Rows {
			t.t.Rows[n] = slices.Delete(t.t.Rows[n], i, i+1)
		}
	}
}

func (t *textTable) print() error { return t.t.Print(t.app.Out, render.Text, t.app.Width) }
