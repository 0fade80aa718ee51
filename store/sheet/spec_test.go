package sheet_test

import (
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/tools/txtar"

	"netlore/query/diag"
	"netlore/store/board"
	"netlore/store/sheet"
)

// The conformance suite: testdata/sheet/KIND/RULE-what.txtar. A case starts
// with lines "rule: R2.4 R2.5" and, if it is refused, "layer: grammar"; other
// lines there are remarks. With "last: 1" the last complaint only is compared. Its input is in.lore, or in.quoted with one Go
// string a line, 4100*"x" being that often. The kinds are
//
//	valid      read without complaint; canonical text and facts are compared
//	invalid    complaints are compared; canonical text too, if it is there
//	canonical  canonical text only
//	roundtrip  in.lore is canonical, and comes back from Canonical and from Write
//	merge      see merge_test.go
//	rings      what is known by what rings is compared

var update = flag.Bool("update", false, "rewrite the expectations of the conformance suite")

const suite = "../../testdata/sheet"

// A specCase is one case of the suite.
type specCase struct {
	path, kind, name string
	rules            []string
	layer            string
	last             int // compare so many complaints, the last ones; 0 is all
	archive          *txtar.Archive
}

func cases(t *testing.T) (all []*specCase) {
	t.Helper()
	paths, err := filepath.Glob(suite + "/*/*.txtar")
	if err != nil || len(paths) == 0 {
		t.Fatal("the conformance suite is not there:", err)
	}
	for _, path := range paths {
		a, err := txtar.ParseFile(path)
		if err != nil {
			t.Fatal(err)
		}
		c := &specCase{path: path, archive: a, kind: filepath.Base(filepath.Dir(path)), name: strings.TrimSuffix(filepath.Base(path), ".txtar")}
		for line := range strings.Lines(string(a.Comment)) {
			if rest, ok := strings.CutPrefix(line, "rule: "); ok {
				c.rules = strings.Fields(rest)
			}
			if rest, ok := strings.CutPrefix(line, "layer: "); ok {
				c.layer = strings.TrimSpace(rest)
			}
			if rest, ok := strings.CutPrefix(line, "last: "); ok {
				c.last, _ = strconv.Atoi(strings.TrimSpace(rest))
			}
		}
		all = append(all, c)
	}
	return all
}

// section returns a section of the case.
func (c *specCase) section(name string) (string, bool) {
	for _, f := range c.archive.Files {
		if f.Name == name {
			return string(f.Data), true
		}
	}
	return "", false
}

// inputs are the sheets of the case, in order.
func (c *specCase) inputs(t *testing.T) (files []*sheet.File, complaints diag.List) {
	t.Helper()
	for _, f := range c.archive.Files {
		text := string(f.Data)
		switch filepath.Ext(f.Name) {
		case ".quoted":
			text = unquoted(t, text)
		case ".lore":
		default:
			continue
		}
		parsed, more := sheet.Parse(strings.TrimSuffix(f.Name, filepath.Ext(f.Name))+".lore", []byte(text))
		files, complaints = append(files, parsed), append(complaints, more...)
	}
	if len(files) == 0 {
		t.Fatal("the case has no input")
	}
	return files, complaints
}

var quotedLine = regexp.MustCompile(`^(?:(\d+)\*)?(".*")$`)

// unquoted puts together the strings of a section, one Go string a line.
func unquoted(t *testing.T, section string) string {
	t.Helper()
	var text strings.Builder
	for _, line := range strings.Split(strings.TrimSpace(section), "\n") {
		m := quotedLine.FindStringSubmatch(line)
		if m == nil {
			t.Fatalf("no quoted line: %s", line)
		}
		part, err := strconv.Unquote(m[2])
		if err != nil {
			t.Fatalf("%s: %v", line, err)
		}
		times := 1
		if m[1] != "" {
			times, _ = strconv.Atoi(m[1])
		}
		text.WriteString(strings.Repeat(part, times))
	}
	return text.String()
}

// text is the one input of a case as text.
func (c *specCase) text(t *testing.T) string {
	t.Helper()
	if s, ok := c.section("in.quoted"); ok {
		return unquoted(t, s)
	}
	s, ok := c.section("in.lore")
	if !ok {
		t.Fatal("the case has no in.lore")
	}
	return s
}

// expect compares a result with a section, or rewrites the section.
func (c *specCase) expect(t *testing.T, section, got string) {
	t.Helper()
	want, ok := c.section(section)
	if got == want && ok {
		return
	}
	if !*update {
		t.Errorf("%s differs (- expected, + got):\n%s", section, cmp.Diff(want, got))
		return
	}
	if i := slices.IndexFunc(c.archive.Files, func(f txtar.File) bool { return f.Name == section }); i >= 0 {
		c.archive.Files[i].Data = []byte(got)
	} else {
		c.archive.Files = append(c.archive.Files, txtar.File{Name: section, Data: []byte(got)})
	}
	if err := os.WriteFile(c.path, txtar.Format(c.archive), 0o644); err != nil {
		t.Fatal(err)
	}
}

