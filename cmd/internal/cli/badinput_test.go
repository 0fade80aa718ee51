package cli

import (
	"bytes"
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode"
)

// command runs a whole command line in this process.
func command(t testing.TB, in string, args ...string) (code int, out, complaints string) {
	t.Helper()
	var o, e bytes.Buffer
	env := Env{
		In: strings.NewReader(in), Out: &o, Err: &e,
		Getenv: func(name string) string { return map[string]string{"NETLORE_AUTHOR": "bench-1"}[name] },
		Now:    func() time.Time { return time.Date(2026, 3, 16, 9, 0, 0, 0, time.UTC) },
	}
	code = Run(context.Background(), env, args)
	return code, o.String(), e.String()
}

const wren = "netlore 1\nboard Wren rev 1\npart C1 10uF\nnet VCC power 3.3V\n  C1 1\n"

// finch is the same of another board.
var finch = strings.Replace(wren, "Wren", "Finch", 1)

// benchWithBase goes to a new folder that has a base with one board in it.
func benchWithBase(t testing.TB) {
	t.Helper()
	t.Chdir(t.TempDir())
	if code, _, complaints := command(t, wren, "--base", "base", "add", "-"); code != exitOK {
		t.Fatalf("exit code %d: %s", code, complaints)
	}
}

// contents is what the base lists, with the hash of every board.
func contents(t testing.TB) string {
	t.Helper()
	code, out, complaints := command(t, "", "--base", "base", "--json", "boards")
	if code != exitOK {
		t.Fatalf("boards: exit code %d: %s", code, complaints)
	}
	return out
}

// sound checks that the base holds what it held, and that all of it is whole.
func sound(t testing.TB, want string) {
	t.Helper()
	if got := contents(t); got != want {
		t.Errorf("the base holds\n%s\nand held before\n%s", got, want)
	}
	if code, out, complaints := command(t, "", "--base", "base", "verify"); code != exitOK {
		t.Errorf("verify: exit code %d: %s%s", code, out, complaints)
	}
}

const (
	d356Head   = "P  JOB   wren\nP  VER   IPC-D-356A\nP  UNITS CUST 1\n"
	d356Record = "327VCC              C1    -1          A01X+002000Y+002000X0500Y0600R000 S0\n"
	placements = "Designator,Value,Package,Mid X (mm),Mid Y (mm),Layer\n"
	sheetHead  = "netlore 1\nboard Finch rev 1\n"
	formats    = "boards are read from IPC-D-356 netlists (.ipc, .d356) and from placement and part tables as text (CSV, tab or blank separated)"
)

