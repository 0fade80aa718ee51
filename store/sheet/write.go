package sheet

import (
	"slices"
	"unicode"

	"netlore/store/board"
)

// Write prints content as a canonical sheet: the text that Canonical gives for
// any sheet that says the same. What a line cannot hold is left out: a reading
// without a value, a statement about nothing.
func Write(c *Content) []byte {
	w := &writer{memo: newMemo(1 << 20), out: []byte(headWord + " 1\n")}
	if c.Board != nil {
		w.board(c.Board)
	}
	if c.Stack != nil {
		w.stack(c.Stack)
	}
	if c.Board != nil {
		w.copper(c.Board)
	}
	if c.Knowledge != nil {
		w.knowledge(c.Knowledge)
	}
	return w.out
}

// WriteBoard prints a board as a canonical sheet.
func WriteBoard(b *board.Board) []byte { return Write(&Content{Board: b}) }

// A writer prints statements out of values.
type writer struct {
	memo *memo
	out  []byte
	kind formID
	s    subject
	val  value
	pins []string
	// lines are statements of one kind without names, to be sorted.
	lines []block
}

// begin makes room before the first statement of a kind.
func (w *writer) begin(id formID) *form {
	if id != w.kind {
		if w.kind != noForm || id != formBoard && id != formStack {
			w.out = append(w.out, '\n')
		}
		w.kind = id
	}
	return formOf(id)
}

// line prints a statement. It reports false, and prints nothing, if something
// that must be said is not known.
func (w *writer) line(id formID, name string) bool {
	f := w.begin(id)
	start := len(w.out)
	w.out = append(w.out, f.word...)
	if !w.attributes(f, name) {
		w.out = w.out[:start]
		return false
	}
	w.out = append(w.out, '\n')
	return true
}

// attributes prints the name and what the subject has for the attributes of a
// form.
func (w *writer) attributes(f *form, name string) bool {
	if f.named {
		w.out = appendName(append(w.out, ' '), name)
	}
	for slot := range f.attributes {
		a := &f.attributes[slot]
		if a.get == nil {
			continue
		}
		w.val.reset()
		if !a.get(&w.s, &w.val) {
			if a.must {
				return false
			}
			continue
		}
		sortNames(&w.val.names)
		sortTargets(&w.val.targets)
		w.out = a.append(w.out, &w.val, w.memo)
	}
	return true
}

// member prints an indented line.
func (w *writer) member(id formID, name string) {
	f := formOf(id)
	w.out = append(w.out, ' ')
	w.attributes(f, name)
	w.out = append(w.out, '\n')
}

func (w *writer) board(b *board.Board) {
	w.s = subject{b: b, ref: &b.Ref}
	if b.Name != "" {
		w.line(formBoard, b.Name)
	}
	if outline := b.Outline.Thinned(maxPath); !outline.Zero() {
		w.s.outline = &outline
		w.line(formOutline, "")
	}
	for i := range b.Covers {
		w.cover(b, b.Covers[i])
	}
	for i := range b.Parts {
		w.part(b, board.PartID(i))
	}
	for i := range b.Nets {
		w.net(b, board.NetID(i))
	}
	for i := range b.Pads {
		w.s.pad = &b.Pads[i]
		w.line(formPad, b.Pads[i].Name)
	}
	for i := range b.Branches {
		w.branch(b, &b.Branches[i])
	}
}

func (w *writer) cover(b *board.Board, c board.Cover) {
	c.Outline = c.Outline.Thinned(maxPath)
	w.s.cover = &c
	w.line(formCover, c.Name)
	for _, p := range c.Parts {
		w.out = append(appendMember(append(w.out, "  "...), b.Parts[p].Name), '\n')
	}
	for _, p := range c.Pads {
		w.out = append(appendName(append(w.out, "  pad "...), b.Pads[p].Name), '\n')
	}
}

