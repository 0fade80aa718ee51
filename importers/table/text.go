package table

import (
	"bufio"
	"bytes"
	"io"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"

	"netlore/importers/record"
	"netlore/query/diag"
)

var (
	utf8Mark  = []byte("\xef\xbb\xbf")
	utf16Low  = []byte("\xff\xfe")
	utf16High = []byte("\xfe\xff")
)

// binaries are file formats that people take for a table, by their first bytes.
var binaries = []struct{ magic, what, help string }{
	{"PK\x03\x04", "this is a spreadsheet or an archive (ZIP), not text", saveAsText},
	{"\xd0\xcf\x11\xe0", "this is a spreadsheet in an old binary format, not text", saveAsText},
	{"%PDF", "this is a PDF, not text", "ask for the table as CSV; a PDF has no columns"},
	{"\x1f\x8b", "this file is compressed (gzip)", "unpack it first"},
}

const saveAsText = "open it in a spreadsheet program and save the sheet as CSV"

// openText gives the text in in as UTF-8, whatever its byte-order mark says,
// and its head. Bytes that are not UTF-8 are left for each line to decode.
func openText(in io.Reader) (text *bufio.Reader, head []byte) {
	text = bufio.NewReaderSize(in, record.HeadSize)
	head, _ = text.Peek(record.HeadSize)
	switch order, wide := utf16Order(head); {
	case wide:
		decoder := unicode.UTF16(order, unicode.UseBOM).NewDecoder()
		text = bufio.NewReaderSize(transform.NewReader(text, decoder), record.HeadSize)
	case bytes.HasPrefix(head, utf8Mark):
		text.Discard(len(utf8Mark))
	}
	head, _ = text.Peek(record.HeadSize)
	return text, head
}

// utf16Order tells UTF-16 by its mark, or by the zero bytes that Latin letters
// have in it.
func utf16Order(head []byte) (unicode.Endianness, bool) {
	switch {
	case bytes.HasPrefix(head, utf16Low):
		return unicode.LittleEndian, true
	case bytes.HasPrefix(head, utf16High):
		return unicode.BigEndian, true
	}
	head = head[:min(len(head), 512)]
	var zeros [2]int
	for i, c := range head {
		if c == 0 {
			zeros[i%2]++
		}
	}
	enough := len(head) / 3
	switch {
	case len(head) < 8:
		return unicode.LittleEndian, false
	case zeros[0] == 0 && zeros[1] > enough:
		return unicode.LittleEndian, true
	case zeros[1] == 0 && zeros[0] > enough:
		return unicode.BigEndian, true
	}
	return unicode.LittleEndian, false
}

// notText says why the head of a file is no text, with Code "" if it is.
func notText(head []byte) diag.Diagnostic {
	for _, b := range binaries {
		if bytes.HasPrefix(head, []byte(b.magic)) {
			return diag.Diagnostic{Code: "T101", Message: b.what, Help: []string{b.help}}
		}
	}
	controls := 0
	for _, c := range head {
		if c == 0 {
			return diag.Diagnostic{Code: "T101", Message: "this file is not text: it holds zero bytes", Help: []string{saveAsText}}
		}
		if c < ' ' && c != '\t' && c != '\n' && c != '\r' && c != '\f' {
			controls++
		}
	}
	if controls > max(len(head)/50, 8) { // a few stray ones are complained of where they stand
		return diag.Diagnostic{Code: "T101", Message: "this file is not text: it is full of control characters", Help: []string{saveAsText}}
	}
	return diag.Diagnostic{}
}

// decodeLine gives a line as UTF-8. A line that is not is taken as Windows-1252,
// of which printable Latin-1 is a part.
func decodeLine(line []byte) (text []byte, decoded bool) {
	if utf8.Valid(line) {
		return line, false
	}
	text, err := charmap.Windows1252.NewDecoder().Bytes(line)
	if err != nil {
		return bytes.ToValidUTF8(line, []byte("\ufffd")), true
	}
	return text, true
}
