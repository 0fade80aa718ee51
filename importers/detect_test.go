package importers

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netlore/query/diag"
)

// The first bytes of binary formats are those of their specifications, from
// memory: ZIP 4.3.7, RFC 1952 (gzip), ISO 32000 (PDF), ISO 15948 (PNG), ISO
// 10918 (JPEG). The opening commands of Gerber are in Ucamco's Gerber Layer
// Format Specification, the IPC-2581 root element in IPC-2581.
func TestDetect(t *testing.T) {
	netlist := "327VMAIN            C412  -1          A01X+012700Y-003050X0600Y0500R090 S0\n"
	for name, c := range map[string]struct {
		head string
		kind Kind
		want string // format, or a part of the complaint
		code string
	}{
		"netlist":             {"P  UNITS CUST 1\n" + netlist, Readable, "ipc-d-356", ""},
		"netlist, BOM":        {"\xef\xbb\xbfP  UNITS CUST 1\n" + netlist, Readable, "ipc-d-356", ""},
		"placement":           {"Designator,Mid X,Mid Y,Rotation,Layer\nC1,1.0mm,2.0mm,90,top\n", Readable, "table", ""},
		"placement, UTF-16":   {utf16("Designator,Mid X,Mid Y,Rotation,Layer\nC1,1.0mm,2.0mm,90,top\n"), Readable, "table", ""},
		"sheet":               {"netlore 1\nboard Heron-A rev 3\n", Sheet, "netlore sheet", "D104"},
		"sheet after remarks": {"\xef\xbb\xbf# mine\n\n netlore 1.2\r\n", Sheet, "netlore sheet", "D104"},
		"empty":               {"", Empty, "empty", "D101"},
		"IPC-2581":            {`<?xml version="1.0"?>` + "\n<IPC-2581 revision=\"C\">", Unreadable, "this is IPC-2581, which cannot be read yet", "D102"},
		"other XML":           {"<?xml version=\"1.0\"?><drawing/>", Unreadable, "XML", "D102"},
		"Gerber X1":           {"%FSLAX25Y25*%\n%MOIN*%\n", Unreadable, "Gerber", "D102"},
		"Gerber X2":           {"G04 made by us*\n%TF.FileFunction,Copper,L1,Top*%\n%FSLAX46Y46*%\n", Unreadable, "Gerber", "D102"},
		"drill file":          {"M48\nMETRIC,TZ\nT1C0.3\n", Unreadable, "drill", "D102"},
		"JSON":                {"{\"parts\": []}", Unreadable, "JSON", "D102"},
		"ZIP":                 {"PK\x03\x04\x14\x00\x06\x00", Unknown, "ZIP", "D109"},
		"gzip":                {"\x1f\x8b\x08\x00", Unknown, "gzip", "D109"},
		"PDF":                 {"%PDF-1.7\n%\xe2\xe3", Unknown, "PDF", "D103"},
		"PNG":                 {"\x89PNG\r\n\x1a\n\x00\x00", Unknown, "PNG", "D103"},
		"JPEG":                {"\xff\xd8\xff\xe0\x00\x10JFIF", Unknown, "JPEG", "D103"},
		"other binary":        {"\x07\x00\x00\x01\x02\x03\x00", Unknown, "binary file of an unknown format", "D103"},
		"prose":               {"Dear all,\nthe board came back from repair\nand works now.\n", Unknown, "no format that can be read", "D105"},
		"prose, UTF-16":       {utf16("Dear all\nit works"), Unknown, "UTF-16", "D106"},
	} {
		t.Run(name, func(t *testing.T) {
			d := Detect([]byte(c.head))
			said := d.Format
			if c.kind != Readable {
				said = d.Why.Message
			}
			if d.Kind != c.kind || d.Why.Code != c.code || !strings.Contains(said, c.want) {
				t.Errorf("kind %d, code %s, %s", d.Kind, d.Why.Code, said)
			}
			if c.kind == Readable {
				return
			}
			if _, ok := Explain(d.Why.Code); !ok || d.Why.Severity != diag.Error {
				t.Errorf("%+v", d.Why)
			}
			if c.kind != Sheet && len(d.Why.Help) == 0 {
				t.Error("no help")
			}
		})
	}
}

// utf16 writes ASCII as UTF-16, little-endian, with its mark.
func utf16(s string) string {
	var b strings.Builder
	b.WriteString("\xff\xfe")
	for i := range len(s) {
		b.WriteString(s[i:i+1] + "\x00")
	}
	return b.String()
}

// boardsDir is the collection of open-hardware boards that may lie beside the
// sources, or where NETLORE_BOARDS says.
func boardsDir(t *testing.T) string {
	t.Helper()
	if dir := os.Getenv("NETLORE_BOARDS"); isDir(dir) {
		return dir
	}
	for at, _ := filepath.Abs("."); at != filepath.Dir(at); at = filepath.Dir(at) {
		if dir := filepath.Join(at, "shared", "boards"); os.Getenv("NETLORE_BOARDS") == "" && isDir(dir) {
			return dir
		}
	}
	t.Skip("no collection of boards beside the sources; set NETLORE_BOARDS to its folder")
	return ""
}

func isDir(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// Every file of the collection is recognised as what its name says.
func TestDetectRealFiles(t *testing.T) {
	want := map[string]string{
		".ipc": "ipc-d-356", ".d356": "ipc-d-356", ".xml": "IPC-2581",
		".gbr": "Gerber (RS-274X)", ".gtl": "Gerber (RS-274X)", ".gbl": "Gerber (RS-274X)", ".gm1": "Gerber (RS-274X)", ".g1": "Gerber (RS-274X)",
		".csv": "table",
	}
	files := 0
	err := filepath.WalkDir(boardsDir(t), func(path string, entry os.DirEntry, err error) error {
		expected, known := want[filepath.Ext(path)]
		if filepath.Base(filepath.Dir(path)) == "placement" {
			expected, known = "table", true
		}
		if err != nil || entry.IsDir() || !known {
			return err
		}
		files++
		text, err := os.ReadFile(path)
		if d := Detect(text); d.Format != expected {
			t.Errorf("%s is taken for %s (%s)", filepath.Base(path), d.Format, d.Why.Message)
		}
		return err
	})
	if err != nil || files == 0 {
		t.Errorf("%d files: %v", files, err)
	}
}

// FuzzDetect checks that any head is either readable or refused with a
// complaint that is explained.
func FuzzDetect(f *testing.F) {
	for _, head := range []string{"", "P  UNITS CUST 1\n", "netlore 1\n", "PK\x03\x04", "\xff\xfeR\x00", "G04*\n%FSLA", "Ref,X,Y\n", "<x", "{"} {
		f.Add([]byte(head))
	}
	f.Fuzz(func(t *testing.T, head []byte) {
		d := Detect(head)
		_, explained := Explain(d.Why.Code)
		if (d.Kind == Readable) != (d.Importer.Read != nil) || (d.Kind != Readable) != explained {
			t.Errorf("%+v", d)
		}
	})
}
