package sheet

// A block is one statement with the lines below it, as one file has it. A
// statement about a range of names is as many blocks.
type block struct {
	f    *File
	head int32 // line
	last int32 // one past its last line
	lead int32 // the first of the comments and unread lines above it that belong to it
	form formID
	row  uint8 // of the blocks of one line, which: 0 has the comments

	// name is what the block is sorted by: its name, or what it is about. For
	// a block of a range, and for a join, it is not what the line says.
	name string
	*key // of a kind without names only
}

// A key is what blocks of one name are sorted by, where the name does not
// tell the statement.
type key struct {
	second string // of a join or continuity: the other end
	order  string // of statements about one thing: sort, mode and time
	text   string // the canonical line
}

func (b *block) line() *line { return &b.f.lines[b.head] }

func (b *block) source() source { return source{b.f, b.head} }

// cut calls do with the blocks of a file, in the order of its lines.
func (f *File) cut(do func(b block)) {
	lead := 0
	for i := 0; i < len(f.lines); {
		if f.lines[i].state != statementLine {
			i++
			continue
		}
		last := f.blockEnd(i)
		do(block{f: f, head: int32(i), last: int32(last), lead: int32(lead), form: f.lines[i].form})
		i, lead = last, last
	}
}

// tail returns the first line after all blocks.
func (f *File) tail() int {
	for i := len(f.lines) - 1; i >= 0; i-- {
		if f.lines[i].state == statementLine {
			return f.blockEnd(i)
		}
	}
	return 0
}

func (f *File) countStatements() int {
	n := 0
	for i := range f.lines {
		if f.lines[i].state == statementLine {
			n++
		}
	}
	return n
}

// blockEnd returns one past the last line of the block that starts at a line:
// its members, and comments that stand among them or are indented after them.
func (f *File) blockEnd(head int) int {
	end := head + 1
	for i := head + 1; i < len(f.lines); i++ {
		switch l := &f.lines[i]; l.state {
		case memberLine, keptMember:
			end = i + 1
		case commentLine:
			if l.comment > 1 && f.belongsAbove(i, end) {
				end = i + 1
			}
		case blankLine:
		default:
			return end
		}
	}
	return end
}

// belongsAbove reports whether an indented comment goes on a block that ended
// at end: only blank lines and such comments are between.
func (f *File) belongsAbove(i, end int) bool {
	for ; end < i; end++ {
		if f.lines[end].state == commentLine && f.lines[end].comment <= 1 {
			return false
		}
	}
	return true
}
