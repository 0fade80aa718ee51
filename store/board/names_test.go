package board

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var bareNames = []string{
	"VMAIN", "VDD_1V8", "/RESET#", "N$12", "VBUS-", "+3V3_AUX", "-RESET", "5V", "3V3", "0R", "12", "Net-(C12-Pad1)",
	"A.B", "$Net", "Ω", "データ", "~{CS}", "D+", "D-", "[0]", "{A}", "a\\b", "it's", "A(B)C(D)", "P&R", "50%",
}

var quotedNames = []string{
	"", "A B", "A,B", "(A)", "A(B", "A)B", "A((B))", "A(B C)", `A"B`, "A<B", "A>B", "A=B", "A!B", "A:B", "A;B", "#RESET",
	"A..B", "..", "VBAT*", "A?B", "A\tB", "A\u00a0B", "A\u202eB", "A\x80B", "A\u3000B", "*",
}

func TestBareName(t *testing.T) {
	for _, name := range bareNames {
		if !BareName(name) || QuoteName(name) != name {
			t.Errorf("%q needs quotes", name)
		}
	}
	for _, name := range quotedNames {
		if BareName(name) {
			t.Errorf("%q needs no quotes", name)
		}
	}
}

func TestQuoteName(t *testing.T) {
	for name, want := range map[string]string{
		"A B": `"A B"`, `A"B`: `"A\"B"`, `A \B`: `"A \\B"`, "": `""`, `\"`: `"\\\""`,
	} {
		if got := QuoteName(name); got != want {
			t.Errorf("QuoteName(%q) = %s; want %s", name, got, want)
		}
	}
	for _, name := range quotedNames {
		if back, ok := Unquote(QuoteName(name)); !ok || back != name {
			t.Errorf("%q comes back as %q, %v", name, back, ok)
		}
	}
}

func TestUnquoteRefuses(t *testing.T) {
	for _, s := range []string{``, `A`, `"`, `"A`, `"A"B`, `"A\"`, `"A\n"`, `"A\`, `A"`} {
		if name, ok := Unquote(s); ok {
			t.Errorf("%s is read as %q", s, name)
		}
	}
}

func FuzzQuoteName(f *testing.F) {
	for _, name := range append(bareNames, quotedNames...) {
		f.Add(name)
	}
	f.Fuzz(func(t *testing.T, name string) {
		text := QuoteName(name)
		if text == name {
			if !BareName(name) || strings.ContainsAny(name, " ,\"<>=!:*?\n\t") {
				t.Fatalf("%q is written bare", name)
			}
			return
		}
		if back, ok := Unquote(text); !ok || back != name {
			t.Fatalf("%q is written %s and comes back as %q", name, text, back)
		}
	})
}

func TestExpandRange(t *testing.T) {
	for _, test := range []struct {
		text  string
		names []string
	}{
		{"P11..P14", []string{"P11", "P12", "P13", "P14"}},
		{"A4..A7", []string{"A4", "A5", "A6", "A7"}},
		{"9..11", []string{"9", "10", "11"}},
		{"P08..P11", []string{"P08", "P09", "P10", "P11"}},
		{"P5..P5", []string{"P5"}},
		{"X1_P..X3_P", []string{"X1_P", "X2_P", "X3_P"}},
		{"N2$8..N2$10", []string{"N2$8", "N2$9", "N2$10"}},
	} {
		names, isRange, err := ExpandRange(test.text)
		if d := cmp.Diff(test.names, names); d != "" || !isRange || err != nil {
			t.Errorf("%s: %v, %v\n%s", test.text, isRange, err, d)
		}
	}
	for _, one := range []string{"P11", "", "A.B", "P11."} {
		if names, isRange, err := ExpandRange(one); len(names) != 1 || names[0] != one || isRange || err != nil {
			t.Errorf("%q is %q, %v, %v", one, names, isRange, err)
		}
	}
	if names, _, err := ExpandRange("P1..P4096"); len(names) != 4096 || err != nil {
		t.Errorf("4096 names are %d, %v", len(names), err)
	}
}

