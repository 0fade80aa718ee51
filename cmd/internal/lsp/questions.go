package lsp

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"netlore/cmd/internal/saved"
	"netlore/query"
	"netlore/query/check"
	"netlore/query/diag"
	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

// files are the sheets of all documents.
func (w *world) files() []*sheet.File {
	files := make([]*sheet.File, len(w.docs))
	for i, d := range w.docs {
		files[i] = d.file()
	}
	return files
}

// savedWrong is what is wrong with the saved questions of the sheets. They may
// ask for those of the knowledge base.
func (v *view) savedWrong(w *world) diag.List {
	files := w.files()
	if len(saved.In(files)) == 0 {
		return nil
	}
	var held []board.SavedQuestion
	_ = v.withBase(func(base *store.Base) error { // without one, as far as the sheets tell
		all, err := base.Catalogue(v.ctx)
		if err == nil {
			held = all.Questions
		}
		return err
	})
	return saved.Check(files, held)
}

// questionLines tells of a saved question: how it is asked, what it says, what
// that comes to, and who asks for it.
func questionLines(all []board.SavedQuestion, name string) []string {
	i := slices.IndexFunc(all, func(q board.SavedQuestion) bool { return q.Name == name })
	if i < 0 {
		return []string{"saved question " + name}
	}
	q := all[i]
	heading := "saved question " + q.Name
	if len(q.Parameters) > 0 {
		heading += " for " + strings.ToUpper(strings.Join(q.Parameters, ", "))
	}
	lines := []string{heading, q.Text}
	if reading := query.Reading(q, all); reading != q.Text {
		lines = append(lines, "read as: "+reading)
	}
	var asking []string
	for _, other := range all {
		if other.Name != name && slices.Contains(query.Uses(other.Text, all), name) {
			asking = append(asking, other.Name)
		}
	}
	return append(lines, said(label("asked for by", list(asking)))...)
}

// savedName refuses a name that no saved question can have.
func (r *renaming) savedName() error {
	if r.thing.sort != sheet.QuestionSort {
		return nil
	}
	if wrong := query.CheckSaved(board.SavedQuestion{Name: r.new, Text: "parts"}, nil); wrong != nil {
		return refuse("%s", wrong[0].Message)
	}
	return nil
}

// illegible is a question of a document whose text cannot be read.
func (w *world) illegible(d *document) (sheet.Question, bool) {
	for _, q := range d.file().Questions() {
		if !w.saved().Reads(q.Text) {
			return q, true
		}
	}
	return sheet.Question{}, false
}

// inQuestion completes the text of a saved question. The places of q count in
// its line, which starts at a byte of the document.
func (v *view) inQuestion(d *document, w *world, q sheet.Question, at, start int) completionList {
	list := completionList{Items: []completionItem{}}
	for _, o := range v.offers(d, w, q, at) {
		edit := q.Place(diag.Diagnostic{Line: 1, Edits: []diag.Edit{{Range: o.at, New: o.Text}}}).Edits[0]
		place := d.lines().textRange(diag.Range{Start: start + edit.Range.Start, End: start + edit.Range.End}, v.s.client.encoding)
		kind := nameKind
		if o.Sort == "word" {
			kind = keywordKind
		}
		filter := edit.New
		if !strings.HasPrefix(d.text[start+edit.Range.Start:], `\"`) {
			filter = strings.TrimPrefix(filter, `\"`) // what is typed has no quotation mark
		}
		list.Items = append(list.Items, completionItem{Label: o.Text, Kind: kind, Detail: o.Sort, Sort: fmt.Sprintf("%04d", len(list.Items)), Filter: filter, Edit: textEdit{place, edit.New}})
	}
	return list
}

// offer is something that can stand in a text, and what it takes the place of.
type offer struct {
	check.Offer
	at diag.Range
}

// offers are what can stand at a byte of a question: its parameters, else what
// the language has and the sheets and the base know.
func (v *view) offers(d *document, w *world, q sheet.Question, at int) (all []offer) {
	word := strings.LastIndexAny(q.Text[:at], " ,(") + 1
	if strings.HasPrefix(q.Text[word:at], "$") {
		for _, p := range q.Parameters {
			all = append(all, offer{check.Offer{Text: "$" + p, Sort: "parameter"}, diag.Range{Start: word, End: at}})
		}
		return all
	}
	asked := false
	ask := func(base *store.Base) error {
		asked = true
		src := &source{w, base}
		c := query.Complete(v.ctx, src, query.Options{On: src.on(d)}, q.Text, at)
		for _, o := range c.Offers {
			all = append(all, offer{o, c.Replace})
		}
		return nil
	}
	if _ = v.withBase(ask); !asked {
		_ = ask(nil)
	}
	return all
}

// source is what a question in a sheet is asked of: the boards and saved
// questions of the sheets, and besides those of the base, which may be nil.
type source struct {
	w    *world
	base *store.Base
}

// on is the board or stack that a document is about.
func (s *source) on(d *document) string {
	about := s.w.home[d.file()].Subject()
	if about.Stack != "" {
		return about.Stack
	}
	return about.Board.String()
}

func (s *source) Catalogue(ctx context.Context) (*board.Catalogue, error) {
	all := &board.Catalogue{}
	for _, u := range s.w.unions {
		if c := u.Content(); c.Stack != nil {
			all.Stacks = append(all.Stacks, *c.Stack)
		} else if c.Board != nil && u.Subject().Board.Name != "" {
			all.Boards = append(all.Boards, board.Summary{Ref: u.Subject().Board})
		}
	}
	all.Questions = saved.In(s.w.files())
	if s.base == nil {
		return all, nil
	}
	held, err := s.base.Catalogue(ctx)
	if err != nil {
		return all, err
	}
	for _, b := range held.Boards {
		if s.w.ofBoard(b.Ref) == nil {
			all.Boards = append(all.Boards, b)
		}
	}
	for _, one := range held.Stacks {
		if !slices.ContainsFunc(all.Stacks, func(have board.Stack) bool { return have.Name == one.Name }) {
			all.Stacks = append(all.Stacks, one)
		}
	}
	all.Questions = append(all.Questions, held.Questions...)
	return all, nil
}

func (s *source) Board(ctx context.Context, ref board.Ref) (*board.Board, error) {
	if u := s.w.ofBoard(ref); u != nil && u.Content().Board != nil {
		return u.Content().Board, nil
	}
	if s.base == nil {
		return nil, errors.New("no sheet is about " + ref.String())
	}
	return s.base.Board(ctx, ref)
}

// Knowledge is not looked for: no name is found by it but those of jobs.
func (s *source) Knowledge(context.Context, board.Ref) (*board.Knowledge, error) {
	return &board.Knowledge{}, nil
}
