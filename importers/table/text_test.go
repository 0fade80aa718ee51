package table

import (
	"context"
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"netlore/importers/record"
	"netlore/query/diag"
	"netlore/store/board"
)

// TestTextForms reads one table in every form a text can have.
func TestTextForms(t *testing.T) {
	const table = "Designator,Value,Description\nC1,10µF,Größe 0402 ±10%\n"
	wide := func(order unicode.Endianness, mark unicode.BOMPolicy) string {
		text, err := unicode.UTF16(order, mark).NewEncoder().String(table)
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	latin, err := charmap.ISO8859_1.NewEncoder().String(table)
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{
		"UTF-8":                              table,
		"UTF-8 with a mark":                  "\ufeff" + table,
		"UTF-16, low byte first, mark":       wide(unicode.LittleEndian, unicode.UseBOM),
		"UTF-16, high byte first, mark":      wide(unicode.BigEndian, unicode.UseBOM),
		"UTF-16, low byte first, no mark":    wide(unicode.LittleEndian, unicode.IgnoreBOM),
		"UTF-16, high byte first, no mark":   wide(unicode.BigEndian, unicode.IgnoreBOM),
		"Latin-1":                            latin,
		"CRLF":                               strings.ReplaceAll(table, "\n", "\r\n"),
		"lone CR":                            strings.ReplaceAll(table, "\n", "\r"),
		"a line that names the separator":    "sep=;\r\n" + strings.ReplaceAll(table, ",", ";"),
		"the same, quoted":                   "\"sep=|\"\n" + strings.ReplaceAll(table, ",", "|"),
		"a separator of its own":             "sep=^\n" + strings.ReplaceAll(table, ",", "^"),
		"tabs":                               strings.ReplaceAll(table, ",", "\t"),
		"bars":                               strings.ReplaceAll(table, ",", "|"),
		"everything in quotes":               "\"" + strings.NewReplacer(",", "\",\"", "\n", "\"\n\"").Replace(strings.TrimSpace(table)) + "\"",
		"trailing empty columns":             strings.ReplaceAll(table, "\n", ",,,\n"),
		"no line end at the end":             strings.TrimSpace(table),
		"empty rows and lines before it":     "Parts of the Test board\n\n,,\n" + table + ",,\n",
		"columns in another order, capitals": "DESCRIPTION,VALUE,REFDES\nGröße 0402 ±10%,10µF,C1\n",
	} {
		t.Run(name, func(t *testing.T) {
			got := readText(t, record.Options{}, text)
			if got.err != nil || len(got.board.Parts) != 1 {
				t.Fatalf("%d parts, error %v", len(got.board.Parts), got.err)
			}
			p := got.board.Parts[0]
			want := board.Part{Name: "C1", Class: board.Capacitor, Value: board.MustQuantity("10uF"), Text: "Größe 0402 ±10%"}
			if d := cmp.Diff(want, p); d != "" {
				t.Error(d)
			}
			if Sniff([]byte(text)) != record.Likely {
				t.Error("not taken for a table")
			}
			if said := hasCode(got.report.Notes, "T103"); said != (name == "Latin-1") {
				t.Errorf("a note on the encoding: %v", said)
			}
		})
	}
}

func hasCode(l diag.List, code string) bool {
	for _, d := range l {
		if d.Code == code {
			return true
		}
	}
	return false
}

// TestNotText refuses what is no text, and says what it is.
func TestNotText(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"spreadsheet":        {"PK\x03\x04\x14\x00\x06\x00", "this is a spreadsheet or an archive (ZIP), not text"},
		"old spreadsheet":    {"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "this is a spreadsheet in an old binary format, not text"},
		"PDF":                {"%PDF-1.7\nDesignator,Value\n", "this is a PDF, not text"},
		"compressed":         {"\x1f\x8b\x08\x00", "this file is compressed (gzip)"},
		"zero bytes":         {"Designator,Value\nC1,\x00\x00\x00\x00\n", "this file is not text: it holds zero bytes"},
		"control characters": {strings.Repeat("\x01\x02ab", 100), "this file is not text: it is full of control characters"},
	} {
		t.Run(name, func(t *testing.T) {
			got := readText(t, record.Options{File: "in.csv"}, c.text)
			var d diag.Diagnostic
			if !errors.As(got.err, &d) || d.Code != "T101" || d.Message != c.want || d.File != "in.csv" || len(d.Help) == 0 {
				t.Errorf("error %v", got.err)
			}
			if Sniff([]byte(c.text)) != record.No {
				t.Error("taken for a table")
			}
		})
	}
}

// TestSniff judges by content only.
func TestSniff(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		want record.Confidence
	}{
		"placement":              {"Designator,Mid X,Mid Y\nC1,1,2\n", record.Likely},
		"listing":                {"UUNITS = MILS\nC1  1.0 2.0 0 CC0402\n", record.Likely},
		"readings":               {"pad\tdiode\nP1\t0.4\n", record.Likely},
		"unknown columns":        {"a;b\n1;2\n", record.Maybe},
		"ragged and unknown":     {"a;b\n1\n2;3;4\n", record.No},
		"prose":                  {"This mounts the disk at MH11, on the bottom side.\nThe other one goes to MH12.\n", record.No},
		"a sheet":                {"netlore 1\npart C1 10uF\npart C2 10uF\n", record.No},
		"XML":                    {"<?xml version=\"1.0\"?>\n<a b=\"1,2\">\n", record.No},
		"a bare-board netlist":   {"P  JOB Test\n317GND              VIA         D  24PA00X  14900Y   1450X 396Y 396\n", record.No},
		"empty":                  {"", record.No},
		"header beyond the head": {strings.Repeat("a line before the header\n", headRows+5) + "Designator,Value\nC1,1uF\n", record.No},
	} {
		t.Run(name, func(t *testing.T) {
			if got := Sniff([]byte(c.text)); got != c.want {
				t.Errorf("%v, expected %v", got, c.want)
			}
		})
	}
}

