package board

import "time"

// Statement points to a statement of a sheet by how its canonical first line
// begins, "net VMAIN", and how an indented line in it begins: "C12". Member is
// empty for the first line.
type Statement struct{ Head, Member string }

// Origin is where a statement that a knowledge base holds came from.
type Origin struct {
	Source string // file and line: "heron.lore:12"; may be empty
	Author string // who added it
	Time   time.Time
}

// String is the origin for people: "heron.lore:12, added 2026-03-16 by bench-1".
func (o Origin) String() string {
	added := "added " + o.Time.UTC().Format(time.DateOnly) + " by " + o.Author
	if o.Source == "" {
		return added
	}
	return o.Source + ", " + added
}
