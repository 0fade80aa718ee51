package cli

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"netlore/query"
	"netlore/query/run"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

// wanted is what a question has chosen to be shared: the things in the first column
// of its answer.
type wanted struct {
	kind   string                // of statement: "note"; empty for all about the things
	texts  map[string]bool       // of notes
	boards map[board.Ref]nameSet // things by the board that they are on
	roles  map[string]nameSet    // and by its role in the stack that was asked
	found  int
}

type nameSet map[string]bool

// statementsOf are the kinds of statement that can be asked for themselves.
var statementsOf = map[words.Noun]string{words.Notes: "note", words.Expected: "expect", words.Readings: "reading"}

// ask chooses by a question what to share.
func (a *app) ask(ctx context.Context, base *store.Base, on, question string) (*wanted, error) {
	opt := query.Options{On: on, Rows: mostRows, Time: 5 * time.Minute, Now: a.Now}
	q, err := query.Compile(ctx, base, opt, question)
	if err != nil {
		return nil, err
	}
	a.complain(q.Notes)
	answer, err := q.Run(ctx, base, opt)
	switch {
	case err != nil:
		return nil, err
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case !answer.Complete():
		return nil, fail(exitLimit, errors.New("the question has more answers than can be packed at once; ask a narrower one"))
	}
	w := choose(answer)
	if w.found == 0 {
		return nil, hint(fmt.Errorf("nothing that can be shared answers the question: %s", question), "ask for parts, nets, pads, covers, or for notes, expected values or readings on them")
	}
	return w, nil
}

func choose(answer *run.Answer) *wanted {
	w := &wanted{kind: statementsOf[answer.Noun], texts: map[string]bool{}, boards: map[board.Ref]nameSet{}, roles: map[string]nameSet{}}
	for _, row := range answer.Rows {
		if row.Of == nil || row.ID < 0 || len(row.Cells) == 0 {
			continue
		}
		for _, item := range items(row.Cells[0]) {
			put(w.boards, row.Of.Board, item.Raw())
			put(w.roles, row.Of.Role, item.Raw())
			w.found++
		}
		for i, c := range answer.Columns {
			if c.Name == "text" && answer.Noun == words.Notes {
				w.texts[row.Cells[i].Raw()] = true
			}
		}
	}
	return w
}

func items(v value.Value) []value.Value {
	if all := v.Items(); all != nil {
		return all
	}
	return []value.Value{v}
}

func put[K comparable](sets map[K]nameSet, key K, name string) {
	if sets[key] == nil {
		sets[key] = nameSet{}
	}
	sets[key][name] = true
}

// has reports whether a canonical block on a subject is among what was chosen: it
// declares one of the things, or is said about one.
func (w *wanted) has(s store.Subject, block string) bool {
	kind, _, _ := strings.Cut(block, " ")
	if w.kind != "" && kind != w.kind {
		return false
	}
	file, _ := sheet.Parse("", []byte("netlore 1\n"+block))
	if w.kind == "note" && !w.saysText(file) {
		return false
	}
	said := kind == "expect" || kind == "reading" || kind == "note" || kind == "continuity"
	for m := range file.Mentions(nameOfAny) {
		if !m.Sort.OfBoard() || !m.Declares && !said {
			continue
		}
		name := m.Name
		if m.Of != "" {
			name = m.Of + "." + m.Name
		}
		names := w.boards[s.Ref]
		if s.Stack {
			names = w.roles[m.Role]
		}
		if names[name] {
			return true
		}
	}
	return false
}

// saysText reports whether a note says what one of the chosen notes says.
func (w *wanted) saysText(file *sheet.File) bool {
	content, _ := sheet.Read(file)
	for _, n := range content.Knowledge.Notes {
		if w.texts[n.Text] {
			return true
		}
	}
	return false
}

// nameOfAny takes every target for a thing of the board.
func nameOfAny(t board.Target) board.TargetKind {
	if t.Kind == board.AnyTarget {
		return board.OnNet
	}
	return t.Kind
}
