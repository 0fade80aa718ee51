package importers

import (
	"bytes"
	"fmt"
	"strings"

	"netlore/importers/record"
	"netlore/query/diag"
)

// Kind is what the content of a file was recognised as.
type Kind uint8

const (
	Unknown    Kind = iota // text of no known format, or binary
	Readable               // an importer reads it
	Sheet                  // netlore's own text format; not for an importer
	Unreadable             // a known format that no importer reads
	Empty
)

// Detected is what the head of a file tells.
type Detected struct {
	Kind     Kind
	Format   string   // what the content looks like: "IPC-D-356", "Gerber", "PDF"
	Importer Importer // for Readable
	Why      diag.Diagnostic
}

// Detect judges the first record.HeadSize bytes of a file by content. Unless
// it is readable, Why says what the file looks like and what can be done; its
// severity is Error.
func Detect(head []byte) Detected {
	head = head[:min(len(head), record.HeadSize)]
	if len(head) == 0 {
		return refuse(Empty, "empty", "D101", "the file is empty", "export it again")
	}
	if d, ok := byMagic(head); ok {
		return d
	}
	text := bytes.TrimPrefix(head, []byte("\xef\xbb\xbf"))
	if isSheet(text) {
		return refuse(Sheet, "sheet", "D104", "this is a netlore sheet, which is not imported but read as it is")
	}
	if d, ok := byWords(text); ok {
		return d
	}
	if d, ok := byImporter(head); ok {
		return d
	}
	if isUTF16(head) {
		return refuse(Unknown, "UTF-16 text", "D106", "this text is UTF-16, two bytes a letter, and no table", "save it as UTF-8 text")
	}
	if bytes.IndexByte(text, 0) >= 0 {
		return refuse(Unknown, "binary", "D103", "this is a binary file of an unknown format", readableHelp)
	}
	return refuse(Unknown, "text", "D105", "this text is of no format that can be read", lookedFor, readableHelp)
}

const (
	readableHelp = "boards are read from IPC-D-356 netlists (.ipc, .d356) and from placement and part tables as text (CSV, tab or blank separated)"
	lookedFor    = "looked for D-356 records (317, 327 with A01X…Y…), D-356 parameters (P  UNITS), and a header line with a column for the part names (RefDes, Designator, Ref)"
)

func refuse(kind Kind, format, code, message string, help ...string) Detected {
	return Detected{Kind: kind, Format: format,
		Why: diag.Diagnostic{Code: code, Severity: diag.Error, Message: message, Help: help}}
}

// byImporter asks every importer; the surest one reads the file, the first of
// equals.
func byImporter(head []byte) (Detected, bool) {
	best := record.No
	var found Importer
	for _, im := range Importers() {
		if c := im.Sniff(head); c > best {
			best, found = c, im
		}
	}
	return Detected{Kind: Readable, Format: found.Name, Importer: found}, best > record.No
}

// isSheet reports whether the first line that is no comment is "netlore 1".
func isSheet(text []byte) bool {
	for line := range bytes.Lines(text) {
		line = bytes.TrimSpace(line)
		if len(line) == 0 || line[0] == '#' {
			continue
		}
		version, ok := bytes.CutPrefix(line, []byte("netlore "))
		return ok && len(bytes.Trim(version, "0123456789. ")) == 0
	}
	return false
}

