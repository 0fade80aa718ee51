package render

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/query/run"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// hidden is an answer with a cell of every kind that answers have.
func hidden() *run.Answer {
	c1201 := []value.Value{value.OfName("lower", "C1201", "C1201"), value.OfQuantity(board.MustQuantity("10uF")),
		value.OfList([]value.Value{value.OfName("lower", "J7", "J7"), value.OfName("lower", "SH1", "SH1")}), value.OfCount(3)}
	odd := []value.Value{value.OfName("", "N|1 \x1b[2J", `"N|1 \x1b[2J"`), {}, value.Nothing(), value.Between(1, 4)}
	return &run.Answer{
		Noun:    words.Parts,
		Columns: []run.Column{{Name: "part"}, {Name: "value", Unit: "uF"}, {Name: "covers"}, {Name: "pads"}},
		Rows: []run.Row{
			{Cells: c1201, Of: &run.Member{Board: board.Ref{Name: "Heron-B", Revision: "2"}, Role: "lower"}},
			{Cells: odd, Why: "no position"},
		},
		Things:   1,
		Possible: []run.Reason{{Why: "no position", Count: 3}},
		Reading:  "parts on (VMAIN or GND)",
	}
}

// answered is what Answer writes to its two streams.
func answered(t *testing.T, a *run.Answer, style Style) (rows, notes string) {
	t.Helper()
	var w, n bytes.Buffer
	if err := Answer(&w, &n, a, style); err != nil {
		t.Fatal(err)
	}
	return w.String(), n.String()
}

// One object a line, each for itself; the last says whether that is all.
func TestJSONLines(t *testing.T) {
	rows, notes := answered(t, hidden(), Style{Format: JSON})
	if notes != "" {
		t.Errorf("besides the objects it says %q", notes)
	}
	var got []map[string]any
	for line := range strings.Lines(rows) {
		var object map[string]any
		if err := json.Unmarshal([]byte(line), &object); err != nil {
			t.Fatalf("%s: %v", line, err)
		}
		got = append(got, object)
	}
	want := []map[string]any{
		{"part": "lower:C1201", "value": map[string]any{"text": "10uF", "number": 1e-05, "unit": "F"},
			"covers": []any{"lower:J7", "lower:SH1"}, "pads": 3.0, "@board": "Heron-B rev 2", "@role": "lower"},
		{"part": `"N|1 \x1b[2J"`, "value": nil, "covers": nil, "pads": "1 to 4", "@possible": "no position"},
		{"end": map[string]any{"rows": 2.0, "things": 1.0, "noun": "parts", "possible": map[string]any{"no position": 3.0},
			"complete": true, "partial": "", "limit": 0.0, "reading": "parts on (VMAIN or GND)"}},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("objects differ (-want +got):\n%s", diff)
	}
}

// The end object says that rows are missing, for a program sees no exit code
// of the middle of a pipe.
func TestJSONTellsThatRowsAreMissing(t *testing.T) {
	a := hidden()
	a.Limit = 2
	rows, _ := answered(t, a, Style{Format: JSON})
	if !strings.Contains(rows, `"complete":false`) || !strings.Contains(rows, `"limit":2`) {
		t.Errorf("the end says nothing of the limit: %s", rows)
	}
}

// A program that reads rows gets nothing but rows; people get all in one place.
func TestNotesOfAnAnswer(t *testing.T) {
	const reading, footer = "read as: parts on (VMAIN or GND)", "3 more possible: no position"
	for _, format := range []Format{Text, Markdown, CSV} {
		rows, notes := answered(t, hidden(), Style{Format: format})
		holds := rows
		if format == CSV {
			holds = notes
		} else if notes != "" {
			t.Errorf("format %d writes %q beside the rows", format, notes)
		}
		if !strings.Contains(holds, reading) || !strings.Contains(holds, footer) {
			t.Errorf("format %d does not say how it was read and what is possible:\n%s", format, holds)
		}
	}
	rows, _ := answered(t, hidden(), Style{Format: CSV})
	if lines := strings.Count(rows, "\r\n"); lines != 3 || strings.Contains(rows, "read as") {
		t.Errorf("CSV of two rows:\n%s", rows)
	}
}

func TestAnswerWithoutRows(t *testing.T) {
	a := hidden()
	a.Rows, a.Things = nil, 0
	if rows, _ := answered(t, a, Style{}); strings.Contains(rows, "value") || !strings.Contains(rows, "no part for certain") {
		t.Errorf("an answer without rows:\n%s", rows)
	}
	if rows, _ := answered(t, a, Style{Format: CSV}); rows != "part,value uF,covers,pads\r\n" {
		t.Errorf("CSV without rows: %q", rows)
	}
}

func TestNamesInAnswersAreHarmless(t *testing.T) {
	for _, format := range []Format{Text, Markdown, JSON} {
		rows, _ := answered(t, hidden(), Style{Format: format})
		harmless(t, "N|1 ESC", FormatWords()[format], rows)
	}
}
