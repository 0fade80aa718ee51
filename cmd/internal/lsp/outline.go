package lsp

import (
	"maps"
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/store/sheet"
)

// symbolKinds are the numbers of the protocol that fit the kinds of statements
// best (section Document Symbols); they choose the little picture.
var symbolKinds = map[string]int{"board": 4, "stack": 4, "outline": 8, "cover": 23, "part": 5, "net": 13, "pad": 8,
	"branch": 13, "join": 25, "via": 8, "hole": 8, "track": 8, "expect": 14, "reading": 16, "note": 15, "continuity": 25, "job": 24, "question": 12, "meter": 19, "chance": 16}

const memberKind = 8 // a field

type symbol struct {
	Name     string    `json:"name"`
	Detail   string    `json:"detail,omitempty"`
	Kind     int       `json:"kind"`
	Range    textRange `json:"range"`
	Selected textRange `json:"selectionRange"`
	Children []symbol  `json:"children,omitempty"`
}

// symbols lists the statements of a document with their members.
func (v *view) symbols(p *documentParams) (any, error) {
	d, _, err := v.open(p.Document)
	if err != nil {
		return nil, err
	}
	all := []symbol{}
	for _, s := range d.file().Statements() {
		all = append(all, v.symbol(d, &s))
	}
	if v.s.client.TextDocument.DocumentSymbol.Hierarchical {
		return all, nil
	}
	flat := []object{}
	for _, s := range all {
		flat = append(flat, object{"name": s.Name, "kind": s.Kind, "location": location{d.uri, s.Range}})
	}
	return flat, nil
}

func (v *view) symbol(d *document, s *sheet.Statement) symbol {
	place := func(r diag.Range) textRange { return d.lines().textRange(r, v.s.client.encoding) }
	first, _, _ := strings.Cut(d.text[s.At.End:s.Whole.End], "\n")
	out := symbol{Name: s.Kind + " " + s.Title, Detail: strings.TrimSpace(first), Kind: symbolKinds[s.Kind], Range: place(s.Whole), Selected: place(s.At)}
	for _, m := range s.Members {
		out.Children = append(out.Children, symbol{Name: m.Title, Kind: memberKind, Range: place(m.Whole), Selected: place(m.At)})
	}
	return out
}

type findParams struct {
	Query string `json:"query"`
}

// find lists statements about things whose name holds what is asked for, in the
// sheets that are open and those beside them (section Workspace Symbols
// Request).
func (v *view) find(p *findParams) (any, error) {
	all := []object{}
	seen := map[string]bool{}
	query := strings.ToLower(p.Query)
	for _, key := range slices.Sorted(maps.Keys(v.docs.open)) {
		for _, d := range v.s.disk.world(v.ctx, v.docs, v.docs.open[key]).docs {
			if seen[keyOf(d.uri)] {
				continue
			}
			seen[keyOf(d.uri)] = true
			for _, s := range d.file().Statements() {
				if len(all) == maxItems || v.ctx.Err() != nil {
					return all, v.ctx.Err()
				}
				if symbol := v.symbol(d, &s); strings.Contains(strings.ToLower(symbol.Name), query) {
					all = append(all, object{"name": symbol.Name, "kind": symbol.Kind, "containerName": d.name(), "location": location{d.uri, symbol.Range}})
				}
			}
		}
	}
	return all, nil
}

type fold struct {
	Start int    `json:"startLine"`
	End   int    `json:"endLine"`
	Kind  string `json:"kind,omitempty"`
}

// folding finds what can be folded: a statement with its members, a run of
// comments, and statements of one kind without members that stand together.
func (v *view) folding(p *documentParams) (any, error) {
	d, _, err := v.open(p.Document)
	if err != nil {
		return nil, err
	}
	all := []fold{}
	line := func(offset int) int { return int(d.lines().position(offset, utf8Bytes).Line) }
	run := fold{Start: -1}
	kind := ""
	for _, s := range d.file().Statements() {
		start, end := line(s.Whole.Start), line(s.Whole.End)
		if s.Kind != kind || start != end || start != run.End+1 {
			all = run.appendTo(all)
			run, kind = fold{Start: start, End: start, Kind: "region"}, s.Kind
		}
		run.End = end
		if start != end {
			all = append(all, fold{Start: start, End: end})
			run, kind = fold{Start: -1}, ""
		}
	}
	all = append(run.appendTo(all), comments(d)...)
	if limit := v.s.client.TextDocument.Folding.Limit; limit != nil && len(all) > *limit {
		all = all[:max(0, *limit)]
	}
	return all, nil
}

// appendTo adds a run of lines if it is long enough to be worth it.
func (f fold) appendTo(all []fold) []fold {
	const least = 3
	if f.Start < 0 || f.End-f.Start+1 < least {
		return all
	}
	return append(all, f)
}

// comments finds runs of two or more lines of comments.
func comments(d *document) (all []fold) {
	start := -1
	for i := range len(d.lines().starts) + 1 {
		is := i < len(d.lines().starts) && strings.HasPrefix(strings.TrimLeft(d.lines().content(i), " \t"), "#")
		switch {
		case is && start < 0:
			start = i
		case !is && start >= 0:
			if i-start > 1 {
				all = append(all, fold{start, i - 1, "comment"})
			}
			start = -1
		}
	}
	return all
}
