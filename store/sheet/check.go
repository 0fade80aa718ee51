package sheet

import (
	"slices"
	"sort"

	"netlore/query/diag"
	"netlore/store/board"
)

// Check finds what can be read but is wrong, in content that Read made of
// files. The places it names are in these files; without them, they are in
// the text that Write makes of the content.
//
// Files of other subjects help: with the boards of a stack among them, joins
// are checked against the pads of these boards.
func Check(c *Content, files ...*File) diag.List { return check(c, nil, files) }

// check does so with meters that other files tell of.
func check(c *Content, meters []board.Meter, files []*File) diag.List {
	k := &checker{c: c, boards: map[string]*board.Board{}, meters: meters}
	if c.Knowledge != nil {
		k.meters = append(slices.Clone(c.Knowledge.Meters), meters...)
	}
	own, others := k.divide(files)
	if len(own) == 0 {
		f, _ := Parse("", Write(c))
		own = []*File{f}
	}
	k.g = gather(own...)
	k.atHand(others)
	for _, find := range checks {
		find(k)
	}
	return k.list()
}

// checks are all that Check looks at, in no particular order: complaints are
// sorted by place.
var checks = []func(k *checker){
	(*checker).ground,
	(*checker).offBoard,
	(*checker).values,
	(*checker).oddPins,
	(*checker).covers,
	(*checker).undeclared,
	(*checker).branches,
	(*checker).likeNames,
	(*checker).aliases,
	(*checker).joins,
	(*checker).targets,
	(*checker).touches,
	(*checker).expected,
	(*checker).jobs,
	(*checker).chances,
	(*checker).readings,
	(*checker).repeats,
}

// A checker looks for what is wrong.
type checker struct {
	complaints
	c      *Content
	g      *gatherer               // of the content's own files
	boards map[string]*board.Board // by role; "" is the content's own
	meters []board.Meter           // that anything is known of
}

// divide tells the files of the content's subject from the others.
func (k *checker) divide(files []*File) (own, others []*File) {
	for _, f := range files {
		if s := f.Subject(); !s.Known() || k.isOwn(s) {
			own = append(own, f)
		} else {
			others = append(others, f)
		}
	}
	return own, others
}

func (k *checker) isOwn(s Subject) bool {
	if k.c.Stack != nil && k.c.Stack.Name != "" {
		return s.Stack == k.c.Stack.Name
	}
	return k.c.Board == nil || k.c.Board.Name == "" || s.Stack == "" && sameBoard(s.Board, k.c.Board.Ref)
}

// sameBoard reports whether two references may be to one board: a revision
// that is not stated may be any.
func sameBoard(a, b board.Ref) bool {
	return a.Name == b.Name && (a.Revision == b.Revision || a.Revision == "" || b.Revision == "")
}

// atHand finds the boards that the content is about, or is made of.
func (k *checker) atHand(others []*File) {
	if k.c.Board != nil {
		k.boards[""] = k.c.Board
	}
	if k.c.Stack == nil || len(k.c.Stack.Members) == 0 {
		return
	}
	for _, files := range BySubject(others...) {
		s := files[0].Subject()
		for _, m := range k.c.Stack.Members {
			if s.Stack == "" && sameBoard(s.Board, m.Board) {
				c, _ := Read(files...)
				k.boards[m.Role] = c.Board
			}
		}
	}
}

// A spot is a place in a file.
type spot struct {
	f  *File
	l  *line
	at diag.Range
}

// report complains at a spot, if it is known.
func (k *checker) report(s spot, severity diag.Severity, code, message string, help ...string) *diag.Diagnostic {
	d := diag.Diagnostic{Code: code, Severity: severity, Message: message, Help: help}
	if s.f != nil {
		d = s.f.about(s.l, s.at, d)
	}
	if k.full() {
		k.add(d)
		return &d
	}
	k.add(d)
	return &k.found[len(k.found)-1]
}

// also adds another place to a complaint.
func also(d *diag.Diagnostic, s spot, message string) {
	if s.f != nil {
		d.Related = append(d.Related, s.f.related(s.l, s.at, message))
	}
}

// named returns the blocks of a kind and a name.
func (k *checker) named(id formID, name string) []*block {
	blocks := k.g.of(id)
	from := sort.Search(len(blocks), func(i int) bool { return board.CompareNatural(blocks[i].name, name) >= 0 })
	to := from
	for to < len(blocks) && blocks[to].name == name {
		to++
	}
	return blocks[from:to]
}

// spot is where the statements about a thing say what the attribute of a word
// says; the first line about it if none does, or if the word is "".
func (k *checker) spot(id formID, name, word string) spot {
	blocks := k.named(id, name)
	if len(blocks) == 0 || k.full() {
		return spot{}
	}
	if word != "" {
		for _, b := range blocks {
			if at, ok := b.attribute(formOf(id).slotOf(word)); ok {
				return spot{b.f, b.line(), said{f: b.f, l: b.line(), at: at}.span()}
			}
		}
	}
	return blocks[0].spot()
}

func (b *block) spot() spot { return spot{b.f, b.line(), b.f.words(b.line())} }

// attribute returns the attribute of a slot of a block's first line.
func (b *block) attribute(slot int) (attr, bool) {
	for _, at := range b.f.lineAttrs(b.line()) {
		if int(at.slot) == slot {
			return at, true
		}
	}
	return attr{}, false
}

// rowSpot is where a statement lists a member.
func (k *checker) rowSpot(id formID, name string, member func(r *row) bool) spot {
	for _, b := range k.named(id, name) {
		if k.full() {
			break
		}
		for _, r := range k.g.rows([]*block{b}) {
			if member(&r) {
				l := &r.f.lines[r.line]
				return spot{r.f, l, r.f.words(l)}
			}
		}
	}
	return k.spot(id, name, "")
}
