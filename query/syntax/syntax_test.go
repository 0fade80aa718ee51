package syntax

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// samePrinted checks that a tree survives being printed and read, in both
// forms, and that the canonical form is its own.
func samePrinted(t *testing.T, q *Question) {
	t.Helper()
	text := q.String()
	again, at := parse(text)
	if at >= 0 {
		t.Fatalf("printed as %q, which is not read from byte %d", text, at)
	}
	if d := cmp.Diff(tree(q), tree(again)); d != "" {
		t.Fatalf("printed as %q, which is another tree:\n%s", text, d)
	}
	reading, doubtful := q.Echo()
	if doubtful != (reading != text) {
		t.Fatalf("%q has the reading %q, and is said to leave a doubt: %t", text, reading, doubtful)
	}
	bracketed, at := parse(reading)
	if at >= 0 {
		t.Fatalf("%q is read as %q, which is not read from byte %d", text, reading, at)
	}
	if got := bracketed.Reading(); got != reading {
		t.Fatalf("the reading %q is read as %q", reading, got)
	}
}

// tree writes a tree in lines, without places. (Comparing the trees themselves
// with cmp takes time that doubles with every level.)
func tree(q *Question) string { return strings.TrimPrefix(dump(reflect.ValueOf(q), ""), "\n") + "\n" }

// dump writes a part of a tree: a name is its text, what is not said is left
// out.
func dump(v reflect.Value, indent string) string {
	switch v.Kind() {
	case reflect.Pointer:
		if n, ok := v.Interface().(*Name); ok {
			return " " + n.Text
		}
		return dump(v.Elem(), indent)
	case reflect.Struct:
		var s strings.Builder
		for i := range v.NumField() {
			if f := v.Field(i); !f.IsZero() && v.Type().Field(i).Name != "Span" {
				s.WriteString(field(v.Type().Field(i).Name, f, indent))
			}
		}
		return s.String()
	}
	return fmt.Sprintf(" %v", v)
}

func field(name string, f reflect.Value, indent string) string {
	if f.Kind() != reflect.Slice {
		return "\n" + indent + name + dump(f, indent+"  ")
	}
	s := ""
	for i := range f.Len() {
		s += "\n" + indent + name + dump(f.Index(i), indent+"  ")
	}
	return s
}

// names that are one word of a question, from boards as they come: rails named
// for their volts, RKM codes, active-low names, generated names.
var oddNames = []string{
	"5V", "3V3", "1V8", "0R", "12", "N$12", "/RESET#", "Net-(C12-Pad1)", "Net-(U3-A(4))x", "VBUS-", "-RESET", "+3V3_AUX", "~CS",
	"VDD_1V8", "U300.A4", "P11..P14", "VBAT*", "lower:VMAIN", `lower:"a b"`, `"a \" b"`, `"ON"`, "Ω", "電源", "a'b", "{A}", "[0]", "a&b", "SDA/SCL", "%IN", "@1", "10uF",
}

func TestNamesAreOneWord(t *testing.T) {
	for _, name := range oddNames {
		if name == "Net-(U3-A(4))x" {
			continue // two levels of brackets: see below
		}
		q, at := parse("parts on " + name)
		if at >= 0 {
			t.Errorf("%s: not read", name)
			continue
		}
		if got := q.First.Where.Runs[0].First.Relation.Operands; len(got) != 1 || got[0].Name.Text != name {
			t.Errorf("%s: read as %d operands, the first %q", name, len(got), got[0].Name.Text)
		}
	}
}

func TestTwoLevelsOfBracketsAreNoName(t *testing.T) {
	if Parses("parts on Net-(U3-A(4))x") {
		t.Error("two levels of brackets were taken for a name")
	}
}

func TestReservedWordsAreNoNames(t *testing.T) {
	for _, text := range []string{"parts on under", "parts on IN", "parts on VMAIN or not", "parts with value = by", "parts show first", "parts by where"} {
		if Parses(text) {
			t.Errorf("%q was read", text)
		}
		q := strings.TrimSuffix(text, text[strings.LastIndexByte(text, ' ')+1:]) + `"` + text[strings.LastIndexByte(text, ' ')+1:] + `"`
		if !Parses(q) {
			t.Errorf("%s was not read", q)
		}
	}
}

