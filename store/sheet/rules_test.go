package sheet_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/query/diag"
	"netlore/store/sheet"
)

// specification returns SHEET.md.
func specification(t *testing.T) string {
	t.Helper()
	src, err := os.ReadFile("SHEET.md")
	if err != nil {
		t.Fatal(err)
	}
	return string(src)
}

var (
	ruleMark  = regexp.MustCompile(`(?m)^(?:- \*\*|### )(R[\d.]+\d)\b`)
	ruleRef   = regexp.MustCompile(`\bR\d+(?:\.\d+)*\b`)
	codeRow   = regexp.MustCompile(`(?m)^\| (S\d{3}) \| ([a-z, ]+) \|`)
	codeDrawn = regexp.MustCompile(`(?m)(?:error|warning|note) (S\d{3}): `)
)

// TestRules holds the numbered rules against the suite: every rule has a case,
// every case names rules that are there, and so does the text itself.
func TestRules(t *testing.T) {
	text := specification(t)
	covered := map[string]bool{}
	var order []string
	for _, m := range ruleMark.FindAllStringSubmatch(text, -1) {
		if _, twice := covered[m[1]]; twice {
			t.Errorf("rule %s is there twice", m[1])
		}
		covered[m[1]] = false
		order = append(order, m[1])
	}
	for _, c := range cases(t) {
		if len(c.rules) == 0 {
			t.Errorf("%s names no rule", c.path)
		}
		for _, r := range c.rules {
			if _, ok := covered[r]; !ok {
				t.Errorf("%s names rule %s, which is not there", c.path, r)
			}
			covered[r] = true
		}
		if len(c.rules) > 0 && !strings.HasPrefix(c.name, strings.ToLower(c.rules[0])+"-") {
			t.Errorf("%s is not named for its rule %s", c.path, c.rules[0])
		}
	}
	for _, r := range order {
		if !covered[r] {
			t.Errorf("rule %s has no case", r)
		}
	}
	for _, ref := range ruleRef.FindAllString(text, -1) {
		if !slices.ContainsFunc(order, func(r string) bool { return r == ref || strings.HasPrefix(r, ref+".") }) &&
			!strings.Contains(text, "\n## "+ref+" ") {
			t.Errorf("the text refers to rule %s, which is not there", ref)
		}
	}
	t.Logf("%d rules, %d cases", len(order), len(cases(t)))
}

// foundIn says of every code where it is found, by the table of SHEET.md.
func foundIn(t *testing.T) map[string][]string {
	t.Helper()
	found := map[string][]string{}
	for _, m := range codeRow.FindAllStringSubmatch(specification(t), -1) {
		found[m[1]] = strings.Split(m[2], ", ")
	}
	return found
}

// TestCodes holds the codes of SHEET.md against those that are explained and
// against the suite.
func TestCodes(t *testing.T) {
	found, shown := foundIn(t), map[string]bool{}
	for n := range 1000 {
		code := fmt.Sprintf("S%03d", n)
		text, explained := sheet.Explain(code)
		if _, listed := found[code]; listed != explained {
			t.Errorf("%s: in the table of SHEET.md: %v, explained: %v", code, listed, explained)
		}
		if explained && (text == "" || strings.Contains(text, "  ")) {
			t.Errorf("%s: explained as %q", code, text)
		}
	}
	for _, c := range cases(t) {
		errors, _ := c.section("errors")
		codes := codeDrawn.FindAllStringSubmatch(errors, -1)
		for _, m := range codes {
			shown[m[1]] = true
		}
		if c.kind != "invalid" {
			continue
		}
		if !slices.ContainsFunc(codes, func(m []string) bool { return slices.Contains(found[m[1]], c.layer) }) {
			t.Errorf("%s: none of its codes is found in layer %q", c.path, c.layer)
		}
	}
	for code := range found {
		if !shown[code] {
			t.Errorf("code %s has no case", code)
		}
	}
}

// A row of an attribute table of SHEET.md.
type tableRow struct{ word, example, says string }

var (
	kindHead = regexp.MustCompile(`(?m)^### R5\.\d+ ([a-z]+)$`)
	rowMark  = regexp.MustCompile("^\\| (.*?) \\| .*? \\| `([^|]*)` \\| (.*) \\|$")
)

