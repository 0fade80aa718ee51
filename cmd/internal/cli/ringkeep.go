package cli

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"slices"
	"strings"
	"time"

	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

// touch is what was said once of two places.
type touch struct {
	a, b  board.Target // b is the zero Target for ground
	rings bool
	sure  bool // it puts both on one net, whatever lies between
	by    string
	when  time.Time
	text  string        // the statement, in canonical form
	home  store.Subject // what the statement is about
}

// String is a touch in words: "P11 rings to TP7".
func (t touch) String() string {
	b := "ground"
	if t.b != (board.Target{}) {
		b = t.b.String()
	}
	if t.rings {
		return t.a.String() + " rings to " + b
	}
	return t.a.String() + " does not ring to " + b
}

// said says a touch in a sheet: as continuity if it puts two places on one net, else
// as a reading.
func (t touch) said() touch {
	var k board.Knowledge
	r := board.Reading{Mode: board.Continuity, On: t.a, To: t.b, Outcome: board.NotClosed, By: t.by, When: t.when}
	switch {
	case t.sure:
		k.Links = []board.Link{{A: t.a, B: t.b, By: t.by, When: t.when}}
	case t.rings:
		r.Outcome = board.Closed
		fallthrough
	default:
		k.Readings = []board.Reading{r}
	}
	t.text = said(&k)
	return t
}

// said is the one statement of some knowledge, in canonical form.
func said(k *board.Knowledge) string {
	_, text, _ := strings.Cut(string(sheet.Write(&sheet.Content{Knowledge: k})), "\n")
	return strings.TrimLeft(text, "\n")
}

// touchesIn are the touches among what is known of a board, or, with its role, of
// the stack that it is in. Those of a job are left aside.
func touchesIn(k *board.Knowledge, home store.Subject, role string) []touch {
	var all []touch
	add := func(t touch) {
		if t.a.Role == role && (t.b.Role == role || t.b == (board.Target{})) {
			t.a.Role, t.b.Role, t.home = "", "", home
			all = append(all, t)
		}
	}
	for _, l := range k.Links {
		add(touch{a: l.A, b: l.B, rings: true, sure: true, by: l.By, when: l.When, text: said(&board.Knowledge{Links: []board.Link{l}})})
	}
	for _, r := range k.Readings {
		if r.Mode == board.Continuity && r.Job == "" && (r.Outcome == board.Closed || r.Outcome == board.NotClosed) {
			add(touch{a: r.On, b: r.To, rings: r.Outcome == board.Closed, by: r.By, when: r.When, text: said(&board.Knowledge{Readings: []board.Reading{r}})})
		}
	}
	return all
}

// ringKeeper is where touches are kept. What keep and drop did is on disk when
// they return.
type ringKeeper interface {
	touches(ctx context.Context) ([]touch, error) // oldest first
	keep(ctx context.Context, t touch) error
	drop(ctx context.Context, t touch) error
}

// keepInBase keeps touches in the knowledge base, which is open no longer than
// that takes: whoever rings out may take hours.
type keepInBase struct {
	app *app
	ref board.Ref
}

func (k keepInBase) touches(ctx context.Context) (all []touch, err error) {
	err = k.app.reading(ctx, func(base *store.Base) error {
		home := store.BoardSubject(k.ref)
		_, known, err := base.Stated(ctx, home)
		if err != nil {
			return err
		}
		all = touchesIn(known, home, "")
		shared, err := k.inStacks(ctx, base)
		all = append(all, shared...)
		return err
	})
	byTime(all)
	return all, err
}

// inStacks are the touches that are said of the stacks that the board is in.
func (k keepInBase) inStacks(ctx context.Context, base *store.Base) (all []touch, err error) {
	held, err := base.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	for _, s := range held.Stacks {
		for _, m := range s.Members {
			if m.Board != k.ref {
				continue
			}
			home := store.StackSubject(s.Name)
			_, known, err := base.Stated(ctx, home)
			if err != nil {
				return nil, err
			}
			all = append(all, touchesIn(known, home, m.Role)...)
		}
	}
	return all, nil
}

// byTime sorts touches, those without a time first.
func byTime(all []touch) {
	slices.SortStableFunc(all, func(x, y touch) int { return x.when.Compare(y.when) })
}

func (k keepInBase) keep(ctx context.Context, t touch) error {
	file, list := sheet.Parse("ring", []byte("netlore 1\n"+t.text))
	if err := list.Err(); err != nil {
		return err
	}
	return k.app.withdrawing(ctx, func(base *store.Base) error {
		_, err := base.Add(ctx, store.Addition{Subject: store.BoardSubject(k.ref), Files: []*sheet.File{file}, Author: k.app.author(),
			Made: func(*sheet.File) bool { return true }})
		return refused(err)
	})
}

func (k keepInBase) drop(ctx context.Context, t touch) error {
	return k.app.withdrawing(ctx, func(base *store.Base) error {
		_, err := base.Withdraw(ctx, t.home, t.text, k.app.author())
		return err
	})
}

