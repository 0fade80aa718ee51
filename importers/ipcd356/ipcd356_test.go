package ipcd356

import (
	"fmt"
	"strings"
	"testing"

	"netlore/importers/record"
	"netlore/query/diag"
	"netlore/store/board"
)

// reads imports a text and checks that every line of it is accounted for.
func reads(t *testing.T, text string, opt record.Options) (*board.Board, record.Report) {
	t.Helper()
	draft := record.NewDraft(opt.Board)
	report, err := Read(t.Context(), strings.NewReader(text), opt, draft)
	if err != nil {
		t.Fatalf("Read: %v", err)
	}
	if err := report.Balanced(); err != nil {
		t.Errorf("Balanced: %v", err)
	}
	b := draft.Board.Build()
	if err := board.Assemble(b); err != nil {
		t.Errorf("the board is not in order: %v", err)
	}
	return b, report
}

// netOf is the name of the net that a pin "C412.1" is on, "-" for none and
// "?" for no such pin.
func netOf(b *board.Board, pin string) string {
	p := pinAt(b, pin)
	switch {
	case p == nil:
		return "?"
	case p.Net == board.None:
		return "-"
	}
	return b.Nets[p.Net].Name
}

func pinAt(b *board.Board, name string) *board.Pin {
	dot := strings.LastIndex(name, ".")
	part := b.FindPart(name[:dot])
	if part == board.None {
		return nil
	}
	id := b.FindPin(part, name[dot+1:])
	if id == board.None {
		return nil
	}
	return &b.Pins[id]
}

// coded lists the codes of a report's notes.
func coded(l diag.List) string {
	var codes []string
	for _, d := range l {
		codes = append(codes, d.Code)
	}
	return strings.Join(codes, " ")
}

// first returns the first note of a code.
func first(t *testing.T, l diag.List, code string) diag.Diagnostic {
	t.Helper()
	for _, d := range l {
		if d.Code == code {
			return d
		}
	}
	t.Fatalf("no complaint %s among %s", code, coded(l))
	return diag.Diagnostic{}
}

// drawn is a complaint as it is printed.
func drawn(t *testing.T, d diag.Diagnostic) string {
	t.Helper()
	var s strings.Builder
	if err := diag.Write(&s, diag.List{d}, diag.Style{}); err != nil {
		t.Fatal(err)
	}
	return s.String()
}

// row lays out a record without a hole in its columns; place begins with the
// access code.
func row(code, net, ref, pin, place string) string {
	return fmt.Sprintf("%s%-14s   %-6s-%-4s       %s\n", code, net, ref, pin, place)
}
