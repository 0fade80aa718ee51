package sheet

import (
	"fmt"
	"slices"
	"strings"
)

// Canonical prints the file in canonical form: sorted, with single blanks, one
// statement for each thing, and every comment. Lines that could not be read
// stay as they are. The canonical form of canonical text is itself.
//
// A file of which nothing could be read comes back unchanged.
func (f *File) Canonical() []byte {
	if f.raw {
		return []byte(f.text)
	}
	p := &printer{gatherer: gather(f), comments: true}
	p.out = make([]byte, 0, len(f.text)+len(f.text)/8+64)
	p.header(f)
	p.body()
	p.trivia(f, f.tail(), len(f.lines), "")
	return p.out
}

// Blocks returns the statements of the file in canonical form and order,
// without comments and without lines that could not be read.
func (f *File) Blocks() []Block {
	var blocks []Block
	if f.raw {
		return blocks
	}
	p := &printer{gatherer: gather(f)}
	p.groups(func(group []*block) {
		all := p.statements(group)
		for i := range all {
			p.out = p.out[:0]
			p.head(group[0], &all[i])
			if i == len(all)-1 {
				p.members(group)
			}
			first := slices.MinFunc(all[i].lines, func(a, b source) int { return int(a.line - b.line) })
			blocks = append(blocks, Block{Kind: formOf(group[0].form).word, Key: group[0].label(), Text: string(p.out), Line: int(first.line) + 1})
		}
	})
	return blocks
}

// label is the kind and the name, or the ends of a join; any other statement
// without a name is known by all it says.
func (b *block) label() string {
	f := formOf(b.form)
	switch {
	case f.named:
		return string(appendName([]byte(f.word+" "), b.name))
	case b.form == formOutline:
		return f.word
	case b.form == formJoin:
		return f.word + " " + b.name + " " + b.second
	}
	return b.text
}

// A printer prints canonical text.
type printer struct {
	*gatherer
	out      []byte
	comments bool
}

// header prints the first line, and below it the lines that cannot stand
// anywhere else: indented, without a statement above.
func (p *printer) header(f *File) {
	p.out = append(p.out, headWord...)
	p.out = fmt.Appendf(p.out, " %d", Major)
	if f.minor > 0 {
		p.out = fmt.Appendf(p.out, ".%d", f.minor)
	}
	if len(f.lines) > 0 && f.lines[0].state == headerLine {
		p.trailing(f.comment(&f.lines[0]))
	}
	p.out = append(p.out, '\n')
	for i := range f.lines {
		if l := &f.lines[i]; l.state == orphanLine {
			p.out = append(append(p.out, f.lineText(l)...), '\n')
		}
	}
}

// body prints all statements, with a blank line between kinds.
func (p *printer) body() {
	kind := noForm
	p.groups(func(group []*block) {
		if form := group[0].form; form != kind {
			if kind != noForm || form != formBoard && form != formStack {
				p.out = append(p.out, '\n')
			}
			kind = form
		}
		all := p.statements(group)
		for i := range all {
			p.head(group[0], &all[i])
		}
		p.members(group)
	})
}

// head prints the first line of a statement about what block b is about. Where
// first lines contradict each other, the members follow the last: they belong
// to the thing, whatever else is said about it.
func (p *printer) head(b *block, s *statement) {
	for _, b := range s.blocks {
		if b.row == 0 {
			p.trivia(b.f, int(b.lead), int(b.head), "")
		}
		if p.comments && b.form == formBoard {
			p.boardComments(b)
		}
	}
	kept := ""
	if p.comments {
		kept = p.comment(s.commented(), "")
	}
	start := len(p.out)
	p.out = p.appendHead(p.out, b, s.lines)
	p.trail(start, kept, "")
	p.out = append(p.out, '\n')
}

// boardComments prints the comments among the indented lines of a board, which
// go into its first line.
func (p *printer) boardComments(b *block) {
	for i := int(b.head) + 1; i < b.afterRows(); i++ {
		if l := &b.f.lines[i]; l.state == commentLine {
			p.commentLine(b.f.comment(l), "")
		}
	}
}

