package sheet

import (
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// demo reads the sheets of the demo scenario.
func demo(t *testing.T) []*File {
	t.Helper()
	names, err := filepath.Glob("../../testdata/heron/*.lore")
	if err != nil || len(names) == 0 {
		t.Fatalf("no demo sheets: %v", err)
	}
	var files []*File
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		f, found := Parse(name, text)
		if len(found) > 0 {
			t.Fatal(found)
		}
		files = append(files, f)
	}
	return files
}

// TestDemo takes the demo the whole way: grouped by subject, read, checked
// with all its boards at hand, written, and read again.
func TestDemo(t *testing.T) {
	files := demo(t)
	groups := BySubject(files...)
	if len(groups) != 3 {
		t.Fatalf("%d subjects, the demo has two boards and a stack", len(groups))
	}
	for _, group := range groups {
		c, found := Read(group...)
		if len(found) > 0 {
			t.Error(found)
		}
		if found := Check(c, files...); found.HasErrors() {
			t.Error(found)
		}
		written := Write(c)
		again, found := Parse("written", written)
		if len(found) > 0 {
			t.Fatal(found)
		}
		if d := cmp.Diff(string(written), string(again.Canonical())); d != "" {
			t.Error(d)
		}
		back, _ := Read(again)
		if d := cmp.Diff(c, back, cmp.Exporter(func(reflect.Type) bool { return true })); d != "" {
			t.Error(d)
		}
	}
}

// TestDemoJoins takes a pad away from a board of the demo: its join then leads
// nowhere, and check says so.
func TestDemoJoins(t *testing.T) {
	files := demo(t)
	var stack *Content
	for _, group := range BySubject(files...) {
		if group[0].Subject().Stack != "" {
			stack, _ = Read(group...)
		}
	}
	stack.Stack.Joins[0].A.Pad = "P999"
	found := Check(&Content{Stack: stack.Stack, Knowledge: stack.Knowledge}, boardsOnly(files)...)
	if len(found) != 1 || found[0].Code != "S404" {
		t.Errorf("got %v", found)
	}
}

func boardsOnly(files []*File) []*File {
	var boards []*File
	for _, f := range files {
		if f.Subject().Stack == "" {
			boards = append(boards, f)
		}
	}
	return boards
}
