package sheet

import (
	"fmt"
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

// A problem is a complaint whose file and line are not yet filled in; its range
// counts in the file.
type problem = diag.Diagnostic

// A cursor walks over the tokens of one line and reads attributes out of them.
type cursor struct {
	f     *File
	l     *line
	form  *form
	toks  []token
	i     int  // the next token
	terse bool // complaints are only counted: one is enough, and no help is needed
	memo  *memo
	// flawed says, once the line has been read, that there was a complaint.
	flawed bool
}

func diagQuote(s string) string { return diag.Quote(s) }

// peek returns the next token.
func (c *cursor) peek() (token, bool) {
	if c.i >= len(c.toks) {
		return token{}, false
	}
	return c.toks[c.i], true
}

// take returns the next token and goes on.
func (c *cursor) take() (token, bool) {
	t, ok := c.peek()
	if ok {
		c.i++
	}
	return t, ok
}

// takeBare returns the text of the next token if it may be a value: not in
// quotation marks, and no word of this form, which would be the next
// attribute.
func (c *cursor) takeBare() (token, string, bool) {
	t, ok := c.peek()
	if !ok || t.marks&quoted != 0 {
		return t, "", false
	}
	s := c.f.tokenText(t)
	if _, isWord := c.form.lookup.find(s); isWord {
		return t, "", false
	}
	c.i++
	return t, s, true
}

// listGoesOn reports whether a comma followed the token just taken.
func (c *cursor) listGoesOn() bool { return c.toks[c.i-1].marks&comma != 0 }

// fault is a problem with one token.
func (c *cursor) fault(t token, code, message string, help ...string) *problem {
	return &problem{Code: code, Message: message, Help: help,
		Range: diag.Range{Start: int(t.start), End: int(t.start) + int(t.size)}}
}

// missing says that the value of an attribute is not there.
func (c *cursor) missing(a *attribute) *problem {
	expected := a.expects()
	if t, ok := c.peek(); ok {
		return c.fault(t, "S202", diag.Unexpected(c.f.plain(t), c.after(), expected))
	}
	end := int(c.l.start)
	if len(c.toks) > 0 {
		last := c.toks[len(c.toks)-1]
		end = int(last.start) + int(last.size)
	}
	return &problem{Code: "S202", Message: diag.Unexpected("", c.after(), expected), Range: diag.Range{Start: end, End: end + 1}}
}

// after says where the cursor stands, for messages.
func (c *cursor) after() string {
	if c.i == 0 {
		return "at the start of the line"
	}
	t := c.toks[min(c.i, len(c.toks))-1]
	return "after " + c.f.tokenText(t)
}

// readName reads one name. Any word will do: the slot decides.
func readName(c *cursor, a *attribute, v *value) *problem {
	t, ok := c.take()
	if !ok {
		return c.missing(a)
	}
	var p *problem
	v.text, p = c.name(t, a)
	return p
}

// name checks that a token is a name, and returns it.
func (c *cursor) name(t token, a *attribute) (string, *problem) {
	if t.marks == 0 || t.marks == comma {
		if s := c.f.tokenText(t); s[0] != '#' {
			return s, nil
		}
	}
	name := c.f.nameIn(t)
	switch {
	case t.marks&quoted != 0 && name == "":
		return "", c.fault(t, "S205", "there is nothing between the quotation marks; expected "+a.expects())
	case t.marks&quoted != 0 || nameOf(name, t.marks):
		return name, nil
	}
	return "", c.badName(t, a)
}

func (c *cursor) badName(t token, a *attribute) *problem {
	text := c.f.tokenText(t)
	if t.marks&mixed != 0 {
		return c.glued(t)
	}
	if isRange(text) {
		help := "write one name"
		if a.names {
			help = "write a line for each of them"
		}
		return c.fault(t, "S213", "a range cannot stand here; expected "+a.expects(), help)
	}
	fixed := string(appendQuoted(nil, text))
	p := c.fault(t, "S205", fmt.Sprintf("the name %s needs quotation marks", diag.Quote(text)), "write "+fixed)
	p.Edits = []diag.Edit{{Range: p.Range, New: fixed}}
	if name, ok := strings.CutSuffix(text, ":"); ok && nameOf(name, t.marks) {
		p.Help = []string{"leave out the colon", "if it belongs to the name, write " + fixed}
		p.Edits[0].New = name
	}
	if len(c.toks) == 1 && (c.form.id == formNetPart || c.form.id == formBranchPart) {
		p.Help, p.Edits = []string{pinHelp(text)}, nil
	}
	return p
}

// glued complains of a word that is in quotation marks in part.
func (c *cursor) glued(t token) *problem {
	text := c.f.tokenText(t)
	if end := closing(text, 0); text[0] == '"' && end > 0 {
		return c.fault(t, "S115", "there is no blank after "+text[:end+1], `put a blank or a comma there if two words are meant; inside a name, a quotation mark is written \"`)
	}
	return c.fault(t, "S115", "a quotation mark stands inside a word", `put the whole name in quotation marks; inside them, a quotation mark is written \"`)
}

// readNames reads names with commas between them.
func readNames(c *cursor, a *attribute, v *value) *problem {
	for {
		t, ok := c.take()
		if !ok {
			return c.missing(a)
		}
		name, p := c.name(t, a)
		if p != nil {
			return p
		}
		v.names = append(v.names, name)
		if !c.listGoesOn() {
			return nil
		}
	}
}

// readNameRange reads one name or a range of names, P11..P14.
func readNameRange(c *cursor, a *attribute, v *value) *problem {
	t, ok := c.take()
	if !ok {
		return c.missing(a)
	}
	return c.nameOrRange(t, a, v)
}

func (c *cursor) nameOrRange(t token, a *attribute, v *value) *problem {
	if text := c.f.inNFC(t); t.marks&(quoted|odd) == odd && isRange(text) {
		return c.expand(t, text, v)
	}
	name, p := c.name(t, a)
	if p == nil {
		v.names = append(v.names, name)
	}
	return p
}

// expand adds the names that a range stands for, or the name itself.
func (c *cursor) expand(t token, text string, v *value) *problem {
	names, isRange, err := board.ExpandRange(text)
	if err != nil {
		return c.fault(t, "S213", err.Error(), "a range is written P11..P14, at most 4096 names")
	}
	if from, to, _ := cutRange(text); isRange && !(board.BareName(from) && board.BareName(to)) {
		return c.fault(t, "S213", diag.Quote(text)+" is no range of names: its ends hold characters that need quotation marks", "write the names one by one")
	}
	if isRange && len(v.names)+len(v.targets)+len(names) > board.MaxRange {
		return c.fault(t, "S213", fmt.Sprintf("with this range, the list stands for more than %d names", board.MaxRange), "put some of them on another line")
	}
	v.names = append(v.names, names...)
	return nil
}

// readNamesToEnd reads names and ranges up to the end of the line.
func readNamesToEnd(c *cursor, a *attribute, v *value) *problem {
	if c.i >= len(c.toks) {
		p := c.missing(a)
		p.Help = []string{pinHelp(c.f.tokenText(c.toks[c.i-1]))}
		return p
	}
	for c.i < len(c.toks) {
		t, _ := c.take()
		if p := c.nameOrRange(t, a, v); p != nil {
			return p
		}
		if t.marks&comma != 0 && c.i < len(c.toks) {
			return c.fault(c.toks[c.i], "S216", "a comma stands before "+diag.Quote(c.f.plain(c.toks[c.i]))+"; pins have blanks between them", "write PART PIN PIN")
		}
	}
	return nil
}
