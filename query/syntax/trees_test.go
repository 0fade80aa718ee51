package syntax

import (
	"os"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/tools/txtar"

	"netlore/query/diag"
)

// TestTrees asserts the tree of each question, not merely that it is read: a
// grammar can take a question for something else without a word.
func TestTrees(t *testing.T) {
	const file = "../../testdata/query/trees.txtar"
	archive, err := txtar.ParseFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range archive.Files {
		text, want, _ := strings.Cut(string(f.Data), "\n")
		q, list := Parse(text)
		if q == nil {
			t.Errorf("%s: %s: %v", f.Name, text, list)
			continue
		}
		samePrinted(t, q)
		got := tree(q)
		if d := cmp.Diff(strings.TrimSpace(want), strings.TrimSpace(got)); d != "" && !*update {
			t.Errorf("%s: %s\n%s", f.Name, text, d)
		}
		archive.Files[i].Data = []byte(text + "\n" + got + "\n")
	}
	if *update {
		if err := os.WriteFile(file, txtar.Format(archive), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// FuzzQuestion reads any text: nothing panics, a tree survives being printed and
// read, and a complaint suggests only what is read.
func FuzzQuestion(f *testing.F) {
	archive, err := txtar.ParseFile("../../testdata/query/trees.txtar")
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range archive.Files {
		text, _, _ := strings.Cut(string(file.Data), "\n")
		f.Add(text)
	}
	for _, text := range []string{"", "parts on VMAIN undr shield", "parts on \"a", "((((", "parts with value > = 10uF", "x\x00y", "\xff", "parts on lower:\"x", "± 5 +-", "and also", "#"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 400 {
			return
		}
		q, list := Parse(text)
		if (q == nil) != list.HasErrors() {
			t.Fatalf("a tree: %t, and complaints: %v", q != nil, list)
		}
		if q != nil {
			samePrinted(t, q)
		}
		for _, d := range list {
			for _, h := range d.Help {
				if better, ok := strings.CutPrefix(h, "did you mean: "); ok && !Parses(better) {
					t.Errorf("%q is suggested, but not read", better)
				}
			}
			if d.Range.Start < 0 || d.Range.End < d.Range.Start || d.Range.End > len(text) {
				t.Errorf("the range is %v of %d bytes", d.Range, len(text))
			}
		}
		At(text, len(text)/2)
	})
}

// TestNodesKnowTheirPlace reads every node of the sound questions again, alone,
// from the text where it says that it stands: it must be the same node, to the
// end of that text.
func TestNodesKnowTheirPlace(t *testing.T) {
	seen := 0
	for _, text := range questions(t) {
		q, at := parseGrammar(text)
		if at >= 0 {
			continue
		}
		eachNode(reflect.ValueOf(q), func(n placed) {
			span := *n.place()
			alone := text[span.Start:span.End]
			again, at := readNodeOf(reflect.TypeOf(n).Elem(), alone)
			if got, want := dump(again, ""), dump(reflect.ValueOf(n), ""); at != len(alone) || got != want {
				t.Errorf("%T %q is read to byte %d as %s, not as %s", n, alone, at, got, want)
			}
			seen++
		})
	}
	if seen < 5000 {
		t.Errorf("only %d nodes were looked at", seen)
	}
}

// eachNode visits all nodes of a tree.
func eachNode(v reflect.Value, visit func(placed)) {
	switch v.Kind() {
	case reflect.Pointer:
		if n, ok := v.Interface().(placed); ok && !v.IsNil() {
			visit(n)
			eachNode(v.Elem(), visit)
		}
	case reflect.Slice:
		for i := range v.Len() {
			eachNode(v.Index(i), visit)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				eachNode(v.Field(i), visit)
			}
		}
	}
}

// readNodeOf reads a node of a type and tells where it ends.
func readNodeOf(node reflect.Type, text string) (reflect.Value, int) {
	tokens := append(tokenize(text), token{kind: endToken, rng: diag.Range{Start: len(text), End: len(text)}})
	r := reader{tokens: tokens}
	res := r.step(theGrammar().nodeOf(node), reflect.Value{})
	if res.outcome != found {
		return reflect.Zero(node), -1
	}
	return res.got, tokens[r.at].rng.Start
}
