package render

import (
	"strings"

	"netlore/query/value"
	"netlore/store/board"
)

// short is a cell for people: a list of names with successive ones as ranges,
// as sheets and questions write them. C4101, C4102, C4103, FB400 is
// C4101..C4103, FB400. What is printed reads back to exactly the same names.
func short(v value.Value, unit string) string {
	if v.Kind() != value.List {
		return v.In(unit)
	}
	var texts []string
	items := v.Items()
	for len(items) > 0 {
		lead, names := alike(items)
		if len(names) == 0 {
			texts, items = append(texts, items[0].In(unit)), items[1:]
			continue
		}
		for _, name := range board.CompressRange(names) {
			texts = append(texts, lead+oneDot(name))
		}
		items = items[len(names):]
	}
	return strings.Join(texts, ", ")
}

// alike are the names at the front of a list that may stand in a range, and
// what stands before each of them: its role in the stack. Names in quotation
// marks stand for themselves only.
func alike(items []value.Value) (lead string, names []string) {
	for i, item := range items {
		before, ok := strings.CutSuffix(item.String(), item.Raw())
		if item.Kind() != value.Name || !ok || !board.BareName(item.Raw()) || i > 0 && before != lead {
			break
		}
		lead, names = before, append(names, item.Raw())
	}
	return lead, names
}

// oneDot writes a range of pins of one part: U300.A4..U300.A7 is U300.A4..A7.
func oneDot(name string) string {
	from, to, found := strings.Cut(name, "..")
	part := from[:strings.LastIndexByte(from, '.')+1]
	if !found || part == "" {
		return name
	}
	return from + ".." + strings.TrimPrefix(to, part)
}
