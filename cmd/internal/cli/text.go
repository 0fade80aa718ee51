package cli

import (
	"fmt"

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

func (t *textTable) print() error { return t.t.Print(t.app.Out, render.Text, t.app.Width) }
