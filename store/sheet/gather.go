package sheet

import (
	"slices"
	"sort"
	"time"

	"netlore/store/board"
)

// A gatherer makes sorted blocks of files.
type gatherer struct {
	memo    *memo
	forms   []*form
	cur     cursor
	val     value
	spare   value // keeps the room of its slices while values add up
	claims  claims
	rowRoom []row
	pins    []string
	lines   []source
	single  [1]statement
	room    []byte
	blocks  []block  // in order of files and lines
	sorted  []*block // in canonical order
}

func newGatherer(size int) *gatherer { return &gatherer{memo: newMemo(size), forms: compiled()} }

// gather cuts files into blocks, names them, and puts them into canonical
// order. Blocks about one thing are then neighbours.
func gather(files ...*File) *gatherer {
	size := 0
	for _, f := range files {
		size += len(f.text)
	}
	g := newGatherer(size)
	for _, f := range files {
		g.blocks = slices.Grow(g.blocks, f.countStatements())
		f.cut(g.place)
	}
	g.sort()
	return g
}

func (g *gatherer) sort() {
	g.sorted = make([]*block, len(g.blocks))
	for i := range g.blocks {
		g.sorted[i] = &g.blocks[i]
	}
	if !slices.IsSortedFunc(g.sorted, compareBlocks) {
		slices.SortStableFunc(g.sorted, compareBlocks)
	}
}

// compareBlocks is canonical order: by kind, by what the statement is about,
// then by the rest of it.
func compareBlocks(a, b *block) int {
	if a.form != b.form {
		return int(a.form) - int(b.form)
	}
	if a.name != b.name {
		return board.CompareNatural(a.name, b.name)
	}
	if a.key == nil || b.key == nil {
		return 0
	}
	return a.key.compare(b.key)
}

func (k *key) compare(l *key) int {
	if k.second != l.second {
		return board.CompareNatural(k.second, l.second)
	}
	if k.order != l.order {
		return board.CompareNatural(k.order, l.order)
	}
	return board.CompareNatural(k.text, l.text)
}

// place adds a block with what it is sorted by.
func (g *gatherer) place(b block) {
	switch f := formOf(b.form); {
	case b.form == formPad:
		for _, name := range g.decode(&b, 0).names {
			b.name = name
			g.enter(&b)
		}
	case f.named && b.f.tokens[b.line().token+1].marks == 0:
		b.name = b.f.tokenText(b.f.tokens[b.line().token+1])
		g.enter(&b)
	case f.named:
		b.name = g.decode(&b, 0).text
		g.enter(&b)
	case b.form == formJoin:
		g.placeJoin(b)
	default:
		b.key = &key{}
		g.placeKnown(&b)
	}
}

func (g *gatherer) enter(b *block) {
	if !formOf(b.form).named {
		g.room = g.appendHead(g.room[:0], b, []source{b.source()})
		b.text = string(g.room)
	}
	g.blocks = append(g.blocks, *b)
	b.row = 1
}

// decode reads the attribute of one slot of a block's first line. What it
// returns holds until the next call.
func (g *gatherer) decode(b *block, slot int) *value {
	l := b.line()
	for _, at := range b.f.lineAttrs(l) {
		if int(at.slot) == slot {
			return g.read(b.f, l, at)
		}
	}
	g.val.reset()
	return &g.val
}

// read reads an attribute that has been read once without complaint.
func (g *gatherer) read(f *File, l *line, at attr) *value {
	c := &g.cur
	if c.l != l {
		c.f, c.l, c.form, c.toks, c.memo = f, l, g.forms[l.form], f.lineTokens(l), g.memo
	}
	c.i = int(at.token - l.token)
	g.val.reset()
	a := &c.form.attributes[at.slot]
	a.shape.read(c, a, &g.val)
	return &g.val
}

