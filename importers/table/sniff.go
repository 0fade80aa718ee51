package table

import (
	"bufio"
	"bytes"

	"netlore/importers/record"
)

// decodeHead gives the head of a file as UTF-8.
func decodeHead(head []byte) []byte {
	_, text := openText(bufio.NewReader(bytes.NewReader(head[:min(len(head), record.HeadSize)])))
	return text
}

// foreign recognises text formats that are no tables, although their lines may
// look like rows.
func foreign(head []byte) bool {
	start := bytes.TrimLeft(head, " \t\r\n")
	for _, mark := range []string{"<", "{", "%FS", "%TF", "G04", "netlore ", "P  ", "C  IPC", "317", "327"} {
		if bytes.HasPrefix(start, []byte(mark)) {
			return true
		}
	}
	return false
}

// looksTabular reports whether the first rows have equally many cells, at
// least two, under some separator other than blanks.
func looksTabular(head []byte) bool {
	for _, sep := range separators[:4] {
		in := newRows(bytes.NewReader(head), sep)
		cells, rows := 0, 0
		for rows < 10 && in.next() {
			if in.row.blank() {
				continue
			}
			if n := len(in.row.cells); rows == 0 {
				cells = n
			} else if n != cells {
				cells = 0
				break
			}
			rows++
		}
		if cells > 1 && rows > 1 {
			return true
		}
	}
	return false
}
