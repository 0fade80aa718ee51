package scpi

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"netlore/query/diag"
)

func helpOf(err error) []string {
	var d diag.Diagnostic
	errors.As(err, &d)
	return append(d.Help, "")
}

func answer(text string) Answer {
	return Answer{To: "READ?", From: "the meter at 10.0.0.7:5025", Text: text}
}

// TestParseNumber reads the forms of IEEE 488.2, 8.7.2 to 8.7.4 (value from
// memory), the form SD.DDDDDDDDESDD of meters' manuals, and the overloads: the
// instruments' manuals have 9.9E37 and 9.91E37.
func TestParseNumber(t *testing.T) {
	for text, want := range map[string]Number{
		"412": {Coef: 412}, "-0": {}, "+007": {Coef: 7}, "0.412": {Coef: 412, Exp: -3}, "-.5": {Coef: -5, Exp: -1}, "5.": {Coef: 5},
		"+4.12000000E-01": {Coef: 412, Exp: -3}, "1e3": {Coef: 1, Exp: 3}, " 2.50E+00\t": {Coef: 25, Exp: -1}, "0E999999999": {},
		"123456789012345678": {Coef: 123456789012345678}, "1234567890123456780": {Coef: 123456789012345678, Exp: 1},
		"0.000000000000000000001": {Coef: 1, Exp: -21}, "100000000000000000000": {Coef: 1, Exp: 20},
		"+9.90000000E+37": {Kind: Over}, "9.9E37": {Kind: Over}, "9.8999999E37": {Kind: Over}, "-9.9E37": {Kind: Under},
		"9.91E37": {Kind: NotANumber}, "+9.91000000E+37": {Kind: NotANumber}, "9.88E37": {Coef: 988, Exp: 35},
		"INF": {Kind: Over}, "ninf": {Kind: Under}, "NAN": {Kind: NotANumber}, "OL": {Kind: Over},
	} {
		n, err := ParseNumber(answer(text))
		if err != nil || n != want {
			t.Errorf("%q: got %+v, %v; want %+v", text, n, err, want)
		}
	}
}

func TestParseNumberRefuses(t *testing.T) {
	for _, c := range []struct {
		text, code string
		column     int
	}{
		{"", "M202", 1}, {"   ", "M202", 1}, {"VOLT", "M202", 1}, {"+", "M202", 1}, {".", "M202", 1}, {"1.2x3E-01", "M202", 4}, {"4.1 V", "M202", 4},
		{"1E", "M202", 2}, {"1E+", "M202", 2}, {"1.2.3", "M202", 4}, {"0,412", "M205", 2}, {"+1.0E+00VDC,+12.3SECS", "M202", 9}, {"+1.0E+00,+12.3", "M205", 9},
		{"#18abcdefgh", "M206", 1}, {"1E400", "M202", 1}, {"1234567890123456789", "M202", 1}, {"0x12", "M202", 2}, {"\"4.1\"", "M202", 1}, {"4\x00", "M202", 2},
		{"1e-99999999999999999999", "M202", 1},
	} {
		_, err := ParseNumber(answer(c.text))
		var d diag.Diagnostic
		if !errors.As(err, &d) || d.Code != c.code || d.Column != c.column || d.File != "answer to READ?" {
			t.Errorf("%q: got %v, want %s at column %d", c.text, err, c.code, c.column)
		}
	}
}

// FuzzParseNumber holds what is read against strconv, and every complaint to a
// place in the line.
func FuzzParseNumber(f *testing.F) {
	for _, s := range []string{"412", "+4.12E-01", "9.9E37", "-9.9E37", "9.91E37", "0,4", "#14", ".", "1E99999", "-.5e+3", "00000000000000000000001.50"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		n, err := ParseNumber(answer(text))
		var d diag.Diagnostic
		switch {
		case errors.As(err, &d):
			if d.Line != 1 || d.Column < 1 || d.Column > len(text)+1 || len(d.Excerpt) > 240 {
				t.Errorf("%q: complaint at %d:%d", text, d.Line, d.Column)
			}
			return
		case n.Kind != Finite:
			return
		}
		want, err := strconv.ParseFloat(strings.Trim(text, " \t"), 64)
		if err != nil || want != n.Float() && math.Abs(want) > 0 {
			t.Errorf("%q: got %v, want %v, %v", text, n.Float(), want, err)
		}
		if n.Coef != 0 && n.Coef%10 == 0 {
			t.Errorf("%q: %+v is not in normal form", text, n)
		}
	})
}

