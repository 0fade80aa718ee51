package lsp

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"netlore/query/diag"
	"netlore/store/board"
	"netlore/store/sheet"
)

// prepareRename tells whether what stands at a place can be renamed.
func (v *view) prepareRename(p *placeParams) (any, error) {
	d, w, err := v.open(p.Document)
	if err != nil {
		return nil, err
	}
	here, ok := v.at(d, w, p.Position)
	if !ok {
		return nil, nil
	}
	if err := here.fixed(); err != nil {
		return nil, err
	}
	return object{"range": v.location(here).Range, "placeholder": here.Name}, nil
}

// fixed says why what stands in a place cannot be renamed, if so.
func (s sighting) fixed() error {
	switch {
	case s.thing.sort == sheet.DeviceSort:
		return refuse("a board or stack is not renamed here: the knowledge base holds all that is known of it by its name")
	case s.Range:
		return refuse("%s stands in the range %s in line %d of %s; format that file, which writes ranges out, and rename it then",
			s.Name, s.written(), s.line(), s.doc.name())
	}
	return nil
}

func (s sighting) written() string { return s.doc.text[s.At.Start:s.At.End] }

// line is the 1-based line of the sighting.
func (s sighting) line() int { return int(s.doc.lines().position(s.At.Start, utf8Bytes).Line) + 1 }

type renameParams struct {
	placeParams
	NewName string `json:"newName"`
}

// rename writes another name wherever the thing at a place is called by the
// name that stands there.
func (v *view) rename(p *renameParams) (any, error) {
	d, w, err := v.open(p.Document)
	if err != nil {
		return nil, err
	}
	here, ok := v.at(d, w, p.Position)
	if !ok {
		return nil, refuse("no name stands here")
	}
	name, err := newName(p.NewName)
	if err != nil {
		return nil, err
	}
	r := &renaming{v: v, w: w, thing: here.thing, old: here.Name, new: name}
	if err := r.savedName(); err != nil {
		return nil, err
	}
	edits, err := r.edits()
	if err != nil {
		return nil, err
	}
	return v.workspaceEdit(w, edits), nil
}

// newName reads what somebody typed for a name, with quotation marks or
// without.
func newName(s string) (string, error) {
	s = norm.NFC.String(board.PlainName(s))
	switch {
	case s == "":
		return "", refuse("a name is not empty")
	case strings.ContainsFunc(s, unicode.IsControl):
		return "", refuse("a name holds no line end and no other character that cannot be seen")
	case len(s) > sheet.MaxLine/4:
		return "", refuse("a name of %d bytes is too long for the lines of a sheet", len(s))
	}
	return s, nil
}

// A renaming is one thing getting another name.
type renaming struct {
	v        *view
	w        *world
	thing    thing
	old, new string
}

// isLabel reports whether names of a sort are shared by many things, so that
// two of them may become one.
func isLabel(s sheet.Sort) bool { return sheet.FrameSort <= s && s <= sheet.OutcomeSort }

// edits finds what to write where. It refuses what could not be read back, or
// would mean something else.
func (r *renaming) edits() (map[*document][]diag.Edit, error) {
	edits := map[*document][]diag.Edit{}
	if r.old == r.new {
		return edits, nil
	}
	for _, d := range r.w.docs {
		if err := r.v.ctx.Err(); err != nil {
			return nil, err
		}
		if err := r.legible(d); err != nil {
			return nil, err
		}
		for s := range r.w.sightings(d) {
			switch {
			case r.is(s):
				if err := s.fixed(); err != nil {
					return nil, err
				}
				edits[d] = append(edits[d], d.file().Renamed(s.Mention, r.new))
			case r.clashes(s):
				return nil, refuse("there is a %s called %s already, in line %d of %s", s.Sort, r.new, s.line(), s.doc.name())
			}
		}
	}
	return edits, r.readsBack(edits)
}

// is reports whether a sighting is to be renamed.
func (r *renaming) is(s sighting) bool { return s.thing == r.thing && s.Name == r.old }

