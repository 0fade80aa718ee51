package lsp

import (
	"context"
	"maps"
	"path/filepath"
	"slices"
	"sync"

	"netlore/cmd/internal/saved"
	"netlore/query"
	"netlore/store/board"
	"netlore/store/sheet"
)

// A world is the sheets that count for one document: those open in the editor,
// and those beside it in its folder. It does not change.
type world struct {
	docs   []*document // in order of their keys
	unions []*sheet.Union
	home   map[*sheet.File]*sheet.Union
	doc    map[*sheet.File]*document
	whole  bool                                 // no sheet of the folder was left out
	saved  func() *query.Saved                  // the saved questions of all sheets
	asks   map[*document]func() []sheet.Mention // where one of them asks for another
}

// open returns an open document, and its world.
func (v *view) open(id documentID) (*document, *world, error) {
	d := v.docs.get(id.URI)
	if d == nil {
		return nil, nil, refuse("%s is not open", id.URI)
	}
	w := v.s.disk.world(v.ctx, v.docs, d)
	return d, w, v.ctx.Err()
}

// world puts together the world of a document. What of it is as it was the last
// time is not read again.
func (k *disk) world(ctx context.Context, docs *documents, d *document) *world {
	folder := ""
	all := maps.Clone(docs.open)
	whole := true
	if d.path != "" {
		var found []*document
		folder = filepath.Dir(d.path)
		found, whole = k.beside(ctx, folder)
		for _, f := range found {
			if all[keyOf(f.uri)] == nil {
				all[keyOf(f.uri)] = f
			}
		}
	}
	k.mu.Lock()
	last := k.worlds[folder]
	k.mu.Unlock()
	w := newWorld(all, last, whole)
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.worlds == nil || len(k.worlds) > 16 {
		k.worlds = map[string]*world{}
	}
	k.worlds[folder] = w
	return w
}

func newWorld(all map[string]*document, last *world, whole bool) *world {
	w := &world{whole: whole, home: map[*sheet.File]*sheet.Union{}, doc: map[*sheet.File]*document{}}
	var files []*sheet.File
	for _, key := range slices.Sorted(maps.Keys(all)) {
		d := all[key]
		w.docs = append(w.docs, d)
		w.doc[d.file()] = d
		files = append(files, d.file())
	}
	if last != nil && last.whole == whole && slices.Equal(w.docs, last.docs) {
		return last
	}
	w.saved = sync.OnceValue(func() *query.Saved { return query.NewSaved(saved.In(files)) })
	w.asks = make(map[*document]func() []sheet.Mention, len(w.docs))
	for _, d := range w.docs {
		w.asks[d] = sync.OnceValue(func() []sheet.Mention { return saved.Uses(d.file(), w.saved()) })
	}
	for _, u := range sheet.Unite(files...) {
		if last != nil {
			if i := slices.IndexFunc(last.unions, u.Same); i >= 0 {
				u = last.unions[i]
			}
		}
		w.unions = append(w.unions, u)
		for _, f := range u.Files {
			w.home[f] = u
		}
	}
	return w
}

// ofBoard is the union about a board, or nil.
func (w *world) ofBoard(ref board.Ref) *sheet.Union {
	for _, u := range w.unions {
		s := u.Subject()
		if ref.Name != "" && s.Board.Name == ref.Name && (s.Board.Revision == ref.Revision || s.Board.Revision == "" || ref.Revision == "") {
			return u
		}
	}
	return nil
}

// A scope is how one document names things: which board it means by which role.
type scope struct {
	w     *world
	u     *sheet.Union
	known map[string]meant
}

// meant is the board that is meant by a role.
type meant struct {
	ref   board.Ref
	where string       // in a form that is the same in all documents
	union *sheet.Union // of the sheets about it; nil if there are none
}

// board is what the sheets say of the board; nil if nothing.
func (m meant) board() *board.Board {
	if m.union == nil {
		return nil
	}
	return m.union.Content().Board
}

func (w *world) scope(d *document) *scope {
	return &scope{w, w.home[d.file()], map[string]meant{}}
}

// meant returns the board in a role; the role "" is the board that the document
// is about.
func (c *scope) meant(role string) meant {
	m, ok := c.known[role]
	if !ok {
		m = c.find(role)
		c.known[role] = m
	}
	return m
}

func (c *scope) find(role string) meant {
	ref := c.refOf(role)
	u := c.w.ofBoard(ref)
	if role == "" {
		u = c.u
	}
	if u != nil {
		ref = u.Subject().Board
	}
	m := meant{ref: ref, where: ref.String(), union: u}
	if ref.Name == "" {
		m.where = "role " + role
	}
	return m
}

// refOf is the board in a role, as the document says it; a reference without a
// name says that it does not.
func (c *scope) refOf(role string) board.Ref {
	if role == "" {
		return c.u.Subject().Board
	}
	if stack := c.u.Content().Stack; stack != nil {
		for _, m := range stack.Members {
			if m.Role == role {
				return m.Board
			}
		}
	}
	return board.Ref{}
}

// tell tells what a target of the document is.
func (c *scope) tell(t board.Target) board.TargetKind {
	return sheet.TellerOf(func(role string) *board.Board { return c.meant(role).board() })(t)
}