func TestParseIdentity(t *testing.T) {
	for text, want := range map[string]Identity{
		"Plover,P60,4711,1.02":        {"Plover", "P60", "4711", "1.02"},
		"Plover Works, S2 ,0,0":       {"Plover Works", "S2", "", ""},
		"Plover,P60,,1.02,boot 3,x;y": {"Plover", "P60", "", "1.02,boot 3,x;y"},
	} {
		if got, err := ParseIdentity(answer(text)); err != nil || got != want {
			t.Errorf("%q: got %+v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "Plover", "Plover,P60,1", ",P60,1,2", "Plover,,1,2", "Plo\x1bver,P60,1,2", "Plover,P60," + strings.Repeat("9", 200) + ",1", "Plöver,P60,1,2"} {
		if _, err := ParseIdentity(answer(text)); CodeOf(err) != "M203" {
			t.Errorf("%q: got %v, want M203", text, err)
		}
	}
}

// TestParseEntry reads entries in the forms that instruments' manuals show.
func TestParseEntry(t *testing.T) {
	for text, want := range map[string]Entry{
		`+0,"No error"`: {0, "No error"}, `0,"No error"`: {0, "No error"}, `-113,"Undefined header;FOO"`: {-113, "Undefined header;FOO"},
		`-222, "He said ""no"""`: {-222, `He said "no"`}, "512,Calibration lost": {512, "Calibration lost"},
	} {
		if got, err := ParseEntry(answer(text)); err != nil || got != want {
			t.Errorf("%s: got %+v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "0", "-113", `-113,`, `-113,"Undefined`, `x,"No error"`, `1.5,"a"`, `99999999999,"a"`, `-1,"a" b"`, "-1,\"\x07\"", `-1,""`} {
		if _, err := ParseEntry(answer(text)); CodeOf(err) != "M204" {
			t.Errorf("%s: got %v, want M204", text, err)
		}
	}
}

func FuzzParseText(f *testing.F) {
	for _, s := range []string{`-113,"Undefined header"`, "a,b,c,d", `"DIOD"`, "VOLT:DC", `""""`, `"`} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if e, err := ParseEntry(answer(text)); err == nil && (e.Text == "" || !printable(e.Text)) {
			t.Errorf("%q: entry %+v", text, e)
		}
		if i, err := ParseIdentity(answer(text)); err == nil && !printable(i.String()) {
			t.Errorf("%q: identity %+v", text, i)
		}
		if w, ok := ParseWord(answer(text)); ok && !printable(w) {
			t.Errorf("%q: word %q", text, w)
		}
		if _, err := ParseTruth(answer(text)); err != nil && CodeOf(err) != "M207" {
			t.Errorf("%q: %v", text, err)
		}
	})
}

func TestParseWord(t *testing.T) {
	for text, want := range map[string]string{`"DIOD"`: "DIOD", " FRES ": "FRES", `"VOLT:DC"`: "VOLT:DC", `"a""b"`: `a"b`} {
		if got, ok := ParseWord(answer(text)); !ok || got != want {
			t.Errorf("%s: got %q, %v", text, got, ok)
		}
	}
	for _, text := range []string{"", `"`, `""`, `"a" "b"`, "a,b", "#14", "a;b"} {
		if got, ok := ParseWord(answer(text)); ok {
			t.Errorf("%s: got %q", text, got)
		}
	}
}

func TestIs(t *testing.T) {
	for word, want := range map[string]bool{"FRES": true, "fres": true, "FRESistance": true, "FRESIST": false, "RES": false, "": false} {
		if Is(word, "FRESistance") != want {
			t.Errorf("%q is FRESistance: %v", word, !want)
		}
	}
}

// TestNewQuery is the promise that a Reader can only ask.
func TestNewQuery(t *testing.T) {
	for _, text := range []string{"*IDN?", "READ?", "MEAS:VOLT?", ":SOURce:VOLTage:LEVel?", "SYST:ERR?", "OUTP1?"} {
		if q, err := NewQuery(text); err != nil || q.String() != text {
			t.Errorf("%s: %v, %v", text, q, err)
		}
	}
	for _, text := range []string{"", "?", "OUTP ON", "OUTP ON;OUTP?", "OUTP ON\nOUTP?", "OUTP?\nOUTP ON", "OUTP? ON", "VOLT 5;?", "*RST", "*RST;*IDN?", "OUTP\rON?",
		"*TST?", "*tst?", "*CAL?", "CAL?", ":CALibration:ALL?", "TEST:ALL?", "INIT?", "*IDN?;", "OUTP\tON?", "A??", "ÖUTP?", "OUTP::STAT?", strings.Repeat("A:", 90) + "A?"} {
		if _, err := NewQuery(text); CodeOf(err) != "M401" {
			t.Errorf("%q may be sent: %v", text, err)
		}
	}
}

func FuzzNewQuery(f *testing.F) {
	f.Add("*IDN?")
	f.Add("VOLT 5;VOLT?")
	f.Fuzz(func(t *testing.T, text string) {
		q, err := NewQuery(text)
		if err == nil && (strings.IndexByte(q.text, '?') != len(q.text)-1 || strings.ContainsAny(q.text, " \t\r\n;,")) {
			t.Errorf("%q may be sent", q.text)
		}
	})
}

// TestEveryCodeIsExplained compares the codes in the source, here and below,
// with the explanations.
func TestEveryCodeIsExplained(t *testing.T) {
	used := map[string]bool{}
	for _, pattern := range []string{"*.go", "*/*.go"} {
		files, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			if strings.HasSuffix(f, "_test.go") || f == "explain.go" {
				continue
			}
			text, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range regexp.MustCompile(`"(M[0-9]{3})"`).FindAllStringSubmatch(string(text), -1) {
				used[m[1]] = true
			}
		}
	}
	for code := range explanations {
		if !used[code] {
			t.Errorf("%s is explained, but nothing complains with it", code)
		}
	}
	for code := range used {
		if _, ok := Explain(code); !ok {
			t.Errorf("%s is not explained", code)
		}
	}
}
