package render

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"

	"netlore/query/diag"
	"netlore/query/run"
	"netlore/query/value"
)

// Style says how an answer is printed.
type Style struct {
	Format Format
	Width  int  // of the terminal; 0 is no limit
	Time   bool // the footer tells how long it took
}

// Answer prints the rows of an answer to w, and to notes what does not belong
// among rows that another program reads: the reading and the footer. For
// people both go to w.
func Answer(w, notes io.Writer, a *run.Answer, style Style) error {
	if style.Format == JSON {
		return answerJSON(w, a)
	}
	if style.Format != CSV {
		notes = w
	}
	if a.Reading != "" {
		if _, err := fmt.Fprintf(notes, "read as: %s\n\n", diag.Printable(a.Reading)); err != nil {
			return err
		}
	}
	if len(a.Rows) > 0 || style.Format == CSV {
		if err := answerTable(a, style.Format).Print(w, style.Format, style.Width); err != nil {
			return err
		}
	}
	lead := ""
	if style.Format != CSV && len(a.Rows) > 0 {
		lead = "\n"
	}
	for _, remark := range a.Remarks {
		if _, err := fmt.Fprintf(notes, "%s%s\n", lead, style.wrap(diag.Printable(remark))); err != nil {
			return err
		}
		lead = ""
	}
	_, err := fmt.Fprintf(notes, "%s%s\n", lead, style.wrap(diag.Printable(a.Footer(style.Time))))
	return err
}

// wrap breaks a line that is wider than the terminal.
func (s Style) wrap(line string) string {
	if s.Width == 0 {
		return line
	}
	return Wrap(line, s.Width)
}

// Cells is the table of an answer for people, for who draws it himself.
func Cells(a *run.Answer) *Table { return answerTable(a, Text) }

// answerTable gives numbers in the unit in the head of their column. For people
// successive names are ranges; for programs every name stands there.
func answerTable(a *run.Answer, format Format) *Table {
	t := &Table{}
	cell := short
	if format == CSV {
		cell = value.Value.In
	}
	for i, c := range a.Columns {
		t.Columns = append(t.Columns, Column{Name: head(c), Number: numeric(a, i)})
	}
	for _, r := range a.Rows {
		cells := make([]string, len(r.Cells))
		for i, v := range r.Cells {
			cells[i] = cell(v, a.Columns[i].Unit)
		}
		t.Rows = append(t.Rows, cells)
	}
	return t
}

// head is the name of a column and its unit, unless the name says it already.
func head(c run.Column) string {
	switch {
	case c.Unit == "", impliedUnits[c.Name] == c.Unit:
		return c.Name
	}
	return c.Name + " " + c.Unit
}

var impliedUnits = map[string]string{"minutes": "min", "volts": "V", "amps": "A"}

// numeric reports whether a column holds numbers and nothing else.
func numeric(a *run.Answer, column int) bool {
	found := false
	for _, r := range a.Rows {
		switch v := r.Cells[column]; v.Kind() {
		case value.Quantity, value.Count:
			found = true
		case value.None, value.Unknown:
		default:
			return false
		}
	}
	return found
}

// JSONRows prints one object a row.
func JSONRows(w io.Writer, columns []run.Column, rows []run.Row) error {
	out := bufio.NewWriter(w)
	enc := jsonEncoder(out)
	for _, r := range rows {
		row := map[string]any{}
		for i, v := range r.Cells {
			row[columns[i].Name] = jsonValue(v)
		}
		if r.Of != nil {
			row["@board"] = r.Of.Board.String()
		}
		if r.Of != nil && r.Of.Role != "" {
			row["@role"] = r.Of.Role
		}
		if r.Why != "" {
			row["@possible"] = r.Why
		}
		if err := enc.Encode(row); err != nil {
			return err
		}
	}
	return out.Flush()
}

func jsonEncoder(w io.Writer) *json.Encoder {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	return enc
}

// answerJSON prints one object a row and one at the end.
func answerJSON(w io.Writer, a *run.Answer) error {
	if err := JSONRows(w, a.Columns, a.Rows); err != nil {
		return err
	}
	possible := map[string]int{}
	for _, reason := range a.Possible {
		possible[reason.Why] = reason.Count
	}
	end := map[string]any{"rows": a.Shown(), "things": a.Things, "noun": a.Noun.String(),
		"possible": possible, "complete": a.Complete(), "partial": a.Partial, "limit": a.Limit, "reading": a.Reading}
	if a.Remarks != nil {
		end["remarks"] = a.Remarks
	}
	return jsonEncoder(w).Encode(map[string]any{"end": end})
}

// jsonValue is a number for a count, an object with number and unit for a
// quantity, null for what is none or not known, and a text for the rest.
func jsonValue(v value.Value) any {
	switch v.Kind() {
	case value.None, value.Unknown:
		return nil
	case value.Count:
		if least, most := v.Bounds(); least == most {
			return least
		}
	case value.Quantity:
		q, _ := v.Quantity()
		return map[string]any{"text": v.String(), "number": q.Float(), "unit": q.Unit.String()}
	case value.List:
		items := []any{}
		for _, item := range v.Items() {
			items = append(items, jsonValue(item))
		}
		return items
	}
	return v.String()
}
