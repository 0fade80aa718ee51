package lsp

import (
	"fmt"

	"netlore/query/diag"
)

// formatting puts a document into canonical form, by as few edits as there are
// places where lines differ.
func (v *view) formatting(p *documentParams) (any, error) {
	d, _, err := v.open(p.Document)
	if err != nil {
		return nil, err
	}
	errors := 0
	for _, c := range d.parse().found {
		if c.Severity == diag.Error {
			errors++
		}
	}
	if errors > 0 {
		return nil, refuse("%s is not formatted while it has errors: %s", d.name(), count(errors, "error"))
	}
	return v.textEdits(d, lineEdits(d.text, string(d.file().Canonical()))), nil
}

func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