// badFiles are files that somebody will give to netlore one day. Each is added
// to a base with a board in it: says is the first line of the complaint, help
// one of its hints, code the exit code. Where nothing of a file can be used the
// base is as it was.
var badFiles = []struct {
	name, file, content string
	code                int
	says, help          string
}{
	{"nothing in it", "a.lore", "", exitInput, "a.lore: error D101: the file is empty", "export it again"},
	{"binary", "a.bin", "\x7f\x00\x01\x02" + strings.Repeat("\x00\xfe", 500), exitInput, "a.bin: error D103: this is a binary file of an unknown format", formats},
	{"binary behind a sheet's first line", "a.lore", "netlore 1\n\x00\x01\x02", exitInput, "a.lore: error S102: this is binary data, not a sheet", "a sheet is UTF-8 text; import other formats first"},
	{"an archive", "a.zip", "PK\x03\x04\x14\x00", exitInput, "a.zip: error D109: this is a ZIP archive or an Office document, not a text file with a board", "unpack the archive, or save the table as CSV, and import the files in it"},
	{"a drawing", "a.pdf", "%PDF-1.7\n", exitInput, "a.pdf: error D103: this is a PDF, not a text file with a board", "a drawing has no netlist; ask for the IPC-D-356 file of the board"},
	{"a letter", "a.txt", "Dear shop,\nthe radio is dead.\n", exitInput, "a.txt: error D105: this text is of no format that can be read", formats},
	{"a layer instead of a netlist", "a.gbr", "%FSLAX46Y46*%\n%MOMM*%\nM02*\n", exitInput, "a.gbr: error D102: this is Gerber (RS-274X), which cannot be read yet", "ask for the IPC-D-356 netlist, which belongs to the same set of fabrication files"},
	{"two bytes a letter", "a.lore", "\xff\xfen\x00e\x00", exitInput, "a.lore: error D106: this text is UTF-16, two bytes a letter, and no table", "save it as UTF-8 text"},
	{"not UTF-8", "a.lore", sheetHead + "part C1 \xff\xfe 10uF\n", exitInput, "a.lore:3:9: error S105: this is not UTF-8 text", "save the file as UTF-8"},
	{"a newer version", "a.lore", "netlore 2\nboard Finch rev 1\n", exitInput, "a.lore:1:9: error S502: this sheet is of version 2; this program reads version 1", "use a newer netlore"},
	{"no subject", "a.lore", "netlore 1\npart C1 10uF\n", exitInput, "netlore: a.lore does not say which board or stack it is about", "put a line such as `board Heron-A rev 3` at its top, or add it with --board Heron-A --rev 3"},

	{"an unknown kind of statement", "a.lore", sheetHead + "prt C1 10uF\n", exitInput, `a.lore:3:1: error S113: "prt" cannot stand here at the start of a line; expected a kind of statement`, "did you mean part?"},
	{"an unknown word", "a.lore", sheetHead + "net A grond\n", exitInput, `a.lore:3:7: error S201: "grond" is not known here`, "did you mean ground?"},
	{"a number that is none", "a.lore", sheetHead + "part C1 value NaN\n", exitInput, `a.lore:3:15: error S206: "NaN" is not a number with a unit`, ""},
	{"a number beyond all measure", "a.lore", sheetHead + "part C1 1e999F\n", exitInput, `a.lore:3:9: error S206: "1e999F" is no size that is met in practice`, ""},
	{"a number of too many digits", "a.lore", sheetHead + "part C1 " + strings.Repeat("9", 38) + "F\n", exitInput, `a.lore:3:9: error S206: "` + strings.Repeat("9", 38) + `F" has more than 18 digits that count`, ""},
	{"one part, two values", "a.lore", sheetHead + "part C1 10uF\npart C1 22uF\n", exitInput, "a.lore:4:9: error S301: two statements about part C1 differ in the value: 22uF here, 10uF elsewhere", "take out the one that is wrong"},
	{"a pin on two nets", "a.lore", sheetHead + "net A\n  C1 1\nnet B\n  C1 1\n", exitInput, "a.lore:6:6: error S302: pin C1.1 is on net B and on net A", "a pin is on one net: take it out of the other, or give one net as another name of the other with also"},
	{"a pin on another net than in the base", "a.lore", "netlore 1\nboard Wren rev 1\nnet GND ground\n  C1 1\n", exitInput, "a.lore:4:6: error S302: pin C1.1 is on net VCC and on net GND", "if the new one is right: add it with --correct"},
	{"deep nesting", "a.lore", sheetHead + "net A\n" + deep(1000), exitInput, "a.lore:5:4: error S111: this line is indented deeper than the one above; there is one level only", "indent all lines of a statement by two blanks"},
	{"brackets without end", "a.lore", sheetHead + "net " + strings.Repeat("(", 4000) + "\n", exitInput, `a.lore:3:5: error S205: the name "` + strings.Repeat("(", 40) + `…" needs quotation marks`, ""},
	{"a line without end", "a.lore", sheetHead + "net " + strings.Repeat("x", 1<<20), exitInput, "a.lore:3:1: error S103: this line is longer than 4096 bytes", "split it: several statements about one thing add up"},
	{"a range without end", "a.lore", sheetHead + "pad P1..P999999999 top\n", exitInput, `a.lore:3:5: error S213: "P1..P999999999" is more than 4096 names`, "a range is written P11..P14, at most 4096 names"},

	{"a netlist without records", "a.d356", d356Head + "999\n", exitInput, "a.d356: error D342: no test record in 4 lines", "a record looks like 327VMAIN           C412  -1          A01X+012700Y-003050X0600Y0500R090 S0"},
	{"a netlist that was cut off", "a.d356", d356Head + d356Record + "327VCC     ", exitOK, "a.d356: warning D340: the end record 999 is missing", "is the file whole?"},
	{"a place beyond all boards", "a.d356", d356Head + d356Record + strings.Replace(d356Record, "X+002000", "X+99999999999", 1) + "999\n", exitOK, "a.d356:5:39: warning D312: no access code and coordinates can be read in this record", "columns 39 to 57 hold them: A01X+012700Y-003050"},
	{"a pin on two nets of a netlist", "a.d356", d356Head + d356Record + strings.Replace(d356Record, "VCC", "GND", 1) + "999\n", exitOK, `a.d356:5:4: warning D332: pin C1.1 is on the net "GND" here and on "VCC" before`, "the net of the first record holds; correct the file it was made from"},
	{"a part placed twice", "a.csv", placements + "C1,10uF,0402,1,2,top\nC1,10uF,0402,3,4,top\n", exitOK, "a.csv: note T104: read as placement: 1 part", ""},
	{"a pin twice in a table", "a.csv", "Net,RefDes,Pin\nA,C1,1\nB,C1,1\n", exitOK, "a.csv: note T104: read as pins: 1 pin", ""},
	{"letters of an old code page", "a.csv", strings.ReplaceAll(placements+"C1,10µF,0402,1,2,top\n", "µ", "\xb5"), exitOK, "a.csv: note T103: from line 2 on, lines are not UTF-8; they were read as Windows-1252 (Latin-1)", ""},
	{"a quote without its partner", "a.csv", placements + "C1,\"10uF,0402,1,2,top\nC2,10uF,0402,3,4,top\n", exitOK, "a.csv: note T104: read as placement: 1 part", `a cell ends with the quote it began with; a quote inside is doubled: "2.5"" screen"`},
	{"coordinates that are no numbers", "a.csv", placements + "C1,10uF,0402,NaN,inf,top\nC2,10uF,0402,1,2,top\n", exitOK, "a.csv: note T104: read as placement: 1 part", "expected a number such as 12.7 or 12.7mm"},
}