// tables returns the attribute tables of SHEET.md by kind, and the kinds in
// order.
func tables(t *testing.T) (kinds []string, rows map[string][]tableRow) {
	t.Helper()
	text := specification(t)
	rows = map[string][]tableRow{}
	heads := kindHead.FindAllStringSubmatchIndex(text, -1)
	for i, h := range heads {
		kind, end := text[h[2]:h[3]], len(text)
		if i+1 < len(heads) {
			end = heads[i+1][0]
		}
		kinds = append(kinds, kind)
		for line := range strings.Lines(text[h[1]:end]) {
			if m := rowMark.FindStringSubmatch(strings.TrimSpace(line)); m != nil {
				rows[kind] = append(rows[kind], tableRow{strings.Trim(m[1], "`"), m[2], m[3]})
			}
		}
	}
	return kinds, rows
}

// TestTables reads all examples of an attribute table as one statement, in any
// order, and wants canonical text in the order of the table.
func TestTables(t *testing.T) {
	kinds, rows := tables(t)
	var order []string
	for _, kind := range kinds {
		order = append(order, kind)
		var lead, rest []string
		for _, r := range rows[kind] {
			switch {
			case r.word == "1st" || r.word == "2nd":
				lead = append(lead, r.example)
			case !strings.HasPrefix(r.says, "or: "):
				rest = append(rest, r.example)
			}
		}
		if len(lead)+len(rest) == 0 {
			t.Errorf("%s has no table", kind)
			continue
		}
		want := strings.Join(append(append([]string{kind}, lead...), rest...), " ")
		random := rand.New(rand.NewPCG(1, 2))
		for range 20 {
			random.Shuffle(len(rest), func(i, j int) { rest[i], rest[j] = rest[j], rest[i] })
			line := strings.Join(append(append([]string{kind}, lead...), rest...), " ")
			f, complaints := sheet.Parse("table.lore", []byte("netlore 1\n"+line+"\n"))
			if len(complaints) > 0 {
				t.Fatalf("complaints about the examples of %s:\n%s", kind, drawn(t, complaints))
			}
			got := strings.TrimSpace(strings.TrimPrefix(string(f.Canonical()), "netlore 1\n"))
			if diff := cmp.Diff(want, got); diff != "" {
				t.Fatalf("canonical order of %s is not that of its table:\n%s", kind, diff)
			}
		}
	}
	checkKindOrder(t, order, rows)
}

// checkKindOrder wants the kinds in canonical text in the order of SHEET.md.
func checkKindOrder(t *testing.T, order []string, rows map[string][]tableRow) {
	t.Helper()
	var all strings.Builder
	for _, kind := range slices.Backward(order) {
		all.WriteString("\n" + kind)
		for _, r := range rows[kind] {
			if !strings.HasPrefix(r.says, "or: ") {
				all.WriteString(" " + r.example)
			}
		}
	}
	f, complaints := sheet.Parse("all.lore", []byte("netlore 1"+all.String()))
	if len(complaints) > 0 {
		t.Fatal(drawn(t, complaints))
	}
	var got []string
	for _, b := range f.Blocks() {
		got = append(got, b.Kind)
	}
	if diff := cmp.Diff(order, got); diff != "" {
		t.Errorf("canonical order of kinds is not that of SHEET.md:\n%s", diff)
	}
}

// TestAlternatives reads the rows that stand for the row before.
func TestAlternatives(t *testing.T) {
	for _, line := range []string{"outline circle 10,10 round 20mm", "outline polygon 0,0 9,0 5,8", "cover SH1 round 3mm at 8,8",
		"cover SH1 polygon 0,0 9,0 5,8", "pad P11 round 0.7mm", "via at 1,1 drill 0.2mm round 0.45mm", "cover SH1 over C1,C2"} {
		if _, complaints := sheet.Parse("line.lore", []byte("netlore 1\n"+line)); len(complaints) > 0 {
			t.Error(drawn(t, complaints))
		}
	}
}

// TestMessages holds every expected complaint against the house rules of
// wording.
func TestMessages(t *testing.T) {
	for _, c := range cases(t) {
		files, complaints := c.inputs(t)
		content, more := sheet.Read(files...)
		complaints = append(append(complaints, more...), sheet.Check(content, files...)...)
		for _, d := range complaints {
			c.wording(t, d)
		}
	}
}

func (c *specCase) wording(t *testing.T, d diag.Diagnostic) {
	t.Helper()
	texts := append([]string{d.Message}, d.Help...)
	for _, r := range d.Related {
		texts = append(texts, r.Message)
	}
	for _, s := range texts {
		low := strings.ToLower(s)
		if s == "" || strings.HasSuffix(s, ".") || strings.Contains(low, "unexpected token") || strings.Contains(low, "syntax") || strings.Contains(low, "illegal") {
			t.Errorf("%s: badly worded: %q", c.path, s)
		}
	}
}
