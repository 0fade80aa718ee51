package board

import "slices"

// FunctionNames are the functions that parts, nets and branches are said to be
// for, each once, in natural order.
func (b *Board) FunctionNames() []string {
	var all []string
	for i := range b.Parts {
		all = append(all, b.Parts[i].Functions...)
	}
	for i := range b.Nets {
		all = append(all, b.Nets[i].Functions...)
	}
	for i := range b.Branches {
		all = append(all, b.Branches[i].Functions...)
	}
	slices.SortFunc(all, CompareNatural)
	return slices.Compact(all)
}