// deep is lines each indented one blank more than the one above.
func deep(lines int) string {
	var s strings.Builder
	for i := range lines {
		s.WriteString(strings.Repeat(" ", i+2) + "C1 1\n")
	}
	return s.String()
}

func TestBadFiles(t *testing.T) {
	benchWithBase(t)
	for _, c := range badFiles {
		t.Run(c.name, func(t *testing.T) {
			before := contents(t)
			if err := os.WriteFile(c.file, []byte(c.content), 0o644); err != nil {
				t.Fatal(err)
			}
			args := []string{"--base", "base", "add", c.file}
			if c.code == exitOK {
				// Into a base of its own, so that one file does not contradict the other.
				args = []string{"--base", t.TempDir(), "add", c.file}
			}
			code, _, complaints := command(t, "", args...)
			if code != c.code {
				t.Errorf("exit code %d, want %d", code, c.code)
			}
			complains(t, complaints, c.says, c.help)
			sound(t, before)
		})
	}
}

// complains checks the first line of what was complained, that a hint is among
// it, and that nothing in it is the business of programmers or would move the
// cursor of a terminal.
func complains(t *testing.T, complaints, says, help string) {
	t.Helper()
	first, _, _ := strings.Cut(complaints, "\n")
	if first != says {
		t.Errorf("it says  %s\nwant     %s\nof all   %.600s", first, says, complaints)
	}
	if help != "" && !strings.Contains(complaints, "help: "+help+"\n") {
		t.Errorf("the hint %q is missing in\n%.1200s", help, complaints)
	}
	for _, word := range []string{"panic", "goroutine", "runtime error", "unexpected EOF", "badger", "invalid syntax", "<nil>", "%!"} {
		if strings.Contains(complaints, word) {
			t.Errorf("it speaks of %q:\n%.600s", word, complaints)
		}
	}
	if strings.IndexFunc(complaints, func(r rune) bool { return r != '\n' && unicode.IsControl(r) }) >= 0 {
		t.Errorf("a control character reaches the terminal: %.600q", complaints)
	}
}

