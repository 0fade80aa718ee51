package board

import (
	"maps"
	"slices"
)

// FunctionNames are the functions that parts, nets and branches are said to be
// for, each once, in natural order.
func (b *Board) FunctionNames() []string {
	seen := map[string]bool{}
	add := func(names []string) {
		for _, name := range names {
			seen[name] = true
		}
	}
	for i := range b.Parts {
		add(b.Parts[i].Functions)
	}
	for i := range b.Nets {
		add(b.Nets[i].Functions)
	}
	for i := range b.Branches {
		add(b.Branches[i].Functions)
	}
	return slices.SortedFunc(maps.Keys(seen), CompareNatural)
}
