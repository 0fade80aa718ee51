package sheet_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/query/diag"
	"netlore/store/sheet"
)

type plainSheet struct{ path, text string }

// plainSheets are the sheets of the suite that are without mistakes and
// without comments.
func plainSheets(t *testing.T) (sheets []plainSheet) {
	t.Helper()
	for _, c := range cases(t) {
		text, ok := c.section("in.lore")
		if !ok || (c.kind != "valid" && c.kind != "roundtrip") || strings.Contains(text, "#") {
			continue
		}
		sheets = append(sheets, plainSheet{c.path, text})
	}
	return sheets
}

// statements cuts a sheet into its statements, each with its members, without
// the first line.
func statements(text string) (blocks []string) {
	_, text, _ = strings.Cut(text, "\n")
	for line := range strings.Lines(text) {
		if strings.TrimSpace(line) != "" && line[0] != ' ' && line[0] != '\t' || len(blocks) == 0 {
			blocks = append(blocks, "")
		}
		blocks[len(blocks)-1] += strings.TrimSuffix(line, "\n") + "\n"
	}
	return blocks
}

const header = "netlore 1\n"

// reading is what a text says: its canonical form, its facts and complaints.
func reading(t *testing.T, texts ...string) (canonical, says string) {
	t.Helper()
	var files []*sheet.File
	var complaints diag.List
	for i, text := range texts {
		f, l := sheet.Parse(fmt.Sprintf("%d.lore", i), []byte(text))
		files, complaints = append(files, f), append(complaints, l...)
	}
	content, more := sheet.Read(files...)
	if complaints = append(complaints, more...); len(complaints) > 0 {
		t.Fatalf("complaints about\n%s\n%s", strings.Join(texts, "---\n"), drawn(t, complaints))
	}
	return string(files[0].Canonical()), factsOf(content).String()
}

// TestOrderMeansNothing shuffles statements, says them twice, and divides them
// over files, R1.12, R7.7 and R8.1: canonical text and facts stay.
func TestOrderMeansNothing(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for _, s := range plainSheets(t) {
		path, text := s.path, s.text
		canonical, says := reading(t, text)
		blocks := statements(text)
		twice := append(blocks, blocks[:len(blocks)/2+1]...)
		for range 5 {
			random.Shuffle(len(twice), func(i, j int) { twice[i], twice[j] = twice[j], twice[i] })
			gotCanonical, gotSays := reading(t, header+strings.Join(twice, ""))
			if diff := cmp.Diff(canonical, gotCanonical); diff != "" {
				t.Errorf("%s: shuffled, the canonical text is another:\n%s", path, diff)
			}
			if diff := cmp.Diff(says, gotSays); diff != "" {
				t.Errorf("%s: shuffled, it says something else:\n%s", path, diff)
			}
			half := random.IntN(len(twice) + 1)
			if _, divided := reading(t, header+strings.Join(twice[:half], ""), header+strings.Join(twice[half:], "")); divided != says {
				t.Errorf("%s: divided, it says something else:\n%s", path, cmp.Diff(says, divided))
			}
		}
	}
}

// TestAnySubset leaves out statements, R1.12: what is left is a sheet.
func TestAnySubset(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	for _, s := range plainSheets(t) {
		path, text := s.path, s.text
		for range 5 {
			left := header
			for _, b := range statements(text) {
				if random.IntN(2) == 0 {
					left += b
				}
			}
			if _, complaints := sheet.Parse(path, []byte(left)); len(complaints) > 0 {
				t.Errorf("%s:\n%s\n%s", path, left, drawn(t, complaints))
			}
		}
	}
}

// TestCommentsSurvive puts comments into sheets, R1.10: each is in the
// canonical text, which is otherwise that of the sheet without them.
func TestCommentsSurvive(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 8))
	for _, s := range plainSheets(t) {
		path, text := s.path, s.text
		plain, _ := reading(t, text)
		for range 5 {
			commented, n := withComments(text, random)
			f, complaints := sheet.Parse(path, []byte(commented))
			if len(complaints) > 0 {
				t.Fatalf("%s:\n%s", path, drawn(t, complaints))
			}
			canonical := string(f.Canonical())
			for i := range n {
				if c := fmt.Sprintf("#<%d>", i); strings.Count(canonical, c) != 1 {
					t.Errorf("%s: comment %s is there %d times:\n%s", path, c, strings.Count(canonical, c), canonical)
				}
			}
			if diff := cmp.Diff(plain, withoutComments(canonical)); diff != "" {
				t.Errorf("%s: comments change the canonical text:\n%s\n%s", path, commented, diff)
			}
		}
	}
}

// withComments puts numbered comments into a text, on lines of their own and
// at the end of others.
func withComments(text string, random *rand.Rand) (commented string, n int) {
	var s strings.Builder
	for line := range strings.Lines(strings.TrimSuffix(text, "\n") + "\n") {
		line = strings.TrimSuffix(line, "\n")
		switch random.IntN(4) {
		case 0:
			fmt.Fprintf(&s, "%s #<%d>\n", line, n)
		case 1:
			fmt.Fprintf(&s, "%s\n#<%d>\n", line, n)
		case 2:
			fmt.Fprintf(&s, "%s\n   #<%d>\n", line, n)
		case 3:
			s.WriteString(line + "\n")
			n--
		}
		n++
	}
	return s.String(), n
}

func withoutComments(text string) string {
	var s strings.Builder
	for line := range strings.Lines(text) {
		switch code, _, found := strings.Cut(line, "#<"); {
		case !found:
			s.WriteString(line)
		case strings.TrimSpace(code) != "":
			s.WriteString(strings.TrimRight(code, " ") + "\n")
		}
	}
	return s.String()
}
