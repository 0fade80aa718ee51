package table

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/importers/record"
	"netlore/query/diag"
)

// split gives all rows of a text as they can be compared: cells, or what is
// wrong and where.
func split(text string, sep byte) [][]string {
	var all [][]string
	for in := newRows(strings.NewReader(text), sep); in.next(); {
		r := &in.row
		if r.fault != sound {
			all = append(all, []string{fmt.Sprintf("fault %d line %d byte %d", r.fault, r.line, r.at)})
			continue
		}
		var cells []string
		for _, c := range r.cells {
			cells = append(cells, c.text)
		}
		all = append(all, cells)
	}
	return all
}

// The examples of RFC 4180, section 2, rules 1 to 7 (text of the RFC from
// memory).
func TestRFC4180Examples(t *testing.T) {
	for _, c := range []struct {
		rule, text string
		want       [][]string
	}{
		{"rule 1: each record on a line of its own, ended by CRLF", "aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", [][]string{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}}},
		{"rule 2: the last record may lack the line end", "aaa,bbb,ccc\r\nzzz,yyy,xxx", [][]string{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}}},
		{"rule 3: a header line", "field_name,field_name,field_name\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n",
			[][]string{{"field_name", "field_name", "field_name"}, {"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}}},
		{"rule 4: the last field is not followed by a comma", "aaa,bbb,ccc", [][]string{{"aaa", "bbb", "ccc"}}},
		{"rule 5: fields in quotes", "\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", [][]string{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}}},
		{"rule 6: line breaks, quotes and commas in quotes", "\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx", [][]string{{"aaa", "b\nbb", "ccc"}, {"zzz", "yyy", "xxx"}}},
		{"rule 7: a quote inside is doubled", "\"aaa\",\"b\"\"bb\",\"ccc\"", [][]string{{"aaa", "b\"bb", "ccc"}}},
	} {
		t.Run(c.rule, func(t *testing.T) {
			if d := cmp.Diff(c.want, split(c.text, ',')); d != "" {
				t.Error(d)
			}
		})
	}
}

func TestSplit(t *testing.T) {
	for name, c := range map[string]struct {
		sep  byte
		text string
		want [][]string
	}{
		"trailing separator is an empty cell":  {',', "a,b,\n,,\n", [][]string{{"a", "b", ""}, {"", "", ""}}},
		"blanks round cells":                   {',', " a , \"b \" ,\u00a0c\n", [][]string{{"a", "b", "c"}}},
		"tab":                                  {'\t', "a b\t\tc\n", [][]string{{"a b", "", "c"}}},
		"tabs in quotes":                       {'\t', "\"a\tb\"\tc\n", [][]string{{"a\tb", "c"}}},
		"semicolon keeps the comma":            {';', "1,5;2\n", [][]string{{"1,5", "2"}}},
		"bar":                                  {'|', "a|b\n", [][]string{{"a", "b"}}},
		"runs of blanks":                       {blanks, "  C1  \t1.0   top \n", [][]string{{"C1", "1.0", "top"}}},
		"blanks and quotes":                    {blanks, "C1 \"10 uF\" top\n", [][]string{{"C1", "10 uF", "top"}}},
		"empty line":                           {',', "a\n\nb\n", [][]string{{"a"}, {""}, {"b"}}},
		"blank line with blanks":               {blanks, "  \n", [][]string{{""}}},
		"lone CR ends a line":                  {',', "a\rb\r", [][]string{{"a"}, {"b"}}},
		"quote in a cell without quotes":       {',', "2.5\" screen,x\n", [][]string{{"2.5\" screen", "x"}}},
		"inches in quotes":                     {',', "\"2.5\"\" screen\",x\n", [][]string{{"2.5\" screen", "x"}}},
		"only quotes":                          {',', "\"\",\"\"\"\"\n", [][]string{{"", "\""}}},
		"text after a closing quote":           {',', "a,\"b\"c,d\ne\n", [][]string{{"fault 3 line 1 byte 5"}, {"e"}}},
		"open to the end of the file":          {',', "a\n\"b,c\nd,e\n", [][]string{{"a"}, {"fault 2 line 2 byte 0"}, {"d", "e"}}},
		"open in a later line of a row":        {',', "\"a\nb\",\"c\nd\n", [][]string{{"fault 2 line 1 byte 6"}, {"d"}}},
		"empty line after an open quote":       {',', "\"a\n\nb\n", [][]string{{"fault 2 line 1 byte 0"}, {""}, {"b"}}},
		"open quote, and another two lines on": {',', "\"a,b\nc\n\"d,e\nf\n", [][]string{{"fault 2 line 1 byte 0"}, {"c"}, {"fault 2 line 3 byte 0"}, {"f"}}},
		"open quote where blanks separate":     {blanks, "2\" \"x\ny\n", [][]string{{"fault 2 line 1 byte 3"}, {"y"}}},
	} {
		t.Run(name, func(t *testing.T) {
			if d := cmp.Diff(c.want, split(c.text, c.sep)); d != "" {
				t.Error(d)
			}
		})
	}
}