// clashes reports whether a sighting has the new name already. Two meters of which
// something is stated must not become one.
func (r *renaming) clashes(s sighting) bool {
	t := s.thing
	if t.sort == sheet.MeterSort && t.sort == r.thing.sort && s.Declares && s.Name == r.new {
		return true
	}
	return s.Name == r.new && t.sort == r.thing.sort && t.where == r.thing.where && t.of == r.thing.of && !isLabel(t.sort)
}

// concerns reports whether a document may name the thing: one about another
// board does not.
func (r *renaming) concerns(d *document) bool {
	s := r.w.home[d.file()].Subject()
	return r.thing.where == "" || s.Board.Name == "" || s.Board.String() == r.thing.where
}

// legible says that a document has lines that cannot be read: the name may
// stand there.
func (r *renaming) legible(d *document) error {
	if !r.w.whole {
		return refuse("the folder has more sheets than are read here (%d of them, or %d MiB); the name may stand in the others", maxBeside, maxBesideBytes>>20)
	}
	if r.thing.sort == sheet.QuestionSort {
		if q, ok := r.w.illegible(d); ok {
			return refuse("the question %s in %s cannot be read, and it may ask for %s; mend it first", q.Name, d.name(), r.old)
		}
	}
	for _, c := range d.parse().found {
		if c.Severity == diag.Error && r.concerns(d) {
			return refuse("line %d of %s cannot be read, and %s may stand there; mend it first: %s", max(c.Line, 1), d.name(), r.old, c.Message)
		}
	}
	if n := d.file().Unread(); n > 0 && r.concerns(d) {
		return refuse("%s is of a newer version and has %s that this program does not know; %s may stand there", d.name(), count(n, "line"), r.old)
	}
	return nil
}

// readsBack makes the edits and looks that the sheets name the same things as
// before, but for the new name.
func (r *renaming) readsBack(edits map[*document][]diag.Edit) error {
	all := map[string]*document{}
	for _, d := range r.w.docs {
		if e := edits[d]; len(e) > 0 {
			all[keyOf(d.uri)] = newDocument(d.uri, d.path, sheet.Apply(d.text, e), d.version)
		} else {
			all[keyOf(d.uri)] = d
		}
	}
	after := newWorld(all, r.w, r.w.whole)
	for i, d := range r.w.docs {
		if err := r.v.ctx.Err(); err != nil {
			return err
		}
		if at := r.differs(d, after, after.docs[i]); at > 0 {
			return refuse("with the name %s, line %d of %s would say something else", board.QuoteName(r.new), at, d.name())
		}
	}
	return nil
}

// differs returns the first line of a document in which other things are named
// than before, or 0.
func (r *renaming) differs(before *document, world *world, after *document) int {
	var was []sighting
	for s := range r.w.sightings(before) {
		was = append(was, s)
	}
	i := 0
	for s := range world.sightings(after) {
		if i == len(was) || r.renamed(was[i]) != s.thing || s.line() != was[i].line() {
			return s.line()
		}
		i++
	}
	if i < len(was) {
		return was[i].line()
	}
	return 0
}

// renamed is the thing that a sighting stands for when all is done.
func (r *renaming) renamed(s sighting) thing {
	t := s.thing
	if t == r.thing && t.name == r.old {
		t.name = r.new
	}
	if t.sort == sheet.PinSort && r.thing.sort == sheet.PartSort && t.where == r.thing.where && t.of == r.old {
		t.of = r.new
	}
	return t
}

// workspaceEdit says edits in the way that the client can read.
func (v *view) workspaceEdit(w *world, edits map[*document][]diag.Edit) workspaceEdit {
	var all workspaceEdit
	for _, d := range w.docs {
		if len(edits[d]) == 0 {
			continue
		}
		texts := v.textEdits(d, edits[d])
		if v.s.client.Workspace.Edit.DocumentChanges {
			all.DocumentChanges = append(all.DocumentChanges, documentEdit{versionedID{d.uri, d.version}, texts})
			continue
		}
		if all.Changes == nil {
			all.Changes = map[string][]textEdit{}
		}
		all.Changes[d.uri] = texts
	}
	return all
}

func (v *view) textEdits(d *document, edits []diag.Edit) []textEdit {
	all := make([]textEdit, len(edits))
	for i, e := range edits {
		all[i] = textEdit{d.lines().textRange(e.Range, v.s.client.encoding), e.New}
	}
	return all
}
