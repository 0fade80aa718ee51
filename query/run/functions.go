package run

import (
	"slices"

	"netlore/query/words"
	"netlore/store/board"
)

// functions are the functions of the board, in natural order.
func (s *site) functions() []string {
	if s.does == nil {
		s.does = s.b.FunctionNames()
	}
	return s.does
}

// functionsOf are what a part, net or branch is for.
func (s *site) functionsOf(n words.Noun, id int32) []string {
	switch n {
	case words.Parts:
		return s.b.Parts[id].Functions
	case words.Nets:
		return s.b.Nets[id].Functions
	}
	return s.pieces()[id].Functions
}

func isFor(list []string, function string) bool { return slices.Contains(list, function) }

// functionsFor links functions to the parts, nets or branches that are for
// them.
func functionsFor(n words.Noun) link {
	return link{
		forward: func(s *site, id int32, yield func(int32, bool)) {
			for x := range int32(s.count(n)) {
				if isFor(s.functionsOf(n, x), s.functions()[id]) {
					yield(x, true)
				}
			}
		},
		back: func(s *site, x int32, yield func(int32, bool)) {
			for _, f := range s.functionsOf(n, x) {
				if id, ok := slices.BinarySearchFunc(s.functions(), f, board.CompareNatural); ok {
					yield(int32(id), true)
				}
			}
		},
	}
}

var functionFacts = looks{
	words.Name:       named(words.Functions),
	words.PartsOf:    functionLinks(words.Parts),
	words.NetOf:      functionLinks(words.Nets),
	words.BranchesOf: functionLinks(words.Branches),
}

func functionLinks(to words.Noun) look {
	return func(s *site, id int32) fact {
		return linked(s, thing{words.Functions, id}, to, functionsFor(to).forward)
	}
}