// endless gives rows for ever.
type endless struct{ cancel func() }

func (e endless) Read(p []byte) (int, error) {
	const row = "C1,10uF\n"
	n := len(p) / len(row) * len(row)
	copy(p, strings.Repeat(row, n/len(row)))
	e.cancel()
	return n, nil
}

func TestCancel(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	in := io.MultiReader(strings.NewReader("Designator,Value\n"), endless{cancel})
	report, err := Read(ctx, in, record.Options{}, record.NewDraft(board.Ref{}))
	if !errors.Is(err, context.Canceled) {
		t.Errorf("error %v", err)
	}
	if err := report.Balanced(); err != nil {
		t.Error(err)
	}
}

var errDisk = errors.New("the disk is gone")

func TestFailedRead(t *testing.T) {
	in := io.MultiReader(strings.NewReader("Designator,Value\nC1,1uF\n"), failing{})
	_, err := Read(context.Background(), in, record.Options{File: "in.csv"}, record.NewDraft(board.Ref{}))
	if !errors.Is(err, errDisk) || !strings.HasPrefix(err.Error(), "in.csv: line 3: ") {
		t.Errorf("error %v", err)
	}
}

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, errDisk }

func TestProgress(t *testing.T) {
	text := "Designator,Value\n" + strings.Repeat("C1,1uF\n", 50_000)
	var last int64
	opt := record.Options{Progress: func(n int64) {
		if n <= last {
			t.Errorf("%d bytes after %d", n, last)
		}
		last = n
	}}
	readText(t, opt, text)
	if last != int64(len(text)) {
		t.Errorf("told of %d bytes out of %d", last, len(text))
	}
}

// A few control characters do not make a table of two rows a binary file: they
// are complained of where they stand in a name, and are blanks in texts.
func TestStrayControls(t *testing.T) {
	got := readText(t, record.Options{}, "Designator,Value,Description\nC1,10uF,\"a\x1b[31m red\"\nC\x072,10uF,b\n\x01,,\n")
	if got.err != nil || len(got.board.Parts) != 1 || got.board.Parts[0].Text != "a [31m red" {
		t.Fatalf("%v, error %v", got.board.Parts, got.err)
	}
	if len(got.report.Notes) == 0 || got.report.Balanced() != nil {
		t.Errorf("notes %v, balance %v", got.report.Notes, got.report.Balanced())
	}
}