func TestCaps(t *testing.T) {
	wide := strings.Repeat("x,", maxCells)
	long := strings.Repeat("x", maxRow+1)
	for name, c := range map[string]struct {
		text  string
		fault []fault
	}{
		"as many cells as may be":                    {strings.TrimSuffix(wide, ",") + "\n", []fault{sound}},
		"one cell more":                              {wide + "y\nz\n", []fault{tooMany, sound}},
		"empty cells to the right, as sheets export": {"a" + strings.Repeat(",", 16_384) + "\n", []fault{sound}},
		"row too long":                               {long + "\na\n", []fault{rowTooLong, sound}},
		"row too long after an open quote":           {"\"a\n" + long + "\nb\n", []fault{unclosed, rowTooLong, sound}},
		"cell with line breaks too long":             {"\"" + strings.Repeat("x\n", maxRow) + "\"\n", nil},
	} {
		t.Run(name, func(t *testing.T) {
			var got []fault
			for in := newRows(strings.NewReader(c.text), ','); in.next(); {
				got = append(got, in.row.fault)
				if len(in.row.cells) > maxCells || len(in.row.raw) > maxRow {
					t.Fatalf("a row of %d cells and %d bytes", len(in.row.cells), len(in.row.raw))
				}
			}
			if c.fault == nil {
				if got[0] != unclosed || len(got) != maxRow+1 {
					t.Errorf("%d rows, the first with fault %d", len(got), got[0])
				}
				return
			}
			if d := cmp.Diff(c.fault, got); d != "" {
				t.Error(d)
			}
		})
	}
}

// What cannot be split is named with its place, and the rows round it are read.
func TestBrokenRowsAreNamed(t *testing.T) {
	text := "Designator,Value\nC1,1uF\nC2," + strings.Repeat("x", maxRow) + "\nC3,1uF\nC4" + strings.Repeat(",1", maxCells) + "\nC5;\"a\" b\nC6,\"a\" b\n"
	got := readText(t, record.Options{File: "in.csv"}, text)
	var said []string
	for _, d := range got.report.Notes {
		if d.Severity == diag.Error {
			said = append(said, d.Error())
		}
	}
	want := []string{
		"in.csv:3:1: error T110: this row is longer than 64 KiB",
		"in.csv:5:2050: error T113: this row has more than 1024 cells",
		"in.csv:7:8: error T112: text stands behind the closing quote; expected a comma",
	}
	if d := cmp.Diff(want, said); d != "" || got.err != nil || len(got.board.Parts) != 2 {
		t.Errorf("%d parts, error %v %s", len(got.board.Parts), got.err, d)
	}
}

func TestSeparatorNames(t *testing.T) {
	for sep, want := range map[byte]string{',': "a comma", ';': "a semicolon", '\t': "a tab", blanks: "a blank", '|': `"|"`} {
		if got := separatorName(sep); got != want {
			t.Errorf("%q: %s", sep, got)
		}
	}
}

// A quote that opens in every other line loses that line only.
func TestManyOpenQuotes(t *testing.T) {
	const lines = 200_000
	in := newRows(strings.NewReader(strings.Repeat("\"abc x,d\nq,\n", lines)), ',')
	faults, others, last := 0, 0, 0
	for in.next() {
		if in.row.fault == unclosed {
			faults++
		} else if in.row.fault == sound && in.row.cells[0].text == "q" {
			others++
		}
		if in.row.line != last+1 {
			t.Fatalf("line %d comes after line %d", in.row.line, last)
		}
		last = in.row.line
	}
	if faults != lines || others != lines {
		t.Errorf("%d faulty rows and %d others, expected %d of each", faults, others, lines)
	}
}

// whatCSVReads is the standard library's reading of a text, nil if it refuses
// it. Blank rows are left out and blanks round cells cut off, as here.
func whatCSVReads(text string) [][]string {
	in := csv.NewReader(strings.NewReader(text))
	in.FieldsPerRecord = -1
	var all [][]string
	for {
		record, err := in.Read()
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			return nil
		}
		for i := range record {
			record[i] = strings.TrimSpace(record[i])
		}
		if strings.Join(record, "") != "" {
			all = append(all, withinCells(record))
		}
	}
}

// withinCells is a record of encoding/csv, which has no limit of cells, as the
// limit here leaves it.
func withinCells(record []string) []string {
	if len(record) <= maxCells {
		return record
	}
	if strings.Join(record[maxCells:], "") != "" {
		return []string{"too many"}
	}
	return record[:maxCells]
}

// FuzzSplit compares the splitting with encoding/csv: what that reads is read
// alike.
func FuzzSplit(f *testing.F) {
	for _, text := range []string{"a,b\r\nc,\"d\"\"e\"\n", "\"a\nb\",c\n\n,,\n", "\"\"\"\",x", "a\"b,c", "\"a\" ,b\n", " \"a\",b", "\"a", "\"a\nb\"" + strings.Repeat(",", 1500) + "c\n\n,,d", "a" + strings.Repeat(",", 1500) + "\nb", strings.Repeat(",", 1100) + "\"a\nb\",c\nd"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if strings.ContainsAny(text, "\r") || strings.ToValidUTF8(text, "?") != text || len(text) > 4096 {
			return // a lone CR ends a line here only, and other bytes are decoded
		}
		want := whatCSVReads(text)
		if want == nil {
			split(text, ',') // must end
			return
		}
		var got [][]string
		for _, cells := range split(text, ',') {
			if strings.HasPrefix(cells[0], fmt.Sprintf("fault %d ", tooMany)) {
				cells = []string{"too many"}
			}
			if strings.Join(cells, "") != "" {
				got = append(got, cells)
			}
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Errorf("%q: %s", text, d)
		}
	})
}