// TestBadPlaces names what is no file that can be read.
func TestBadPlaces(t *testing.T) {
	benchWithBase(t)
	before := contents(t)
	for name, text := range map[string]string{"wren.lore": wren, "folder/readme.txt": "nothing", "base2/letter": "x",
		"questions": "# two\n\n  prats on VCC\ncount parts\n"} {
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		name string
		args string
		code int
		says string
		help string
	}{
		{"no such file", "add nowhere.lore", exitInput, "netlore: there is no file nowhere.lore", ""},
		{"a good file beside a missing one", "add wren.lore nowhere.lore", exitInput, "netlore: there is no file nowhere.lore", ""},
		{"a folder without sheets", "add folder", exitInput, "netlore: folder is a folder without any sheet (*.lore); name the board files themselves", ""},
		{"a path through a file", "add wren.lore/x", exitInput, "netlore: wren.lore/x cannot be read: not a directory", ""},
		{"a device with nothing in it", "check " + os.DevNull, exitFound, os.DevNull + ":1:1: error S101: the file is empty; expected netlore 1 in its first line", "start the file with the line netlore 1"},
		{"a base that is a file", "--base wren.lore boards", exitBase, "netlore: wren.lore is not a knowledge base: it is a file; name the folder of the base", ""},
		{"a base that is another folder", "--base base2 add wren.lore", exitBase, "netlore: base2 is not a knowledge base: it holds other files; choose a new or empty folder", ""},
		{"no base", "--base nowhere boards", exitBase, "netlore: there is no knowledge base yet in nowhere", "netlore add FILE makes one"},
		{"no files", "add", exitUsage, "netlore: name the files to add", "usage: netlore add FILE|FOLDER|-..."},
		{"a unit of no length", "add --unit furlong wren.lore", exitUsage, `netlore: --unit takes mm, mil or inch, not "furlong"`, "netlore add --help lists its options"},
		{"an unknown board", "show Wrne", exitUsage, "netlore: Wrne is not in the knowledge base", "it holds Wren rev 1"},
		{"a form of no answer", "ask --as xlsx parts", exitUsage, `netlore: --as takes table, csv, json or markdown, not "xlsx"`, "netlore ask --help lists its options"},
		{"a board that no file is about", "add wren.lore --board Finch", exitInput, "netlore: --board Finch does not go with these files, which say themselves what they are about: board Wren rev 1", "leave it out, or change the line at the top of the file"},
		{"a stack that no file is about", "add wren.lore --stack Finch", exitInput, "netlore: --stack Finch does not go with these files, which say themselves what they are about: board Wren rev 1", ""},
		{"fewer rows than none", "ask --rows=-3 parts", exitUsage, `netlore: --rows takes a whole number from 1 on, not "-3"`, ""},
		{"more rows than fit into memory", "ask --rows=1000001 parts", exitUsage, `netlore: --rows 1000001 is more than an answer can have that is kept as a whole: 1000000`, ""},
		{"a time without a unit", "ask --time 3 parts", exitUsage, `netlore: --time takes a time such as 500ms, 30s or 2m, not "3"`, ""},
		{"a wait before now", "--wait=-1s boards", exitUsage, `netlore: --wait takes a time such as 500ms, 30s or 2m, not "-1s"`, ""},
		{"a slip before the command", "--bse x boards", exitUsage, "netlore: netlore has no option --bse", "did you mean --base?"},
		{"a colour", "--colour blue boards", exitUsage, `netlore: --colour takes auto, always or never, not "blue"`, ""},
		{"an option with a slip", "add --baord Wren wren.lore", exitUsage, "netlore: netlore add has no option --baord", "did you mean --board?"},
		{"an option of one letter", "ask -RESET", exitUsage, "netlore: netlore ask has no option -RESET", ""},
		{"an option without its value", "ask -f", exitUsage, "netlore: -f wants a value after it", ""},
		{"options against each other", "add --correct --replace wren.lore", exitUsage, "netlore: --correct and --replace do not go together: with one the new holds where they differ, with the other it holds alone", ""},
		{"a command with a slip", "hlep", exitUsage, `netlore: there is no command "hlep"`, "did you mean: netlore help"},
		{"a command on photos with a slip", "photo algin Wren top", exitUsage, `netlore: there is no command "algin" on photos`, "did you mean: netlore photo align"},
		{"the number of a job for a command", "job 12", exitUsage, `netlore: there is no command "12" on jobs`, "netlore job show 12 shows a job"},
		{"a command on the identity that there is not", "identity whoami", exitUsage, `netlore: there is no command "whoami" on the identity`, "netlore help identity lists the commands"},
		{"help on nothing", "help wrods", exitUsage, `netlore: there is no command or topic "wrods"`, "did you mean: netlore words"},
		{"a shell that is none", "completion tcsh", exitUsage, `netlore: "tcsh" is no shell that netlore knows; it knows bash, zsh, fish or powershell`, ""},
		{"a folder of questions", "ask -f folder", exitInput, "netlore: folder is a folder; -f takes a file of questions, one a line", ""},
		{"a file for a folder", "export --to wren.lore/x", exitInput, "netlore: the folder wren.lore/x cannot be made: not a directory", ""},
		{"questions of a file", "ask -f questions", exitUsage, "questions:3:3: error Q20: \"prats\" is no noun or adjective of the language", "did you mean: parts on VCC"},
		{"two missing files", "add here there", exitInput, "netlore: there is no file here", ""},
		{"an unknown net", "ask parts on VMIAN", exitUsage, "1:10: error Q30: no net or branch of Wren is called VMIAN", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			code, _, complaints := command(t, "", append([]string{"--base", "base"}, strings.Fields(c.args)...)...)
			if code != c.code {
				t.Errorf("exit code %d, want %d", code, c.code)
			}
			complains(t, complaints, c.says, c.help)
		})
	}
	sound(t, before)
}

