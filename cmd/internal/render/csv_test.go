package render

import (
	"encoding/csv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// The rules are those of RFC 4180, section 2.
func TestCSV(t *testing.T) {
	for _, c := range []struct {
		rule string
		row  []string
		want string
	}{
		{"1: a record is a line ended by CRLF", []string{"C2", "100nF"}, "C2,100nF\r\n"},
		{"4: blanks are part of a field", []string{" C2 ", "100 nF"}, "\" C2 \",100 nF\r\n"},
		{"5: a field may stand without quotes", []string{"/RESET#", "N$12"}, "/RESET#,N$12\r\n"},
		{"6: line ends, quotes and commas make quotes necessary", []string{"J7, SH1", "two\nlines"}, "\"J7, SH1\",\"two\nlines\"\r\n"},
		{"7: a quote inside is doubled", []string{`2.5" screen`, `"`}, "\"2.5\"\" screen\",\"\"\"\"\r\n"},
		{"an empty field is nothing between commas", []string{"", ""}, ",\r\n"},
		{"letters beyond ASCII stay as they are", []string{"4.7µF", "±8%"}, "4.7µF,±8%\r\n"},
	} {
		table := &Table{Columns: []Column{{Name: "part"}, {Name: "value", Number: true}}, Rows: [][]string{c.row}}
		if diff := cmp.Diff("part,value\r\n"+c.want, printed(t, table, CSV, 0)); diff != "" {
			t.Errorf("rule %s (-want +got):\n%s", c.rule, diff)
		}
	}
}

// Every record has the same number of fields (rule 4), and what was written is
// what is read, by a reader that is not ours.
func TestCSVReadsBack(t *testing.T) {
	table := &Table{Columns: []Column{{Name: "net"}, {Name: "note"}}}
	for _, cell := range []string{"", " ", ",", `"`, `""`, "a\nb", "=1+1", "-RESET", `\.`, "#", "電源", ";", "\t", "'", "4.7uF"} {
		table.Rows = append(table.Rows, []string{cell, "x"}, []string{"x", cell}, []string{cell, cell})
	}
	in := csv.NewReader(strings.NewReader(printed(t, table, CSV, 0)))
	in.FieldsPerRecord = 2
	got, err := in.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(append([][]string{{"net", "note"}}, table.Rows...), got); diff != "" {
		t.Errorf("read back it differs (-written +read):\n%s", diff)
	}
}

// A record of one empty field must not look like an empty line, which readers
// pass over: rows would be lost.
func TestCSVOfOneColumnKeepsEmptyCells(t *testing.T) {
	table := &Table{Columns: []Column{{Name: "value"}}, Rows: [][]string{{"10uF"}, {""}, {"4.7uF"}}}
	out := printed(t, table, CSV, 0)
	got, err := csv.NewReader(strings.NewReader(out)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([][]string{{"value"}, {"10uF"}, {""}, {"4.7uF"}}, got); diff != "" {
		t.Errorf("%q read back differs (-written +read):\n%s", out, diff)
	}
}

// Two names that differ by a carriage return only must stay two.
func TestCSVKeepsCarriageReturns(t *testing.T) {
	table := &Table{Columns: []Column{{Name: "net"}, {Name: "kind"}}, Rows: [][]string{{"A\rB", "power"}}}
	if out := printed(t, table, CSV, 0); !strings.Contains(out, "A\rB") {
		t.Errorf("the carriage return is lost in %q", out)
	}
}

// A width is for people at a terminal; other programs get whole tables.
func TestCSVHasNoWidth(t *testing.T) {
	if a, b := printed(t, capacitors(), CSV, 0), printed(t, capacitors(), CSV, 10); a != b {
		t.Errorf("a width changes the CSV to %q", b)
	}
}

func FuzzCSV(f *testing.F) {
	f.Add("a,b", `"`)
	f.Add("a\nb", "")
	f.Add("", "\x00")
	f.Fuzz(func(t *testing.T, a, b string) {
		table := &Table{Columns: []Column{{Name: "net"}, {Name: "note"}}, Rows: [][]string{{a, b}, {b, a}}}
		got, err := csv.NewReader(strings.NewReader(printed(t, table, CSV, 0))).ReadAll()
		if err != nil || len(got) != 3 {
			t.Fatalf("%d records, %v", len(got), err)
		}
		// The reader, not the writer, makes one line end of a CRLF in a field.
		plain := func(s string) string { return strings.ReplaceAll(s, "\r\n", "\n") }
		if got[1][0] != plain(a) || got[1][1] != plain(b) || got[2][0] != plain(b) || got[2][1] != plain(a) {
			t.Errorf("%q and %q come back as %q", a, b, got[1:])
		}
	})
}
