package store_test

import (
	"strings"
	"testing"

	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

// FuzzLog adds any words as a step, in a job of any number: they are taken, and
// say the same when the job is exported and read again, or a complaint tells why
// not. Taken back, they are gone.
func FuzzLog(f *testing.F) {
	for _, step := range []string{"draw 2.4A", `reading diode pad lower:P11 4mV "a \"b\""`, "separated # now", "tape P1..P4,P9", "hot nothing",
		`inject VMAIN 1V 2A 5min by "a b" when 2026-03-02`, "separated\n  2 joined", "note", `look "\` + "\x00" + `"`, "1 joined"} {
		f.Add("1042", step)
	}
	f.Add("a \"b", "joined")
	f.Add("of", "joined when 0001-01-01")
	f.Fuzz(func(t *testing.T, id, step string) {
		base := store.OpenMemory(nil)
		id, err := base.OpenJob(t.Context(), board.Job{ID: id, Of: "W", Symptom: step}, store.StackSubject("W"), store.Private{}, "bench-1")
		if err != nil {
			return
		}
		before := exported(t, base, id)
		said, wrong := store.ReadStep("1", 1, step)
		j, err := base.Log(t.Context(), id, step, "bench 1")
		if (err == nil) != (wrong == nil) {
			t.Fatalf("%q is %v when read and %v when logged", step, wrong, err)
		}
		if err != nil {
			return
		}
		if got := j.Steps[0]; got.Kind != said.Kind || got.Remark != said.Remark || len(got.On) != len(said.On) {
			t.Errorf("%q became %q", step, got.Text)
		}
		text := exported(t, base, id)
		again := store.OpenMemory(nil)
		a := store.Addition{Subject: store.StackSubject("W"), Files: []*sheet.File{parsed(t, text)}, Author: "bench-1"}
		if _, err := again.Add(t.Context(), a); err != nil {
			t.Fatalf("%q cannot be added again: %v", text, err)
		}
		if got := exported(t, again, id); got != text {
			t.Errorf("%q came back as %q", text, got)
		}
		if _, err := base.Undo(t.Context(), id, "bench-1"); err != nil || exported(t, base, id) != before {
			t.Errorf("taken back: %v, %q", err, exported(t, base, id))
		}
		if _, err := base.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
	})
}

func exported(t *testing.T, base *store.Base, id string) string {
	t.Helper()
	var text strings.Builder
	if err := base.Export(t.Context(), store.JobSubject(id), &text); err != nil {
		t.Fatal(err)
	}
	return text.String()
}

func parsed(t *testing.T, text string) *sheet.File {
	t.Helper()
	file, list := sheet.Parse("", []byte(text))
	if err := list.Err(); err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	return file
}