// placeJoin adds a join for each pair of ends, the smaller end first.
func (g *gatherer) placeJoin(b block) {
	v := g.decode(&b, 0)
	role, pads := v.text, slices.Clone(v.names)
	v = g.decode(&b, 1)
	other, others := v.text, slices.Clone(v.names)
	for i, pad := range pads {
		b.key = &key{}
		b.name, b.second = endText(role, pad), endText(other, others[i])
		if board.CompareNatural(b.name, b.second) > 0 {
			b.name, b.second = b.second, b.name
		}
		g.enter(&b)
	}
}

func endText(role, pad string) string {
	return string(appendName(append(appendName(nil, role), ':'), pad))
}

// placeKnown adds a statement without a name, by what it is about.
func (g *gatherer) placeKnown(b *block) {
	switch b.form {
	case formExpect, formReading:
		on := g.about(b, knownTarget)
		mode := board.Mode(g.decode(b, knownMode).word)
		b.order = knownOrder(on.Kind, mode, g.whenOf(b), g.specimenOf(b))
	case formNote:
		on := g.about(b, 0)
		b.order = noteOrder(on.Kind, g.whenOf(b))
	case formContinuity:
		b.name = string(appendTargets(nil, g.decode(b, 0).targets))
		b.second = string(appendTargets(nil, g.decode(b, 1).targets))
		if board.CompareNatural(b.name, b.second) > 0 {
			b.name, b.second = b.second, b.name
		}
	case formVia, formTrack:
		b.name = g.decode(b, 0).text
	}
	g.enter(b)
}

// about names a block by the first of its targets, which it returns.
func (g *gatherer) about(b *block, slot int) board.Target {
	v := g.decode(b, slot)
	sortTargets(&v.targets)
	b.name = aboutText(v.targets[0])
	return v.targets[0]
}

// aboutText is a target without the word that says what sort of thing it is:
// statements are sorted by name first.
func aboutText(t board.Target) string {
	t.Kind = board.AnyTarget
	return string(appendTarget(nil, &t))
}

// knownOrder sorts expected values and readings of things of one name.
func knownOrder(kind board.TargetKind, mode board.Mode, when time.Time, specimen string) string {
	return string([]byte{'a' + byte(kind), 'a' + byte(mode)}) + timeOrder(when) + " " + specimen
}

// noteOrder sorts notes on things of one name.
func noteOrder(kind board.TargetKind, when time.Time) string {
	return string([]byte{'a' + byte(kind)}) + timeOrder(when)
}

// timeOrder is text that sorts as time does; not stated comes first.
func timeOrder(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return string(appendTime(nil, t))
}

// whenOf returns the time that a block states.
func (g *gatherer) whenOf(b *block) time.Time {
	return g.decode(b, formOf(b.form).slotOf("when")).when
}

// specimenOf returns which of several like boards a reading was taken on.
func (g *gatherer) specimenOf(b *block) string {
	if b.form != formReading {
		return ""
	}
	return g.decode(b, formOf(b.form).slotOf("specimen")).text
}

// slotOf returns the slot of the attribute with a word.
func (f *form) slotOf(word string) int {
	e, _ := f.lookup.find(word)
	return int(e.slot)
}

// of returns the blocks of a kind in canonical order.
func (g *gatherer) of(id formID) []*block {
	from := sort.Search(len(g.sorted), func(i int) bool { return g.sorted[i].form >= id })
	to := sort.Search(len(g.sorted), func(i int) bool { return g.sorted[i].form > id })
	return g.sorted[from:to]
}

// groups calls do with the blocks of each thing in turn: of one name, or of
// one and the same text.
func (g *gatherer) groups(do func(group []*block)) {
	for i := 0; i < len(g.sorted); {
		n := i + 1
		for n < len(g.sorted) && sameThing(g.sorted[i], g.sorted[n]) {
			n++
		}
		do(g.sorted[i:n])
		i = n
	}
}

func sameThing(a, b *block) bool {
	if a.form != b.form || a.name != b.name {
		return false
	}
	return a.key == nil || a.second == b.second && (a.text == b.text || a.form == formJoin)
}