func TestExpandRangeFaults(t *testing.T) {
	for text, want := range map[string]string{
		"P14..P11":          `"P14..P11" runs backwards; expected the lower end first`,
		"P1..P4097":         `"P1..P4097" is more than 4096 names`,
		"P1..Q4":            `"P1..Q4" is no range of names; expected ends that differ in their number only, as in P11..P14`,
		"P11..14":           `"P11..14" is no range of names; expected ends that differ in their number only, as in P11..P14`,
		"P1A..P3B":          `"P1A..P3B" is no range of names; expected ends that differ in their number only, as in P11..P14`,
		"P..Q":              `"P..Q" is no range of names; expected a number at both ends, as in P11..P14`,
		"..":                `".." is no range of names; expected a number at both ends, as in P11..P14`,
		"P1..P2..P3":        `"P1..P2..P3" is no range of names; expected ends that differ in their number only, as in P11..P14`,
		"P8..P011":          `"P8..P011" has ends with different leading zeros; expected the same number of digits, as in P08..P11`,
		"P08..P110":         `"P08..P110" has ends with different leading zeros; expected the same number of digits, as in P08..P11`,
		"P1..P99999999999":  `"P1..P99999999999" is no range of names; expected a number at both ends, as in P11..P14`,
		"P1...P3":           `"P1...P3" is no range of names; expected ends that differ in their number only, as in P11..P14`,
		"P0..P999999999":    `"P0..P999999999" is more than 4096 names`,
		"P٣..P٥":            `"P٣..P٥" is no range of names; expected a number at both ends, as in P11..P14`,
		"P0000..P000000001": `"P0000..P000000001" has ends with different leading zeros; expected the same number of digits, as in P08..P11`,
	} {
		names, isRange, err := ExpandRange(text)
		if err == nil || err.Error() != want || !isRange || names != nil {
			t.Errorf("%s: %v, %v, %v; want the error %s", text, names, isRange, err, want)
		}
	}
}

func TestCompressRange(t *testing.T) {
	for _, test := range []struct{ names, want string }{
		{"P11 P12 P13 P14", "P11..P14"},
		{"P11 P12", "P11 P12"},
		{"1 2 3 5 6 8", "1..3 5 6 8"},
		{"P08 P09 P10 P11", "P08..P11"},
		{"P98 P99 P100", "P98..P100"},
		{"P098 P099 P100 P101", "P098..P101"},
		{"P08 P09 P10 P100", "P08..P10 P100"},
		{"P1 P01 P2 P3", "P1 P01 P2 P3"},
		{"A1 A2 A3 B1 B2 B3 GND", "A1..A3 B1..B3 GND"},
		{"3 2 1", "3 2 1"}, {"", ""},
	} {
		got := strings.Join(CompressRange(strings.Fields(test.names)), " ")
		if got != test.want {
			t.Errorf("%s is written %s; want %s", test.names, got, test.want)
		}
	}
	if got := CompressRange([]string{"A 1", "A 2", "A 3"}); len(got) != 3 {
		t.Errorf("names that need quotes are written %q", got)
	}
}

func FuzzCompressRange(f *testing.F) {
	f.Add("P11 P12 P13 P14 9 10 11 P08 P09 P10 A1B A2B A3B x..y")
	f.Add("P99 P100 P101 099 100 101")
	f.Fuzz(func(t *testing.T, text string) {
		names := strings.Fields(strings.ReplaceAll(text, "..", ""))
		var back []string
		for _, s := range CompressRange(names) {
			expanded, isRange, err := ExpandRange(s)
			if err != nil || isRange && len(expanded) < 3 {
				t.Fatalf("%s is %q, %v, %v", s, expanded, isRange, err)
			}
			back = append(back, expanded...)
		}
		if !slices.Equal(names, back) {
			t.Fatalf("%q come back as %q", names, back)
		}
	})
}
