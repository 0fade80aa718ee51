package render

import "strings"

// alignPoints puts blanks behind the numbers of each column of numbers, so that
// their decimal points stand below each other and sizes can be seen at a glance.
// A column with anything but plain numbers stays as it is.
func (t *Table) alignPoints(cells [][]string) {
	for i, c := range t.Columns {
		if !c.Number {
			continue
		}
		most, plain := 0, true
		for _, row := range cells {
			n, ok := behindPoint(row[i])
			most, plain = max(most, n), plain && ok
		}
		if !plain || most == 0 {
			continue
		}
		for _, row := range cells {
			n, _ := behindPoint(row[i])
			row[i] += strings.Repeat(" ", most-n)
		}
	}
}

// behindPoint is how many columns the decimals of a number take, their point
// counted. It reports false for what is no plain number and no mark for one
// that is missing.
func behindPoint(cell string) (n int, ok bool) {
	whole, decimals, found := strings.Cut(cell, ".")
	if found {
		n = 1 + len(decimals)
	}
	return n, strings.Trim(strings.TrimPrefix(whole, "-"), digits) == "" && strings.Trim(decimals, digits) == "" || cell == "?"
}

const digits = "0123456789"
