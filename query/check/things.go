package check

import (
	"iter"
	"strings"

	"netlore/query/words"
	"netlore/store/board"
)

// namesOf gives every name of the things of a noun in a member with the id of
// the thing; a net has its aliases, too. Groups, boards and stacks have no
// ids; theirs count from 0.
func namesOf(s *Scope, m Member, noun words.Noun) iter.Seq2[int32, string] {
	b := m.Board
	switch noun {
	case words.Parts:
		return named(len(b.Parts), func(i int) string { return b.Parts[i].Name })
	case words.Pins:
		return named(len(b.Pins), func(i int) string { return b.PinName(board.PinID(i)) })
	case words.Nets:
		return netNames(b)
	case words.Pads:
		return named(len(b.Pads), func(i int) string { return b.Pads[i].Name })
	case words.Covers:
		return named(len(b.Covers), func(i int) string { return b.Covers[i].Name })
	case words.Branches:
		return branchNames(b)
	case words.Groups:
		return listed(groupsOf(b))
	case words.Boards:
		return listed([]string{b.Name, b.Ref.String()})
	case words.Stacks:
		return listed(stackOf(s))
	case words.Jobs:
		return listed(jobsOf(m.Knowledge))
	case words.Functions:
		return listed(b.FunctionNames())
	}
	return listed(nil)
}

// branchNames are those of declared branches and of the pieces that tracks leave.
// A whole net has no name but that of the net.
func branchNames(b *board.Board) iter.Seq2[int32, string] {
	return func(yield func(int32, string) bool) {
		pieces := b.Copper().Pieces
		for i := range pieces {
			if !pieces[i].Whole() && !yield(int32(i), pieces[i].Name) {
				return
			}
		}
	}
}

// mayBePiece reports whether a name may be that of a piece that tracks leave. Only
// then are the tracks of a board looked at.
func mayBePiece(name string) bool { return strings.Contains(name, "@") }

// jobsOf are the numbers of the jobs that are known, and of those that only
// readings tell of.
func jobsOf(k *board.Knowledge) []string {
	if k == nil {
		return nil
	}
	var list []string
	seen, last := map[string]bool{"": true}, ""
	add := func(id string) {
		if id != last && !seen[id] {
			seen[id] = true
			list = append(list, id)
		}
		last = id
	}
	for i := range k.Jobs {
		add(k.Jobs[i].ID)
	}
	for i := range k.Readings {
		add(k.Readings[i].Job)
	}
	return list
}

func stackOf(s *Scope) []string {
	if s.Stack == "" {
		return nil
	}
	return []string{s.Stack}
}

func named(n int, name func(int) string) iter.Seq2[int32, string] {
	return func(yield func(int32, string) bool) {
		for i := range n {
			if !yield(int32(i), name(i)) {
				return
			}
		}
	}
}

func listed(names []string) iter.Seq2[int32, string] {
	return named(len(names), func(i int) string { return names[i] })
}

func netNames(b *board.Board) iter.Seq2[int32, string] {
	return func(yield func(int32, string) bool) {
		for i := range b.Nets {
			if !yield(int32(i), b.Nets[i].Name) {
				return
			}
			for _, a := range b.Nets[i].Aliases {
				if !yield(int32(i), a) {
					return
				}
			}
		}
	}
}

// nameOf is the name of the thing of this noun and id.
func nameOf(s *Scope, m Member, noun words.Noun, id int32) string {
	for i, name := range namesOf(s, m, noun) {
		if i == id {
			return name
		}
	}
	return ""
}