func drawn(t *testing.T, l diag.List) string {
	t.Helper()
	var b strings.Builder
	if err := diag.Write(&b, l, diag.Style{}); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestSuite(t *testing.T) {
	run := map[string]func(t *testing.T, c *specCase){"valid": runValid, "invalid": runInvalid,
		"canonical": runCanonical, "roundtrip": runRoundtrip, "merge": runMerge, "rings": runRings}
	for _, c := range cases(t) {
		t.Run(c.kind+"/"+c.name, func(t *testing.T) {
			do, ok := run[c.kind]
			if !ok {
				t.Fatalf("no such kind of case: %s", c.kind)
			}
			do(t, c)
		})
	}
}

func runValid(t *testing.T, c *specCase) {
	files, complaints := c.inputs(t)
	content, more := sheet.Read(files...)
	if complaints = append(complaints, more...); len(complaints) > 0 {
		t.Fatalf("complaints about a valid sheet:\n%s", drawn(t, complaints))
	}
	canonical := string(files[0].Canonical())
	c.expect(t, "canonical", canonical)
	c.expect(t, "facts", factsOf(content).String())
	again(t, canonical, factsOf(content).String())
}

// again checks that canonical text is its own canonical text, and says the
// same as the text it was made of.
func again(t *testing.T, canonical, says string) {
	t.Helper()
	f, complaints := sheet.Parse("canonical.lore", []byte(canonical))
	if len(complaints) > 0 {
		t.Fatalf("complaints about canonical text:\n%s", drawn(t, complaints))
	}
	if diff := cmp.Diff(canonical, string(f.Canonical())); diff != "" {
		t.Errorf("canonical text has another canonical text:\n%s", diff)
	}
	content, _ := sheet.Read(f)
	if diff := cmp.Diff(says, factsOf(content).String()); diff != "" {
		t.Errorf("canonical text says something else:\n%s", diff)
	}
}

func runInvalid(t *testing.T, c *specCase) {
	files, complaints := c.inputs(t)
	var content *sheet.Content
	if c.layer == "union" || c.layer == "check" {
		content, complaints = c.union(t, files, complaints)
	}
	if c.layer == "check" {
		if len(complaints) > 0 {
			t.Fatalf("complaints before the check:\n%s", drawn(t, complaints))
		}
		complaints = sheet.Check(content, files...)
	}
	if len(complaints) == 0 {
		t.Fatal("nothing is complained of")
	}
	if c.last > 0 {
		complaints = complaints[len(complaints)-c.last:]
	}
	c.expect(t, "errors", drawn(t, complaints))
	if _, ok := c.section("canonical"); ok {
		c.expect(t, "canonical", string(files[0].Canonical()))
	}
}

// union makes the union of files that are right, each for itself. Of the
// files of a check case, those of another subject than the first are left out.
func (c *specCase) union(t *testing.T, files []*sheet.File, complaints diag.List) (*sheet.Content, diag.List) {
	t.Helper()
	if len(complaints) > 0 {
		t.Fatalf("complaints before the union:\n%s", drawn(t, complaints))
	}
	if c.layer == "check" {
		files = sheet.BySubject(files...)[0]
	}
	return sheet.Read(files...)
}

func runCanonical(t *testing.T, c *specCase) {
	f, _ := sheet.Parse("in.lore", []byte(c.text(t)))
	canonical := f.Canonical()
	c.expect(t, "canonical", string(canonical))
	g, _ := sheet.Parse("canonical.lore", canonical)
	if diff := cmp.Diff(string(canonical), string(g.Canonical())); diff != "" {
		t.Errorf("canonical text has another canonical text:\n%s", diff)
	}
}

func runRoundtrip(t *testing.T, c *specCase) {
	text := c.text(t)
	f, complaints := sheet.Parse("in.lore", []byte(text))
	content, more := sheet.Read(f)
	if complaints = append(complaints, more...); len(complaints) > 0 {
		t.Fatalf("complaints about a valid sheet:\n%s", drawn(t, complaints))
	}
	if diff := cmp.Diff(text, string(f.Canonical())); diff != "" {
		t.Errorf("Canonical changes canonical text:\n%s", diff)
	}
	if diff := cmp.Diff(text, string(sheet.Write(content))); diff != "" {
		t.Errorf("Write does not give back what was read:\n%s", diff)
	}
}

// runRings compares on which nets places are by what rings on a board.
func runRings(t *testing.T, c *specCase) {
	files, complaints := c.inputs(t)
	content, more := sheet.Read(files...)
	if complaints = append(complaints, more...); len(complaints) > 0 {
		t.Fatalf("complaints about a valid sheet:\n%s", drawn(t, complaints))
	}
	b := content.Board.Ringing(content.Knowledge.Touches(""))
	var text strings.Builder
	for _, r := range b.Rungs() {
		name, nets := "", make([]string, len(r.Nets))
		if r.Pad != board.None {
			name = b.Pads[r.Pad].Name
		} else {
			name = b.PinName(r.Pin)
		}
		for i, net := range r.Nets {
			nets[i] = b.Nets[net].Name
		}
		if r.Sure {
			text.WriteString(name + " is on " + nets[0] + "\n")
		} else {
			text.WriteString(name + " may be on " + strings.Join(nets, ", ") + ": " + r.Why + "\n")
		}
	}
	c.expect(t, "places", text.String())
}
