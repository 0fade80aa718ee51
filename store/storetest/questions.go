package storetest

import (
	"context"
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

// ploverQuestions is canonical, so that it comes back as it is.
const ploverQuestions = `netlore 1

question bigcaps $rail "capacitors on $rail with value at least 10uF"
question lids "covers over (parts on \"CHG OUT\")"
`

func (b *bench) save(name, text string, parameters ...string) store.Result {
	b.t.Helper()
	r, err := b.base.Save(context.Background(), board.SavedQuestion{Name: name, Parameters: parameters, Text: text}, "bench-1")
	if err != nil {
		b.t.Fatal(err)
	}
	return r
}

// saved are the names of the saved questions with their texts, as the catalogue
// has them.
func (b *bench) saved() string {
	b.t.Helper()
	all, err := b.base.Catalogue(context.Background())
	if err != nil {
		b.t.Fatal(err)
	}
	var list []string
	for _, q := range all.Questions {
		list = append(list, q.Name+": "+q.Text)
	}
	return strings.Join(list, "; ")
}

func testSaveAndForget(t *testing.T, b *bench) {
	ctx := context.Background()
	b.save("lids", "covers")
	b.clock = b.clock.AddDate(0, 0, 1)
	b.save("caps10", "capacitors on $r", "r")
	if r := b.save("caps10", "capacitors on $r", "r"); r.New != 0 || r.Known != 1 {
		t.Errorf("saved again: %+v", r)
	}
	if r := b.save("lids", "covers with risk = high"); r.New != 1 || r.Withdrawn != 1 {
		t.Errorf("saved anew: %+v", r)
	}
	b.base = b.reopen()
	if got, want := b.saved(), "caps10: capacitors on $r; lids: covers with risk = high"; got != want {
		t.Errorf("got %s\nwant %s", got, want)
	}
	list, err := b.base.Saved(ctx)
	if err != nil || len(list) != 2 || list[1].Author != "bench-1" || !list[1].Time.Equal(b.clock) || cmp.Diff([]string{"r"}, list[0].Parameters) != "" {
		t.Errorf("%+v, %v", list, err)
	}
	if subjects, err := b.base.Subjects(); err != nil || cmp.Diff([]store.Subject{store.QuestionsSubject()}, subjects) != "" {
		t.Errorf("%v, %v", subjects, err)
	}
	for _, name := range []string{"lids", "caps10"} {
		if r, err := b.base.Forget(ctx, name, "bench-2"); err != nil || r.Withdrawn != 1 {
			t.Errorf("forgetting %s: %+v, %v", name, r, err)
		}
	}
	if _, err := b.base.Forget(ctx, "lids", "bench-2"); !errors.Is(err, store.ErrUnknownQuestion) {
		t.Errorf("forgotten twice: %v", err)
	}
	if got := b.saved(); got != "" {
		t.Errorf("left: %s", got)
	}
	events, err := b.base.History(store.QuestionsSubject())
	if err != nil || len(events) != 5 || events[4].Kind != store.Withdrawn || events[4].Author != "bench-2" {
		t.Errorf("%+v, %v", events, err)
	}
	b.save("lids", "covers")
	if _, err := b.base.Verify(ctx, nil); err != nil || b.saved() != "lids: covers" {
		t.Errorf("saved after all were forgotten: %s, %v", b.saved(), err)
	}
}

// testQuestionsOfASheet adds a sheet that says something of a board and holds
// questions, which are kept apart, and comes back as two sheets.
func testQuestionsOfASheet(t *testing.T, b *bench) {
	both := ploverSheet + "\n" + strings.TrimPrefix(ploverQuestions, "netlore 1\n\n")
	files := []*sheet.File{b.parse("plover.lore", both)}
	results := b.addAll(store.Addition{Subject: plover, Files: files, Author: "bench-1"},
		store.Addition{Subject: store.QuestionsSubject(), Files: files, Author: "bench-1"})
	if results[0].New != ploverBlocks || results[1].New != 2 {
		t.Errorf("%+v", results)
	}
	if d := cmp.Diff(ploverSheet, b.export(plover)); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff(ploverQuestions, b.export(store.QuestionsSubject())); d != "" {
		t.Error(d)
	}
	a := b.addition(ploverSheet)
	a.Mode = store.Replace
	if b.addAll(a); b.saved() == "" {
		t.Error("a board that was replaced took the questions along")
	}
	if _, err := b.base.Verify(context.Background(), nil); err != nil {
		t.Error(err)
	}
}

func testQuestionsContradict(t *testing.T, b *bench) {
	ask := func(text string, mode store.Mode) error {
		files := []*sheet.File{b.parse("new.lore", "netlore 1\n\n"+text+"\n")}
		_, err := b.base.Add(context.Background(), store.Addition{Subject: store.QuestionsSubject(), Files: files, Author: "bench-2", Mode: mode})
		return err
	}
	b.save("lids", "covers")
	if err := ask(`question lids "covers"`, store.Union); err != nil {
		t.Error(err)
	}
	err := ask(`question lids "shields"`, store.Union)
	if err == nil || !strings.HasPrefix(err.Error(), "new.lore:3:") || !strings.Contains(err.Error(), "differ in the question") {
		t.Errorf("a contradiction gave %v", err)
	}
	if err := ask(`question lids "shields"`, store.Correct); err != nil || b.saved() != "lids: shields" {
		t.Errorf("%s, %v", b.saved(), err)
	}
}