// keepInSheet keeps touches in a sheet, which is about the board or about its stack.
// Those of the base count, too.
type keepInSheet struct {
	keepInBase
	path  string
	stack string // empty if it is about the board
	role  string // of the board in the stack
}

func (k keepInSheet) about() store.Subject {
	if k.stack != "" {
		return store.StackSubject(k.stack)
	}
	return store.BoardSubject(k.ref)
}

// line is a touch as the sheet says it.
func (k keepInSheet) line(t touch) string {
	if k.stack == "" || t.home == k.about() {
		return t.text
	}
	t.a, t.b = roled(t.a, k.role), roled(t.b, k.role)
	return t.said().text
}

// roled is a target on the board of a role; ground stays.
func roled(t board.Target, role string) board.Target {
	if t != (board.Target{}) {
		t.Role = role
	}
	return t
}

// newKeepInSheet makes the sheet unless it is there.
func newKeepInSheet(k keepInSheet) (keepInSheet, error) {
	_, err := os.Stat(k.path)
	if errors.Is(err, fs.ErrNotExist) {
		return k, newFile(k.path, []byte("netlore 1\n"+k.about().String()+"\n\n"))
	}
	if err == nil {
		_, err = k.read()
		return k, err
	}
	return k, fail(exitInput, fileError(k.path, err))
}

// read reads the sheet, which must be about the board.
func (k keepInSheet) read() (*board.Knowledge, error) {
	text, err := os.ReadFile(k.path)
	if err != nil {
		return nil, fail(exitInput, fileError(k.path, err))
	}
	file, list := sheet.Parse(k.path, text)
	if list.HasErrors() {
		return nil, fail(exitInput, list)
	}
	if about := file.Subject(); about.Stack != k.stack || k.stack == "" && about.Board != k.ref {
		return nil, fail(exitInput, hint(fmt.Errorf("%s is not about %s", k.path, cmp.Or(k.stack, k.ref.String())), "name another file with --to"))
	}
	content, list := sheet.Read(file)
	if list.HasErrors() {
		return nil, fail(exitInput, list)
	}
	return content.Knowledge, nil
}

func (k keepInSheet) touches(ctx context.Context) ([]touch, error) {
	all, err := k.keepInBase.touches(ctx)
	if err != nil {
		return nil, err
	}
	known, err := k.read()
	if err != nil {
		return nil, err
	}
	for _, t := range touchesIn(known, k.about(), k.role) {
		if !slices.ContainsFunc(all, func(held touch) bool { return held.text == t.text }) {
			all = append(all, t)
		}
	}
	byTime(all)
	return all, nil
}

func (k keepInSheet) keep(_ context.Context, t touch) error {
	text, err := os.ReadFile(k.path)
	if err != nil {
		return fail(exitInput, fileError(k.path, err))
	}
	if len(text) > 0 && text[len(text)-1] != '\n' {
		text = append(text, '\n')
	}
	return replaceFile(k.path, append(text, k.line(t)...))
}

// errNotInSheet says that a touch that is to be withdrawn is in the base.
var errNotInSheet = errors.New("in the base, not in the sheet")

// drop takes a line out of the sheet. What only the base says stays: there it is
// withdrawn without --to.
func (k keepInSheet) drop(_ context.Context, t touch) error {
	text, err := os.ReadFile(k.path)
	if err != nil {
		return fail(exitInput, fileError(k.path, err))
	}
	lines := strings.SplitAfter(string(text), "\n")
	for i := len(lines) - 1; i >= 0; i-- {
		if strings.TrimSuffix(lines[i], "\n") == strings.TrimSuffix(k.line(t), "\n") {
			return replaceFile(k.path, []byte(strings.Join(slices.Delete(lines, i, i+1), "")))
		}
	}
	return fmt.Errorf("that %s is %w; netlore ring without --to can withdraw it", t, errNotInSheet)
}

// conclude writes what follows into the sheet: on which nets the places are. What
// it said of these places before gives way.
func (k keepInSheet) conclude(follows map[string]string) error {
	text, err := os.ReadFile(k.path)
	if err != nil {
		return fail(exitInput, fileError(k.path, err))
	}
	lines := slices.DeleteFunc(strings.SplitAfter(string(text), "\n"), func(line string) bool { return concluded(line, follows) })
	out := strings.Join(lines, "")
	if out != "" && !strings.HasSuffix(out, "\n") {
		out += "\n"
	}
	for _, pad := range slices.SortedFunc(maps.Keys(follows), board.CompareNatural) {
		if net := follows[pad]; net != noNet {
			out += "pad " + pad + " on " + net + "\n"
		}
	}
	if out == string(text) {
		return nil
	}
	return replaceFile(k.path, []byte(out))
}

// concluded reports whether a line says on which net one of the pads is, and
// nothing more.
func concluded(line string, pads map[string]string) bool {
	for pad := range pads {
		if net, ok := strings.CutPrefix(strings.TrimSuffix(line, "\n"), "pad "+pad+" on "); ok {
			name, quoted := board.Unquote(net)
			return board.BareName(net) || quoted && board.QuoteName(name) == net
		}
	}
	return false
}

// noNet stands for the net of a place that is on none as far as known. It is no
// name in canonical form.
const noNet = " "
