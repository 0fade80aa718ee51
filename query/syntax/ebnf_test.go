package syntax

import (
	"flag"
	"math/rand/v2"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the golden files anew")

// samples stand for the terminals that grammar.ebnf does not spell out.
var samples = map[string][]string{
	"noun":      {"parts", "nets", "covers", "Capacitors", "0ohm", "shields"},
	"adjective": {"hidden", "power", "Top"},
	"kind":      {"inductors", "0ohm", "any", "bead"},
	"field":     {"value", "name", "class", "cover"},
	"leader":    {"any", "every", "net", "power", "job"},
	"name":      {"VMAIN", "5V", "0R", "N$12", "/RESET#", "Net-(C12-Pad1)", "VBUS-", "+3V3_AUX", "P11..P14", "VBAT*", "lower:VMAIN", `"ON"`, `upper:"a b"`, "shield", "net"},
	"tolerance": {"±8%", "+-20mV", "+/-1V"},
	"width":     {"15%", "20mV"},
	"number":    {"4", "3.5mm"},
	"count":     {"5"},
}

// TestGrammarIsWhatIsParsed derives random questions from the written grammar:
// the parser takes all of them, prints them, and reads what it printed.
func TestGrammarIsWhatIsParsed(t *testing.T) {
	rules := readEBNF(t, "grammar.ebnf")
	r := rand.New(rand.NewPCG(1, 2))
	seen := map[string]bool{}
	for range 900 {
		d := deriver{rules: rules, rand: r}
		d.rule("question", 0)
		text := strings.Join(d.out, " ")
		if len(d.out) > 300 || seen[text] || ofRegion.MatchString(text) {
			continue
		}
		seen[text] = true
		q, at := parse(text)
		if at >= 0 {
			t.Fatalf("not read from byte %d (%q): %s", at, text[at:min(at+20, len(text))], text)
		}
		samePrinted(t, q)
	}
	if len(seen) < 300 {
		t.Errorf("only %d different questions were derived", len(seen))
	}
}

// ofRegion is a region and an of behind it, which says of which board the region
// is: the grammar in its notation has it as a phrase of its own, too.
var ofRegion = regexp.MustCompile(`(top|bottom|left|right|middle|box( (4|3\.5mm|,))+) of `)

// TestEveryRuleIsReached guards the test above against a grammar file that is
// not looked at.
func TestEveryRuleIsReached(t *testing.T) {
	rules := readEBNF(t, "grammar.ebnf")
	d := deriver{rules: rules, rand: rand.New(rand.NewPCG(3, 4)), used: map[string]bool{}}
	for range 500 {
		d.out = nil
		d.rule("question", 0)
	}
	for name := range rules {
		if !d.used[name] {
			t.Errorf("rule %s is never used", name)
		}
	}
}

// TestParserGrammar keeps the grammar as the parser prints it, so that a change
// shows.
func TestParserGrammar(t *testing.T) {
	golden(t, "testdata/parser.ebnf", library().String()+"\n")
}

func golden(t *testing.T, file, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), got); d != "" {
		t.Errorf("%s (-update writes it anew):\n%s", file, d)
	}
}

var ebnfToken = regexp.MustCompile(`"[^"]*"|[a-z]+|[][{}()|=;]`)

// readEBNF reads the rules of a grammar as lists of tokens.
func readEBNF(t *testing.T, file string) map[string][]string {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	plain := regexp.MustCompile(`(?s)\(\*.*?\*\)`).ReplaceAllString(string(text), "")
	rules := map[string][]string{}
	tokens := ebnfToken.FindAllString(plain, -1)
	for len(tokens) > 0 {
		end := 2
		for tokens[end] != ";" {
			end++
		}
		rules[tokens[0]] = tokens[2:end]
		tokens = tokens[end+1:]
	}
	return rules
}

// deriver writes a random sentence.
type deriver struct {
	rules map[string][]string
	rand  *rand.Rand
	out   []string
	used  map[string]bool
}

func (d *deriver) rule(name string, depth int) {
	if d.used != nil {
		d.used[name] = true
	}
	if body, ok := d.rules[name]; ok {
		d.choice(body, depth+1)
		return
	}
	list := samples[name]
	d.out = append(d.out, list[d.rand.IntN(len(list))])
}

// choice picks one of the alternatives of a body; deep down the first that has
// no question in it.
func (d *deriver) choice(body []string, depth int) {
	alternatives := split(body)
	pick := alternatives[d.rand.IntN(len(alternatives))]
	for try := 0; depth > 12 && try < 20 && strings.Contains(strings.Join(pick, " "), `"("`); try++ {
		pick = alternatives[d.rand.IntN(len(alternatives))]
	}
	for len(pick) > 0 {
		pick = d.item(pick, depth)
	}
}

// item writes the first item of a sequence and returns the rest.
func (d *deriver) item(seq []string, depth int) []string {
	switch seq[0] {
	case "[", "{", "(":
		end := closing(seq)
		times := 1
		if seq[0] != "(" {
			times = d.rand.IntN(2 + depth%2)
		}
		if seq[0] == "[" || depth > 10 && seq[0] != "(" {
			times = min(times, 1)
		}
		for range times {
			d.choice(seq[1:end], depth)
		}
		return seq[end+1:]
	}
	if seq[0][0] == '"' {
		d.out = append(d.out, strings.Trim(seq[0], `"`))
	} else {
		d.rule(seq[0], depth)
	}
	return seq[1:]
}

// closing is the index of the bracket that closes the first.
func closing(seq []string) int {
	open := 0
	for i, t := range seq {
		switch t {
		case "[", "{", "(":
			open++
		case "]", "}", ")":
			open--
		}
		if open == 0 {
			return i
		}
	}
	return len(seq)
}

// split gives the alternatives of a body.
func split(body []string) [][]string {
	var list [][]string
	open, from := 0, 0
	for i, t := range body {
		switch t {
		case "[", "{", "(":
			open++
		case "]", "}", ")":
			open--
		case "|":
			if open == 0 {
				list = append(list, body[from:i])
				from = i + 1
			}
		}
	}
	return append(list, body[from:])
}
