package render

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"netlore/query"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

func nameList(role string, names ...string) value.Value {
	var items []value.Value
	for _, n := range names {
		items = append(items, value.OfName(role, n, words.QuoteName(n)))
	}
	return value.OfList(items)
}

func TestShortLists(t *testing.T) {
	both := value.OfList(append(nameList("lower", "P11", "P12", "P13").Items(), nameList("upper", "P14", "P15").Items()...))
	for _, c := range []struct {
		list value.Value
		want string
	}{
		{nameList("", "C4101", "C4102", "C4103", "C4104", "C4301", "FB400"), "C4101..C4104, C4301, FB400"},
		{nameList("", "P62", "P63"), "P62, P63"},
		{nameList("", "C9", "C10", "C11", "C13"), "C9..C11, C13"},
		{nameList("", "P08", "P09", "P10", "P11"), "P08..P11"},
		{nameList("", "P9", "P010", "P11"), "P9, P010, P11"},
		{nameList("", "5V", "6V", "7V"), "5V..7V"},
		{nameList("lower", "P11", "P12", "P13"), "lower:P11..P13"},
		{both, "lower:P11..P13, upper:P14, upper:P15"},
		{nameList("", "U300.A4", "U300.A5", "U300.A6", "U300.A7", "U300.B1"), "U300.A4..A7, U300.B1"},
		{nameList("lower", "U1.1", "U2.1", "U3.1"), "lower:U1.1, lower:U2.1, lower:U3.1"},
		{nameList("", "a b1", "a b2", "a b3"), `"a b1", "a b2", "a b3"`},
		{nameList("", "R*1", "R*2", "R*3"), `"R*1", "R*2", "R*3"`},
		{nameList("", "in", "on", "X1"), `"in", "on", X1`},
		{value.OfList([]value.Value{value.OfCount(1), value.OfCount(2), value.OfCount(3)}), "1, 2, 3"},
		{nameList("", "C7"), "C7"},
		{value.Nothing(), "-"},
	} {
		if got := short(c.list, ""); got != c.want {
			t.Errorf("got %s, want %s", got, c.want)
		}
	}
}

// People get ranges, programs every name.
func TestProgramsGetEveryName(t *testing.T) {
	a := hidden()
	a.Rows[0].Cells[2] = nameList("lower", "SH1", "SH2", "SH3")
	for format, want := range map[Format]string{Text: "lower:SH1..SH3", Markdown: "lower:SH1..SH3",
		CSV: `"lower:SH1, lower:SH2, lower:SH3"`, JSON: `["lower:SH1","lower:SH2","lower:SH3"]`} {
		if rows, _ := answered(t, a, Style{Format: format}); !strings.Contains(rows, want) {
			t.Errorf("%s without %s:\n%s", FormatWords()[format], want, rows)
		}
	}
}

// What a cell shows can be asked: any choice of awkward names, written short,
// reads back as these names and no other.
func TestShortListsReadBack(t *testing.T) {
	pads := []string{"P1", "P2", "P3", "P4", "P5", "P08", "P09", "P10", "P11", "P9", "P010", "1", "2", "3", "4", "5V", "6V", "7V", "A1.x", "A2.x", "A3.x",
		"B.1", "B.2", "B.3", "N$1", "N$2", "N$3", "a b1", "a b2", "a b3", "on1", "on2", "on3", "on", "K-1", "K-2", "K-3", "F(1)", "F(2)", "F(3)", "Q999999999", "Q1000000000"}
	readBack(t, pads, func(s *strings.Builder, name string) { fmt.Fprintf(s, "pad %s\n", board.QuoteName(name)) })
	pins := []string{"U1.A1", "U1.A2", "U1.A3", "U1.A4", "U1.B1", "U1.B2", "U1.B3", "U2.A1", "U2.A2", "U2.A3", "U3.1", "U3.2", "U3.3", "U3.10", "U3.11"}
	readBack(t, pins, func(s *strings.Builder, name string) {
		part, pin, _ := strings.Cut(name, ".")
		fmt.Fprintf(s, "net %s\n  %s %s\n", "N"+name, part, pin)
	})
}

// readBack makes a board of things, each with a note of its name, and asks for
// the notes on some of them.
func readBack(t *testing.T, names []string, state func(*strings.Builder, string)) {
	var text strings.Builder
	text.WriteString("netlore 1\nboard Wren\n")
	for _, name := range names {
		state(&text, name)
	}
	for _, name := range names {
		fmt.Fprintf(&text, "note on %s %q\n", board.QuoteName(name), name)
	}
	src := baseOf(t, text.String())
	random := rand.New(rand.NewPCG(3, 4))
	for range 200 {
		var some []string
		for _, name := range names {
			if random.IntN(4) > 0 {
				some = append(some, name)
			}
		}
		cell := short(nameList("", some...), "")
		answer, err := query.Ask(t.Context(), src, query.Options{}, "notes on "+cell)
		if err != nil {
			t.Fatalf("%s: %v", cell, err)
		}
		var got []string
		for _, r := range answer.Rows {
			got = append(got, r.Cells[1].Raw())
		}
		slices.Sort(got)
		slices.Sort(some)
		if !slices.Equal(got, some) {
			t.Fatalf("%s reads back as %q, want %q", cell, got, some)
		}
	}
}

func baseOf(t *testing.T, text string) *store.Base {
	t.Helper()
	file, list := sheet.Parse("wren.lore", []byte(text))
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	base := store.OpenMemory(nil)
	_, err := base.Add(context.Background(), store.Addition{Subject: store.BoardSubject(board.Ref{Name: "Wren"}), Files: []*sheet.File{file}, Author: "bench-1"})
	if err != nil {
		t.Fatal(err)
	}
	return base
}
