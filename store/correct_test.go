package store

import (
	"testing"

	"netlore/store/sheet"
)

// TestCorrectExpected: who corrects what he expects at a place no longer expects the old
// value there; what others expect, and he elsewhere or in another mode, stays.
func TestCorrectExpected(t *testing.T) {
	b := OpenMemory(atNoon)
	add := func(how Mode, statements string) Result {
		t.Helper()
		file, list := sheet.Parse("wren.lore", []byte("netlore 1\nboard Wren rev 1\n"+statements))
		if list.HasErrors() {
			t.Fatal(list)
		}
		all, err := b.Add(t.Context(), Addition{Subject: wrenSubject, Files: []*sheet.File{file}, Author: "anna", Mode: how, Own: []string{"Heron Repair dpty"}})
		if err != nil {
			t.Fatal(err)
		}
		return all[0]
	}
	add(Union, "part C1\npart C2\nexpect diode C1.1 0.4V by anna\nexpect diode C1.1 0.41V by bert\nexpect ohms C1.1 3ohm by anna\nexpect diode C2.1 0.4V by anna\n")
	if r := add(Correct, "expect diode C1.1 0.5V by anna\n"); r.New != 1 || r.Withdrawn != 1 {
		t.Errorf("%+v", r)
	}
	want := "expect diode C1.1 0.41V by bert\nexpect diode C1.1 0.5V by anna\nexpect ohms C1.1 3ohm by anna\nexpect diode C2.1 0.4V by anna\n"
	got := ""
	for _, f := range found(t, b, "expect ") {
		if f.Holds {
			got += f.Text
		}
	}
	_, k, err := b.Stated(t.Context(), wrenSubject)
	if err != nil || len(k.Expected) != 4 || len(got) != len(want) {
		t.Errorf("%v, %d expected values\n%s\nwant\n%s", err, len(k.Expected), got, want)
	}
	if r := add(Correct, "expect diode C1.1 0.5V by anna\n"); r.New != 0 || r.Withdrawn != 0 {
		t.Errorf("the same once more: %+v", r)
	}
	// In the name of the shop, it takes the place of what anybody here has said.
	if r := add(Correct, "expect diode C1.1 0.6V by \"Heron Repair dpty\"\n"); r.New != 1 || r.Withdrawn != 2 {
		t.Errorf("%+v", r)
	}
	if _, k, err := b.Stated(t.Context(), wrenSubject); err != nil || len(k.Expected) != 3 {
		t.Errorf("%+v, %v", k.Expected, err)
	}
	if _, err := b.Verify(t.Context(), nil); err != nil {
		t.Error(err)
	}
}
