package mirror

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"netlore/query/diag"
	"netlore/store"
	"netlore/store/board"
	"netlore/store/exchange"
	"netlore/store/exchange/exchangetest"
)

var (
	noon        = time.Date(2026, 3, 16, 12, 0, 0, 0, time.UTC)
	wrenSubject = store.BoardSubject(board.Ref{Name: "Wren", Revision: "1"})
	about       = exchange.About{Of: wrenSubject.String(), Licence: "CC0-1.0"}
)

// bench is one bench with its base, and what it says of Wren.
type bench struct {
	t    testing.TB
	id   *exchange.Identity
	base *store.Base
	said map[string]bool
}

// shopOf makes a shop with one bench, and gives the folder of its identity.
func shopOf(t testing.TB, name string) (*bench, string) {
	t.Helper()
	id, dir := exchangetest.Shop(t, name)
	return benchOf(t, id), dir
}

// further makes a further bench of a shop.
func further(t testing.TB, shop string) *bench {
	t.Helper()
	return benchOf(t, exchangetest.Further(t, shop))
}

func benchOf(t testing.TB, i *exchange.Identity) *bench {
	t.Helper()
	b := &bench{t, i, store.OpenMemory(func() time.Time { return noon }), map[string]bool{}}
	t.Cleanup(func() { b.base.Close() })
	b.trust(i)
	return b
}

func (b *bench) trust(i *exchange.Identity) {
	b.t.Helper()
	if _, err := b.base.Trust(b.t.Context(), i.Shop, i.Name, store.Trusted, exchange.Kinds(), "anna"); err != nil {
		b.t.Fatal(err)
	}
}

// says makes the bench say statements, LABEL standing for the shop.
func (b *bench) says(texts ...string) {
	for _, text := range exchangetest.Blocks(b.id, texts...) {
		b.said[text] = true
	}
}

// read reads a folder to the end, and takes what is in it.
func (b *bench) read(dir string) (*Folder, *Reader, *store.Taken) {
	b.t.Helper()
	f, err := Open(dir)
	if err != nil {
		b.t.Fatal(err)
	}
	b.t.Cleanup(func() { f.Close() })
	l, err := f.List(b.t.Context())
	if err != nil {
		b.t.Fatal(err)
	}
	r := f.Read(b.t.Context(), l, Reading{Now: noon, Ours: b.id.Keys(), Held: func(of string, ids []exchange.ID) (map[exchange.ID]string, error) {
		return b.base.Shared(b.t.Context(), of, ids)
	}})
	taken, err := b.base.Take(b.t.Context(), r.Next, store.Taking{From: "folder", Author: "anna", Sparing: true})
	if err != nil {
		b.t.Fatal(err)
	}
	return f, r, taken
}

// mirror brings the bench and a folder in step, as the command does.
func (b *bench) mirror(dir string) (*Writer, *Reader) {
	b.t.Helper()
	f, r, _ := b.read(dir)
	b.sign()
	w := f.Write(b.t.Context(), r, Writing{Identity: b.id})
	ours := b.id.Keys()
	var batches []*exchange.Batch
	err := b.base.Signed(b.t.Context(), wrenSubject, func(e store.SignedEntry) bool {
		return !e.Withdrawn && slices.Contains(ours, e.Shop) && (e.Text == "" || b.said[e.Text] || w.Has(e.Shop, about.Of, e.Text))
	}, func(batch *exchange.Batch) error {
		batches = append(batches, batch)
		return nil
	})
	for _, step := range []func() error{w.Shop, func() error { return w.Subject(about.Of, batches) }, w.Mend} {
		if err == nil {
			err = step()
		}
	}
	if err != nil {
		b.t.Fatal(err)
	}
	return w, r
}

// sign signs what is said and was not signed, and withdraws what is not said any more.
func (b *bench) sign() {
	b.t.Helper()
	made, err := b.base.Made(b.t.Context(), wrenSubject, store.Ours{Keys: b.id.Keys()})
	if err != nil {
		b.t.Fatal(err)
	}
	signed, again := map[string]bool{}, map[string]int{}
	var retracts []exchange.ID
	for _, m := range made {
		switch {
		case m.Withdrawn:
			again[m.Text]++
		case b.said[m.Text]:
			signed[m.Text] = true
		case !m.Elsewhere:
			retracts = append(retracts, m.ID)
		}
	}
	byAgain := map[int][]string{0: nil}
	for text := range b.said {
		if !signed[text] {
			byAgain[again[text]] = append(byAgain[again[text]], text)
		}
	}
	var all []*exchange.Batch
	for n, blocks := range byAgain {
		slices.Sort(blocks)
		about := about
		about.Again = n
		batches, err := b.id.Batches(about, blocks, retracts, noon)
		if err != nil {
			b.t.Fatal(err)
		}
		all, retracts = append(all, batches...), nil
	}
	if err := b.base.KeepMade(context.Background(), all, "anna", "folder"); err != nil {
		b.t.Fatal(err)
	}
}

// shares lists all that counts of shops on Wren, with whose word it is.
func (b *bench) shares() (all []string) {
	b.t.Helper()
	err := b.base.Signed(b.t.Context(), wrenSubject, func(e store.SignedEntry) bool {
		if e.Text != "" && !e.Withdrawn {
			all = append(all, e.Shop.String()+" "+e.Text)
		}
		return false
	}, nil)
	if err != nil {
		b.t.Fatal(err)
	}
	slices.Sort(all)
	return slices.Compact(all) // said once more after it was withdrawn, it is another entry
}

// holds is what counts on Wren in the base, as a sheet.
func (b *bench) holds() string {
	b.t.Helper()
	var s strings.Builder
	if err := b.base.Export(b.t.Context(), wrenSubject, &s); err != nil {
		return err.Error()
	}
	return s.String()
}

// codes are the codes of complaints, each once.
func codes(list diag.List) string {
	var all []string
	for _, d := range list {
		all = append(all, d.Code)
	}
	slices.Sort(all)
	return strings.Join(slices.Compact(all), " ")
}

// files reads all of a folder.
func files(t testing.TB, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		name, _ := filepath.Rel(dir, path)
		all[filepath.ToSlash(name)] = string(text)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// sheetOf is the path of a sheet of a bench in a folder.
func (b *bench) sheetOf(dir, kind string) string {
	return filepath.Join(dir, shopFolder(b.id.Name, b.id.Shop), subjectFolder(about.Of), kind+endSheet)
}
