package cli

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"slices"
	"strings"

	"netlore/query/diag"
)

// columnWords are the columns that a table of readings can have, by what its header
// calls them.
var columnWords = map[string]string{"place": "place", "pad": "place", "pin": "place", "net": "place", "value": "value", "reading": "value", "unit": "unit"}

// columnsOf is where in a table the columns stand.
type columnsOf struct {
	comma              rune
	place, value, unit int // -1 of none
	all                int
}

// header reads the first line of the input as that of a table; nil if it is
// none.
func (e *entry) header(line string) (*columnsOf, error) {
	for _, comma := range []rune{',', ';', '\t'} {
		names := strings.Split(strings.ToLower(line), string(comma))
		for i := range names {
			names[i] = strings.Trim(strings.TrimSpace(names[i]), `"`)
			if word, ok := columnWords[names[i]]; ok {
				names[i] = word
			}
		}
		c := &columnsOf{comma, slices.Index(names, "place"), slices.Index(names, "value"), slices.Index(names, "unit"), len(names)}
		if len(names) < 2 || c.place < 0 && c.value < 0 {
			continue
		}
		for _, n := range names {
			if n != "place" && n != "value" && n != "unit" {
				return nil, hint(fmt.Errorf("the table has a column %s, which read does not know", diag.Quote(n)), "columns are place, value and unit", "netlore add FILE reads larger tables")
			}
		}
		switch {
		case c.place < 0 || c.value < 0 || len(names) > 3:
			return nil, hint(errors.New("the table needs a column place and a column value"), "its header is place,value or place,value,unit")
		case e.guided:
			return nil, hint(errors.New("a table names its places, so it does not go with a question"), "leave the question out")
		}
		return c, nil
	}
	return nil, nil
}

// row takes a line of a table.
func (e *entry) row(ctx context.Context, c *columnsOf, line string) error {
	in := csv.NewReader(strings.NewReader(line))
	in.Comma, in.TrimLeadingSpace = c.comma, true
	cells, err := in.Read()
	if err != nil {
		return hint(errors.New("this is no line of a table"), "a cell with a quotation mark stands in quotation marks")
	}
	if len(cells) > c.all {
		return hint(fmt.Errorf("this line has %d cells, and the table has %d columns", len(cells), c.all), "a cell with a comma in it stands in quotation marks")
	}
	cell := func(i int) string {
		if i < 0 || i >= len(cells) {
			return ""
		}
		return strings.TrimSpace(cells[i])
	}
	place, words, unit := cell(c.place), cell(c.value), cell(c.unit)
	if place == "" || words == "" {
		return hint(errors.New("a cell of this line is empty"), "leave out what was not read")
	}
	if c.comma != ',' && strings.Count(words, ",") == 1 && !strings.Contains(words, ".") {
		words = strings.Replace(words, ",", ".", 1) // as spreadsheets of many countries write
	}
	if unit != "" && !isOpen[strings.ToLower(words)] && words != "." {
		words += unit
	}
	return e.readAt(ctx, line, place, words)
}
