// Package sheet reads and writes the sheet, netlore's plain text format for
// boards, stacks, covers, readings, expected values, notes and jobs.
//
// The way of the data: Parse makes a lossless tree of one file and complains
// about what cannot be read; Read makes the union of files with one subject;
// Check finds what can be read but is wrong; Write prints what Read gave. A
// tree prints itself in canonical form, with its comments, by Canonical, and
// one statement at a time by Blocks.
//
// One table, of the forms that lines can have, drives all of it: see form and
// attribute.
package sheet

import "netlore/store/board"

// Content is what a set of files says about one subject: a board, or a stack.
type Content struct {
	Board     *board.Board // nil if the files hold nothing of a board
	Stack     *board.Stack // nil if the files hold nothing of a stack
	Knowledge *board.Knowledge
}

// Block is one statement in canonical form.
type Block struct {
	Kind string // net, expect
	Key  string // kind and name: two blocks of one Key are about one thing
	Text string // the statement with its members, without comments; ends in \n
	Line int    // 1-based line of its first statement in the file
}

// File is one parsed sheet. It does not change, so that any number of
// goroutines may use it.
type File struct {
	name   string
	text   string
	start  int  // offset of the first line: after the byte order mark
	minor  int  // of the version
	raw    bool // nothing could be read: the text is all there is
	lines  []line
	tokens []token
	attrs  []attr
}

// Unread counts the lines of a file of a newer version that say something this
// program does not know. They are kept in the file, and not used.
func (f *File) Unread() int {
	n := 0
	for i := range f.lines {
		if f.lines[i].state >= keptLine {
			n++
		}
	}
	return n
}

// Name is the name that the file was parsed under.
func (f *File) Name() string { return f.name }
