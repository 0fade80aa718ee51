package store

import (
	"fmt"
	"slices"
	"strings"

	"netlore/store/board"
)

// Change is one difference between two boards. Was is empty for a thing that
// was added, Is for one that is gone.
type Change struct {
	Kind string // board, part, net, pin, pad, cover, branch, via, hole, track
	Name string
	What string // value, net, place; empty when the whole thing came or went
	Was  string
	Is   string
}

// String is one line: "part C1201 value: 10uF -> 22uF".
func (c Change) String() string {
	name := c.Kind + " " + c.Name
	switch {
	case c.What != "":
		return fmt.Sprintf("%s %s: %s -> %s", name, c.What, orNothing(c.Was), orNothing(c.Is))
	case c.Was == "":
		return name + " is new" + detail(c.Is)
	}
	return name + " is gone" + detail(c.Was)
}

func orNothing(s string) string {
	if s == "" {
		return "nothing"
	}
	return s
}

func detail(s string) string {
	if s == present {
		return ""
	}
	return ": " + s
}

// present stands for a thing that has nothing to say for itself.
const present = "there"

// Compare lists how board b differs from board a, kind by kind, in natural
// order of names.
func Compare(a, b *board.Board) []Change {
	var all []Change
	for _, kind := range []struct {
		name  string
		facts func(*board.Board) facts
	}{
		{"board", boardFacts}, {"part", partFacts}, {"net", netFacts}, {"pin", pinFacts},
		{"pad", padFacts}, {"cover", coverFacts}, {"branch", branchFacts},
		{"via", viaFacts}, {"hole", holeFacts}, {"track", trackFacts},
	} {
		all = append(all, compareFacts(kind.name, kind.facts(a), kind.facts(b))...)
	}
	return all
}

// fact is one thing that can be said of a thing.
type fact struct{ what, is string }

// facts are the things of one kind, by name.
type facts map[string][]fact

func compareFacts(kind string, a, b facts) []Change {
	var all []Change
	for _, name := range bothNames(a, b) {
		was, had := a[name]
		is, has := b[name]
		switch {
		case !had:
			all = append(all, Change{Kind: kind, Name: name, Is: summary(is)})
		case !has:
			all = append(all, Change{Kind: kind, Name: name, Was: summary(was)})
		default:
			for i := range is {
				if was[i].is != is[i].is {
					all = append(all, Change{kind, name, is[i].what, was[i].is, is[i].is})
				}
			}
		}
	}
	return all
}

func bothNames(a, b facts) []string {
	var all []string
	for name := range a {
		all = append(all, name)
	}
	for name := range b {
		if _, ok := a[name]; !ok {
			all = append(all, name)
		}
	}
	slices.SortFunc(all, board.CompareNatural)
	return all
}

func summary(all []fact) string {
	var known []string
	for _, f := range all {
		if f.is != "" {
			known = append(known, f.is)
		}
	}
	if len(known) == 0 {
		return present
	}
	return strings.Join(known, ", ")
}