// Every node knows its place: the text of its range, read by itself in the same
// slot, is the node.
func TestPlacesAreBytes(t *testing.T) {
	text := `hidden  parts on "µ Ω" or 電源 with value >= 10µF ±5% sorted by value`
	q, at := parse(text)
	if at >= 0 {
		t.Fatal(text[at:])
	}
	want := map[string]bool{`"µ Ω"`: true, "電源": true, "10µF": true, "hidden": true, "parts": true, "value": true}
	for _, s := range q.Slots() {
		if got := text[s.Name.Range().Start:s.Name.Range().End]; got != s.Name.Text || !want[got] {
			t.Errorf("%q stands at %q", s.Name.Text, got)
		}
	}
	relation := q.First.Where.Runs[0].First.Relation
	if got := text[relation.Range().Start:relation.Range().End]; got != `on "µ Ω" or 電源` {
		t.Errorf("the relation is %q", got)
	}
}

func TestCaps(t *testing.T) {
	for name, c := range map[string]struct{ text, code string }{
		"bytes":    {"parts on " + strings.Repeat("x", maxBytes), "Q01"},
		"words":    {strings.Repeat("on A ", maxTokens), "Q02"},
		"brackets": {strings.Repeat("(", maxOpen+1), "Q03"},
		"millions": {strings.Repeat("(", 2_000_000), "Q01"},
	} {
		q, list := Parse(c.text)
		if q != nil || len(list) != 1 || list[0].Code != c.code {
			t.Errorf("%s: %v", name, list)
		}
		if c := At(c.text, len(c.text)); len(c.Words) > 0 {
			t.Errorf("%s: completes with %v", name, c.Words)
		}
	}
}

// nested is a question of n questions inside each other.
func nested(n int) string {
	return "parts on " + strings.Repeat("(nets of (parts on ", n/2) + "VMAIN" + strings.Repeat("))", n/2)
}

func TestNestingToTheLimit(t *testing.T) {
	for _, text := range []string{
		nested(maxOpen),
		"parts " + strings.Repeat("(", maxOpen) + "on A" + strings.Repeat(")", maxOpen),
		"parts with " + strings.Repeat("(", maxOpen) + "value = 1uF" + strings.Repeat(")", maxOpen),
		strings.Repeat("(", maxOpen) + "parts" + strings.Repeat(")", maxOpen),
		"parts not " + strings.Repeat("(not ", maxOpen) + "on A" + strings.Repeat(")", maxOpen),
	} {
		q, list := Parse(text)
		if q == nil {
			t.Errorf("%.30s…: %v", text, list)
			continue
		}
		samePrinted(t, q)
	}
}

// BenchmarkParse reads questions. The library that judges the reader is the
// baseline.
func BenchmarkParse(b *testing.B) {
	for name, text := range map[string]string{
		"catalogue 3": "parts on VMAIN under shield or connector",
		"long":        "hidden capacitors on VMAIN or VBAT* and not under (shields over (parts on GND)) with value >= 10uF and volts at least 6V by cover sorted by value descending first 10",
		"64 levels":   nested(maxOpen),
	} {
		b.Run(name, func(b *testing.B) {
			theGrammar()
			b.ReportAllocs()
			for b.Loop() {
				if _, at := parse(text); at >= 0 {
					b.Fatal(text[at:])
				}
			}
		})
		b.Run("baseline library, "+name, func(b *testing.B) {
			library()
			b.ReportAllocs()
			for b.Loop() {
				if _, at := byLibrary(text); at >= 0 {
					b.Fatal(text[at:])
				}
			}
		})
	}
}

func BenchmarkComplaint(b *testing.B) {
	for b.Loop() {
		Parse("parts on VMAIN undr shield")
	}
}

// BenchmarkBuildGrammar turns the tags into steps, which every process does once.
// The library that judges the reader is the baseline.
func BenchmarkBuildGrammar(b *testing.B) {
	b.Run("steps", func(b *testing.B) {
		for b.Loop() {
			buildGrammar()
		}
	})
	b.Run("baseline library", func(b *testing.B) {
		for b.Loop() {
			buildLibrary()
		}
	})
}