func (w *writer) part(b *board.Board, id board.PartID) {
	w.s.part = &b.Parts[id]
	w.line(formPart, b.Parts[id].Name)
	first, last := b.PinsOf(id)
	for ; first < last; first++ {
		pin := &b.Pins[first]
		if pin.Placed || pin.Net == board.None || pin.Side != board.SideUnknown || pin.Shape != (board.PadShape{}) {
			w.s.pin = pin
			w.member(formPin, pin.Name)
		}
	}
}

func (w *writer) net(b *board.Board, id board.NetID) {
	w.s.net = &b.Nets[id]
	w.line(formNet, b.Nets[id].Name)
	w.pinLines(b, b.PinsOn(id))
}

// pinLines prints pins, which are in order, one line for each part.
func (w *writer) pinLines(b *board.Board, pins []board.PinID) {
	for i := 0; i < len(pins); {
		part := b.Pins[pins[i]].Part
		w.pins = w.pins[:0]
		for ; i < len(pins) && b.Pins[pins[i]].Part == part; i++ {
			w.pins = append(w.pins, b.Pins[pins[i]].Name)
		}
		w.out = appendPinLines(w.out, b.Parts[part].Name, w.pins)
	}
}

func (w *writer) branch(b *board.Board, x *board.Branch) {
	w.s.branch = x
	if !w.line(formBranch, x.Name) {
		return
	}
	for _, p := range x.Pads {
		w.out = append(appendName(append(w.out, "  pad "...), b.Pads[p].Name), '\n')
	}
	w.pinLines(b, x.Pins)
}

func (w *writer) stack(s *board.Stack) {
	w.s = subject{stack: s, ref: &board.Ref{}}
	if s.Name != "" {
		w.line(formStack, s.Name)
		w.roles(s.Members)
	}
	for i := range s.Joins {
		w.join(&s.Joins[i])
	}
	w.flush(formJoin)
}

func (w *writer) roles(members []board.Member) {
	members = slices.Clone(members)
	slices.SortStableFunc(members, func(a, b board.Member) int { return board.CompareNatural(a.Role, b.Role) })
	for i := range members {
		w.s.ref = &members[i].Board
		w.member(formRole, members[i].Role)
	}
}

func (w *writer) join(j *board.Join) {
	w.s.join = j
	a, b := endText(j.A.Role, j.A.Pad), endText(j.B.Role, j.B.Pad)
	if board.CompareNatural(a, b) > 0 {
		a, b = b, a
	}
	w.keep(block{form: formJoin, name: a, key: &key{second: b}}, a+" "+b)
}

// keep notes a statement without a name until flush sorts them. lead is what
// the writer itself prints first.
func (w *writer) keep(b block, lead string) {
	start, f := len(w.out), formOf(b.form)
	w.out = append(w.out, f.word...)
	if lead != "" {
		w.out = append(append(w.out, ' '), lead...)
	}
	if w.attributes(f, "") {
		b.text = string(w.out[start:])
		w.lines = append(w.lines, b)
	}
	w.out = w.out[:start]
}

// flush prints the statements that were kept, in canonical order and each
// once.
func (w *writer) flush(id formID) {
	if len(w.lines) == 0 {
		return
	}
	w.begin(id)
	slices.SortStableFunc(w.lines, func(a, b block) int { return compareBlocks(&a, &b) })
	for i := range w.lines {
		if i == 0 || w.lines[i].text != w.lines[i-1].text {
			w.out = append(append(w.out, w.lines[i].text...), '\n')
		}
	}
	w.lines = w.lines[:0]
}

// netName is the name of a net, or "".
func netName(b *board.Board, id board.NetID) string {
	if id == board.None {
		return ""
	}
	return b.Nets[id].Name
}

// printable is the letter itself, or a blank for what a line cannot hold.
func printable(r rune) rune {
	if unicode.IsControl(r) {
		return ' '
	}
	return r
}
