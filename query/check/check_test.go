package check

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/tools/txtar"

	"netlore/query/syntax"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// What bash 5.2 leaves of a name between double quotes, tried at a prompt with
// no such variables set: echo "N$12" gives N2, echo "A$B_1-C" gives A-C.
func TestAfterShell(t *testing.T) {
	for name, want := range map[string]string{
		"N$12": "N2", "CLK$CS": "CLK", "A$B_1-C": "A-C", "$1": "", "N$": "", "N$-1": "", "plain": "", "N$1$2": "N",
	} {
		if got := afterShell(name); got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
}

func TestReadName(t *testing.T) {
	for written, want := range map[string]lookup{
		"VMAIN":         {text: "VMAIN", list: []string{"VMAIN"}},
		"lower:VMAIN":   {role: "lower", text: "VMAIN", list: []string{"VMAIN"}},
		`lower:"a : b"`: {role: "lower", text: "a : b", list: []string{"a : b"}},
		`"lower:VMAIN"`: {text: "lower:VMAIN", list: []string{"lower:VMAIN"}},
		"VBAT*":         {text: "VBAT*", pattern: value.NewPattern("VBAT*"), fold: true},
		`"VBAT*"`:       {text: "VBAT*", list: []string{"VBAT*"}},
		"P9..P11":       {text: "P9..P11", list: []string{"P9", "P10", "P11"}},
		`"P9..P11"`:     {text: "P9..P11", list: []string{"P9..P11"}},
		"U3.A4..A5":     {text: "U3.A4..A5", list: []string{"U3.A4", "U3.A5"}},
		"e\u0301":       {text: "\u00e9", list: []string{"\u00e9"}}, // one letter in normal form C
	} {
		got, ok := readName(written)
		if d := cmp.Diff(want, got, cmp.AllowUnexported(lookup{}, value.Pattern{})); !ok || d != "" {
			t.Errorf("%s: %t\n%s", written, ok, d)
		}
	}
}

// A lenient scope counts what it does not know, and is strict in all else.
func TestLenient(t *testing.T) {
	s := alone()
	s.Lenient = true
	q, list := ask("parts on VMIAN or VBUT* in every board under SH9 and under SH9", s)
	if q == nil {
		t.Fatal(list)
	}
	want := []Missing{{"VMIAN", []int{0}}, {"VBUT*", []int{0}}, {"SH9", []int{0}}}
	if d := cmp.Diff(want, q.Missing); d != "" {
		t.Error(d)
	}
	for text, code := range map[string]string{
		"parts on VMIAN with valu = 3mm":    "Q25",
		"parts on VMIAN in Heron-A":         "Q55",
		"why C12 in (parts in every board)": "Q55",
		"parts on VMIAN with value >= 3mm":  "Q41",
		"capacitors with volts at least 5m": "Q41",
	} {
		if q, list := ask(text, s); q != nil || list[0].Code != code {
			t.Errorf("%s: %v", text, list)
		}
	}
}

// A board beside the members is asked only where it is named.
func TestExtraMember(t *testing.T) {
	s := fixture()
	s.Members[1].Extra = true
	for text, want := range map[string][]int{
		"parts on VMAIN":                     {0},
		"parts on VMAIN in upper":            {1},
		"parts on VMAIN in Heron-A":          {1},
		"parts on VMAIN in Heron-A, Heron-B": {0, 1},
		`parts on VMAIN in "Heron-A rev 3"`:  {1},
		"parts on VMAIN in every board":      {0, 1},
		"parts on VMAIN not in Heron-A":      {0},
		"parts on VMAIN in HERON-a":          {1},
		"parts on VMAIN in board Heron-A":    {1},
		"parts on VMAIN in (upper or lower)": {0, 1},
	} {
		q, list := ask(text, s)
		if q == nil {
			t.Errorf("%s: %v", text, list)
			continue
		}
		if got := q.Set.(*Select).Members; !slices.Equal(got, want) {
			t.Errorf("%s: asked of %v, want %v", text, got, want)
		}
	}
}

// Every relation of the table is taken with every sort of thing it can tie.
func TestEveryUseIsChecked(t *testing.T) {
	names := map[words.Noun]string{words.Parts: "C12", words.Pins: "U300.A4", words.Nets: "VMAIN", words.Pads: "P1", words.Covers: "SH1",
		words.Branches: "VMAIN/1", words.Boards: "Heron-A", words.Groups: "IP1", words.Stacks: "Heron", words.Jobs: "1042"}
	count := 0
	for _, noun := range words.AllNouns() {
		for _, r := range noun.Relations() {
			for _, operand := range r.Operands(noun) {
				if names[operand] == "" {
					continue // suspects have no names
				}
				word := r.String()
				if r == words.Within {
					word = "within 3mm of"
				}
				text := fmt.Sprintf("%s %s %s", noun, word, names[operand])
				if ofJob(noun) && operand != words.Jobs {
					text += " in job 1042"
				}
				q, list := ask(text, fixture())
				if q == nil {
					t.Errorf("%s: %v", text, list)
					continue
				}
				count++
				if sel := q.Set.(*Select); ofJob(noun) && operand == words.Jobs {
					if !slices.Equal(sel.Jobs, []string{"1042"}) {
						t.Errorf("%s: of jobs %v", text, sel.Jobs)
					}
					continue
				}
				found := q.Set.(*Select).Where.(Related).Operand.(Names).List[0].Found
				if !slices.ContainsFunc(found, func(f Found) bool { return f.Noun == operand }) {
					t.Errorf("%s: %v", text, found)
				}
			}
		}
	}
	if count < 40 {
		t.Errorf("only %d uses", count)
	}
}

// Every field of the table can be shown, grouped by and sorted by, and every
// one that is a number can be compared in its unit.
func TestEveryFieldIsChecked(t *testing.T) {
	for _, noun := range words.AllNouns() {
		near := ""
		if noun == words.Parts || noun == words.Pins || noun == words.Pads {
			near = " within 1mm of C12"
		}
		for _, f := range words.FieldsOf(noun) {
			near := near
			if f.ID == words.Away {
				near = " joined to VMAIN"
			}
			text := fmt.Sprintf("%s%s with %s show %s by %s sorted by %s", noun, near, f, f, f, f)
			if q, list := ask(text, alone()); q == nil {
				t.Errorf("%s: %v", text, list)
			}
			if f.Type != words.Quantity || f.Unit == board.NoUnit {
				continue
			}
			text = fmt.Sprintf("%s%s with %s above 1%s", noun, near, f, likelyUnit[f.Unit])
			if q, list := ask(text, alone()); q == nil {
				t.Errorf("%s: %v", text, list)
			}
		}
	}
}

func TestOffers(t *testing.T) {
	for _, c := range []struct {
		text string
		want []string // the first of them
	}{
		{"parts on VM", []string{`"VM AIN"`, "VMAIN", "VMAIN/1"}},
		{"parts on on", []string{`"ON"`}},
		{"parts under s", []string{"shield", "sticker", "SH1", "SH2", "SH21", "ST1"}},
		{"pads in ", []string{"lower", "upper", "Heron-B", "Heron-A", "Grebe-A", "Grebe-B", "IP1"}},
		{"parts with va", []string{"value"}},
		{"parts with class = cap", []string{"capacitor"}},
		{"cap", []string{"capacitors"}},
		{"hid", []string{"hidden"}},
		{"covers over (parts on V", []string{`"VM AIN"`, "VBAT_1", "VBAT_2", "VBUS-", "VMAIN", "VRF", "VSYS"}},
		{"covers with risk is ", []string{"low", "medium", "high"}},
		{`parts on "vm`, []string{`"VM AIN"`, "VMAIN"}},
		{"total va", []string{"value"}},
		{"parts on VMAIN VM", nil},
		{"parts on VMAIN with value = 1", nil},
	} {
		at := syntax.At(c.text, len(c.text))
		var got []string
		if at.Slot != nil {
			for _, o := range Offers(fixture(), at.Slot, at.Prefix, 50) {
				got = append(got, o.Text)
			}
		}
		for _, w := range c.want {
			if !slices.Contains(got, w) {
				t.Errorf("%s: %s is not offered, but %v", c.text, w, got)
			}
		}
		if c.want == nil && got != nil {
			t.Errorf("%s: offers %v", c.text, got)
		}
	}
}

func FuzzCheck(f *testing.F) {
	for _, file := range []string{"typed.txtar", "errors/names.txtar", "errors/values.txtar", "errors/clauses.txtar", "errors/readings.txtar", "errors/sentences.txtar"} {
		archive, err := txtar.ParseFile(cases + file)
		if err != nil {
			f.Fatal(err)
		}
		for _, c := range archive.Files {
			text, _, _ := strings.Cut(string(c.Data), "\n")
			f.Add(text)
		}
	}
	one, both := alone(), fixture()
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 300 {
			return
		}
		for _, s := range []*Scope{one, both} {
			q, list := ask(text, s)
			if (q == nil) != list.HasErrors() {
				t.Fatalf("a question: %t, and complaints: %v", q != nil, list)
			}
			if q != nil && q.Set == nil && q.Route == nil {
				t.Fatal("a question without a set")
			}
			suggestionsHold(t, list, s)
		}
	})
}

// bigBoard has about the parts and nets of a handheld's logic board.
func bigBoard() *Scope {
	bu := board.NewBuilder(board.Ref{Name: "Big"})
	for i := range 5000 {
		p := bu.Part(fmt.Sprintf("C%d", i))
		bu.Connect(bu.Pin(p, "1"), bu.Net(fmt.Sprintf("NET_%d", i%3000)))
		bu.Connect(bu.Pin(p, "2"), bu.Net("GND"))
	}
	bu.Net("VMAIN")
	bu.Cover("SH1")
	return &Scope{Members: []Member{{Board: bu.Build()}}}
}

func BenchmarkCheck(b *testing.B) {
	s := bigBoard()
	for name, text := range map[string]string{
		"right":        "parts on VMAIN under shield or connector with value >= 10uF",
		"pattern":      "parts on NET_1*",
		"unknown name": "parts on VMIAN",
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				ask(text, s)
			}
		})
	}
}