// magics are the first bytes of binary files, and what people call them.
var magics = []struct {
	bytes, format, help string
	archive             bool
}{
	{"PK\x03\x04", "a ZIP archive or an Office document", "unpack the archive, or save the table as CSV, and import the files in it", true},
	{"PK\x05\x06", "an empty ZIP archive", "there is nothing in it", true},
	{"\x1f\x8b", "a gzip file", "unpack it and import the files in it", true},
	{"BZh", "a bzip2 file", "unpack it and import the files in it", true},
	{"\xfd7zXZ\x00", "an xz file", "unpack it and import the files in it", true},
	{"\x28\xb5\x2f\xfd", "a zstd file", "unpack it and import the files in it", true},
	{"7z\xbc\xaf\x27\x1c", "a 7-Zip archive", "unpack it and import the files in it", true},
	{"Rar!\x1a\x07", "a RAR archive", "unpack it and import the files in it", true},
	{"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "an old Office document", "save the table as CSV and import that", false},
	{"%PDF-", "a PDF", "a drawing has no netlist; ask for the IPC-D-356 file of the board", false},
	{"\x89PNG\r\n\x1a\n", "a PNG picture", "a picture has no netlist; ask for the IPC-D-356 file of the board", false},
	{"\xff\xd8\xff", "a JPEG picture", "a picture has no netlist; ask for the IPC-D-356 file of the board", false},
	{"GIF8", "a GIF picture", "a picture has no netlist; ask for the IPC-D-356 file of the board", false},
	{"BM\x00", "a BMP picture", "a picture has no netlist; ask for the IPC-D-356 file of the board", false},
	{"II*\x00", "a TIFF picture", "a picture has no netlist; ask for the IPC-D-356 file of the board", false},
	{"MM\x00*", "a TIFF picture", "a picture has no netlist; ask for the IPC-D-356 file of the board", false},
	{"\x7fELF", "a program", readableHelp, false},
	{"MZ\x90\x00", "a program", readableHelp, false},
	{"SQLite format 3\x00", "an SQLite database", "export the tables as CSV and import those", false},
	{"%!PS", "PostScript", "a drawing has no netlist; ask for the IPC-D-356 file of the board", false},
}

func byMagic(head []byte) (Detected, bool) {
	for _, m := range magics {
		if !bytes.HasPrefix(head, []byte(m.bytes)) {
			continue
		}
		code := "D103"
		if m.archive {
			code = "D109"
		}
		return refuse(Unknown, m.format, code, "this is "+m.format+", not a text file with a board", m.help), true
	}
	return Detected{}, false
}

func isUTF16(head []byte) bool {
	return bytes.HasPrefix(head, []byte("\xff\xfe")) || bytes.HasPrefix(head, []byte("\xfe\xff"))
}

// byWords recognises text formats of the trade that cannot be read yet.
func byWords(text []byte) (Detected, bool) {
	start := string(bytes.TrimLeft(text[:min(len(text), 4096)], " \t\r\n"))
	switch {
	case isXML(start) && bytes.Contains(text, []byte("<IPC-2581")):
		return notYet("IPC-2581", "ask for the IPC-D-356 netlist of the board, which the same tools export"), true
	case isXML(start):
		return notYet("XML", readableHelp), true
	case isGerber(start, text):
		return notYet("Gerber (RS-274X)", "ask for the IPC-D-356 netlist, which belongs to the same set of fabrication files"), true
	case strings.HasPrefix(start, "M48"):
		return notYet("an Excellon drill file", "ask for the IPC-D-356 netlist, which belongs to the same set of fabrication files"), true
	case strings.HasPrefix(start, "{"), strings.HasPrefix(start, "[{"):
		return notYet("JSON", readableHelp), true
	}
	return Detected{}, false
}

func notYet(format, help string) Detected {
	return refuse(Unreadable, format, "D102", fmt.Sprintf("this is %s, which cannot be read yet", format), help)
}

func isXML(start string) bool { return strings.HasPrefix(start, "<") }

// isGerber looks for the commands that every Gerber file begins with: the
// coordinate format and the unit, or attributes of X2.
func isGerber(start string, text []byte) bool {
	if !strings.HasPrefix(start, "%") && !strings.HasPrefix(start, "G0") {
		return false
	}
	for _, command := range []string{"%FSLA", "%FSTA", "%FSLI", "%MOMM*%", "%MOIN*%", "%TF.", "%ADD"} {
		if bytes.Contains(text, []byte(command)) {
			return true
		}
	}
	return false
}