// comment prints the comments at the end of lines that become one, but for the
// first, which it returns: it can stay where it is.
func (p *printer) comment(lines []source, indent string) string {
	first := ""
	for _, s := range lines {
		switch c := s.f.comment(&s.f.lines[s.line]); {
		case c == "":
		case first == "":
			first = c
		default:
			p.commentLine(c, indent)
		}
	}
	return first
}

// trail puts a comment after the line that starts at start, or before it if
// the line would become too long.
func (p *printer) trail(start int, comment, indent string) {
	if len(p.out)-start+1+len(comment) <= MaxLine || comment == "" {
		p.trailing(comment)
		return
	}
	text := string(p.out[start:])
	p.out = p.out[:start]
	p.commentLine(comment, indent)
	p.out = append(p.out, text...)
}

func (p *printer) trailing(comment string) {
	if comment != "" {
		p.out = append(append(p.out, ' '), comment...)
	}
}

// commentLine prints a comment on a line of its own. One that fills the line
// is not moved in as far.
func (p *printer) commentLine(c, indent string) {
	p.out = append(p.out, indent[:max(0, min(len(indent), MaxLine-len(c)))]...)
	p.out = append(append(p.out, c...), '\n')
}

// trivia prints the comments and unread lines among some lines of a file.
func (p *printer) trivia(f *File, from, to int, indent string) {
	if !p.comments {
		return
	}
	for i := from; i < to; i++ {
		switch l := &f.lines[i]; l.state {
		case keptLine, keptMember:
			p.out = append(append(p.out, f.lineText(l)...), '\n')
		case commentLine:
			p.commentLine(f.comment(l), indent)
		case headerLine:
			if c := f.comment(l); i > 0 && c != "" {
				p.commentLine(c, indent)
			}
		}
	}
}

const memberIndent = "  "

// members prints the indented lines of blocks, and what stands after them.
func (p *printer) members(set []*block) {
	rows := p.rows(set)
	for i := 0; i < len(rows); {
		n := i + 1
		for n < len(rows) && sameRow(&rows[i], &rows[n]) {
			n++
		}
		p.member(rows[i:n])
		i = n
	}
	for _, b := range set {
		if b.row == 0 {
			p.unreadMore(b)
			p.trivia(b.f, b.afterRows(), int(b.last), memberIndent)
		}
	}
}

// unreadMore prints the lines among the indented lines of a board that could
// not be read.
func (p *printer) unreadMore(b *block) {
	for i := int(b.head) + 1; p.comments && b.form == formBoard && i < b.afterRows(); i++ {
		if l := &b.f.lines[i]; l.state == keptMember {
			p.out = append(append(p.out, b.f.lineText(l)...), '\n')
		}
	}
}

// afterRows returns the first line of a block after its members.
func (b *block) afterRows() int {
	for i := b.last - 1; i > b.head; i-- {
		if b.f.lines[i].state == memberLine {
			return int(i) + 1
		}
	}
	return int(b.head) + 1
}

// member prints rows about one member.
func (p *printer) member(rows []row) {
	kept := ""
	if p.comments {
		kept = p.rowComments(rows)
	}
	start := len(p.out)
	p.out = p.appendRow(p.out, rows)
	if kept == "" {
		return
	}
	// The comment goes to the first of the lines just printed.
	text := string(p.out[start:])
	first, rest, _ := strings.Cut(text, "\n")
	p.out = append(p.out[:start], first...)
	p.trail(start, kept, memberIndent)
	p.out = append(append(p.out, '\n'), rest...)
}

// rowComments prints what stands above rows, and returns the comment that can
// stay at the end of the first.
func (p *printer) rowComments(rows []row) string {
	lines := make([]source, 0, 4)
	for _, r := range rows {
		if !r.extra {
			p.trivia(r.f, int(r.lead), int(r.line), memberIndent)
			lines = append(lines, r.source)
		}
	}
	return p.comment(lines, memberIndent)
}