// TestCutAnywhere adds a sheet and a netlist cut off at many places: no panic,
// a documented exit code, and complaints whenever it is not 0.
func TestCutAnywhere(t *testing.T) {
	step := 4
	if testing.Short() {
		step = 17
	}
	netlist := d356Head + d356Record + "999\n"
	for _, whole := range []string{finch, netlist, placements + "C1,\"10uF\",0402,1,2,top\n"} {
		for n := 0; n <= len(whole); n += step {
			t.Chdir(t.TempDir())
			code, _, complaints := command(t, whole[:n], "--base", "base", "add", "-", "--board", "Finch")
			if code != exitOK && (code != exitInput || complaints == "") {
				t.Errorf("cut to %q: exit code %d: %s", whole[:n], code, complaints)
			}
			if _, err := os.Stat("base"); code == exitInput && !os.IsNotExist(err) {
				t.Errorf("cut to %q: nothing could be added, but there is a base: %v", whole[:n], err)
			}
		}
	}
}

// TestNothingIsLeftBeside looks for files that a command might leave where it
// ran: there is the base and nothing else.
func TestNothingIsLeftBeside(t *testing.T) {
	benchWithBase(t)
	command(t, "netlore 1\nbord X\n", "--base", "base", "add", "-")
	entries, err := fs.ReadDir(os.DirFS("."), ".")
	if err != nil || len(entries) != 1 || entries[0].Name() != "base" {
		t.Errorf("the folder holds %v, %v", entries, err)
	}
}
