package lsp

import (
	"strings"

	"netlore/query/diag"
)

type actionParams struct {
	Document documentID `json:"textDocument"`
	Range    textRange  `json:"range"`
	Context  struct {
		Only []string `json:"only"`
	} `json:"context"`
}

// codeActions offers the edits that complaints suggest themselves.
func (v *view) codeActions(p *actionParams) (any, error) {
	d, w, err := v.open(p.Document)
	if err != nil {
		return nil, err
	}
	all := []object{}
	if v.s.client.TextDocument.CodeAction.Literals == nil || !p.wantsFixes() {
		return all, nil
	}
	for _, c := range d.parse().found {
		if at := v.marked(d, c.Range); len(c.Edits) == 0 || !touches(at, p.Range) {
			continue
		}
		all = append(all, object{"title": fixTitle(d, c.Edits), "kind": "quickfix", "isPreferred": true,
			"diagnostics": []diagnosticItem{v.item(w, d, c)},
			"edit":        v.workspaceEdit(w, map[*document][]diag.Edit{d: c.Edits})})
	}
	return all, nil
}

// wantsFixes reports whether quick fixes are among the kinds asked for.
func (p *actionParams) wantsFixes() bool {
	for _, kind := range p.Context.Only {
		if kind == "quickfix" || kind == "" {
			return true
		}
	}
	return len(p.Context.Only) == 0
}

// touches reports whether two ranges share a place, be it at their ends.
func touches(a, b textRange) bool { return !before(a.End, b.Start) && !before(b.End, a.Start) }

func before(a, b position) bool {
	return a.Line < b.Line || a.Line == b.Line && a.Character < b.Character
}

// fixTitle says what edits do.
func fixTitle(d *document, edits []diag.Edit) string {
	var all []string
	for _, e := range edits {
		was, is := d.text[e.Range.Start:e.Range.End], strings.TrimSpace(e.New)
		switch {
		case was == "":
			all = append(all, "insert "+is)
		case is == "":
			all = append(all, "take out "+was)
		default:
			all = append(all, "write "+is+" for "+was)
		}
	}
	return strings.Join(all, ", ")
}
