package syntax

import (
	"fmt"
	"slices"
	"strings"

	"netlore/query/diag"
)

// habits are words that people bring along from elsewhere, and how the same is
// said here; "" is to leave them out. The longest that fits is taken.
var habits = [][2]string{
	{"&&", "and"}, {"&", "and"}, {"||", "or"}, {"|", "or"}, {"+", "and also"},
	{"order by", "sorted by"}, {"ordered by", "sorted by"}, {"sort by", "sorted by"}, {"sorted", "sorted by"}, {"sort", "sorted by"},
	{"group by", "by"}, {"grouped by", "by"}, {"per", "by"},
	{"desc", "descending"}, {"asc", "ascending"}, {"descending order", "descending"}, {"ascending order", "ascending"},
	{"limit", "first"}, {"top", "first"}, {"max", "first"}, {"head", "first"},
	{"reads", "reading"}, {"measuring", "reading"}, {"measures", "reading"}, {"with reading", "reading"}, {"where reading", "reading"}, {"caused by", "with culprit ="}, {"in jobs", "in job"}, {"with a reading", "reading"}, {"reading of", "reading"},
	{"during", "in"}, {"minus", "except"}, {"excluding", "except"}, {"but not", "except"}, {"but not", "and not"}, {"and not also", "except"}, {"less", "except"},
	{"union", "and also"}, {"plus", "and also"}, {"as well as", "and also"},
	{"intersect", "shared with"}, {"intersection", "shared with"}, {"in common with", "shared with"}, {"common with", "shared with"}, {"also in", "shared with"},
	{"greater than", "above"}, {"more than", "above"}, {"bigger than", "above"}, {"higher than", "above"}, {"larger than", "above"}, {"over", "above"},
	{"less than", "below"}, {"smaller than", "below"}, {"lower than", "below"}, {"fewer than", "below"}, {"under", "below"},
	{"greater than or equal to", "at least"}, {"less than or equal to", "at most"}, {"no more than", "at most"}, {"no less than", "at least"}, {"up to", "at most"},
	{"greater or equal", "at least"}, {"less or equal", "at most"}, {"minimum", "at least"}, {"maximum", "at most"}, {"least", "at least"}, {"most", "at most"},
	{"equals", "="}, {"equal to", "="}, {"equal", "="}, {"like", "="}, {"contains", "="}, {"matches", "="}, {"at", "="}, {"~", "="}, {":", "="},
	{"not equal to", "is not"}, {"isn't", "is not"}, {"isnt", "is not"}, {"not", "is not"},
	{"= >", ">="}, {"= <", "<="}, {"> =", ">="}, {"< =", "<="}, {"! =", "!="}, {"= =", "="}, {"= !", "!="},
	{"that are", ""}, {"which are", ""}, {"that is", ""}, {"which is", ""}, {"that", ""}, {"which", ""}, {"are", ""}, {"is", ""}, {"the", ""}, {"a", ""}, {"an", ""},
	{"that have", "with"}, {"which have", "with"}, {"having", "with"}, {"have", "with"}, {"has", "with"}, {"whose", "with"}, {"if", "with"}, {"when", "with"},
	{"connected to", "on"}, {"attached to", "on"}, {"tied to", "on"}, {"reached from", "joined to"}, {"via", "through"}, {"by way of", "through"}, {"across any", "through any"}, {"supplied by", "fed only by"}, {"fed by", "fed only by"},
	{"beneath", "under"}, {"below", "under"}, {"underneath", "under"}, {"covered by", "under"}, {"hidden by", "under"}, {"hidden under", "under"}, {"inside", "under"},
	{"above", "over"}, {"covering", "over"}, {"hiding", "over"}, {"on top of", "over"},
	{"near", "within 3mm of"}, {"close to", "within 3mm of"}, {"next to", "within 3mm of"}, {"around", "within 3mm of"}, {"beside", "within 3mm of"},
	{"opposite", "behind"}, {"on the other side of", "behind"}, {"across", "behind"}, {"back of", "behind"},
	{"belonging to", "of"}, {"from", "of"}, {"for", "of"}, {"from", "in"}, {"for", "in"}, {"on board", "in"},
	{"no", "without"}, {"lacking", "without"}, {"missing", "without"}, {"not with", "without"}, {"with no", "without"}, {"without any", "without"},
	{"with missing", "without"}, {"is null", "is unknown"}, {"is missing", "is unknown"}, {"columns", "show"}, {"display", "show"}, {"print", "show"},
	{"named", "with name ="}, {"called", "with name ="}, {"like", "with name ="},
	{"bigger than", "with value above"}, {"larger than", "with value above"}, {"greater than", "with value above"}, {"more than", "with value above"}, {"over", "with value above"}, {"above", "with value above"},
	{"smaller than", "with value below"}, {"less than", "with value below"}, {"under", "with value below"}, {"below", "with value below"},
	{"each board", "every board"}, {"all boards", "every board"}, {"any board", "every board"},
}

// slang are short words of the trade for nouns of the language.
var slang = [][2]string{
	{"caps", "capacitors"}, {"cap", "capacitors"}, {"res", "resistors"}, {"coils", "inductors"}, {"coil", "inductors"}, {"chokes", "inductors"}, {"ferrites", "beads"}, {"ferrite beads", "beads"},
	{"ics", "chips"}, {"ic", "chips"}, {"fets", "transistors"}, {"mosfets", "transistors"}, {"xtals", "crystals"}, {"components", "parts"}, {"devices", "parts"}, {"everything", "parts"}, {"anything", "parts"}, {"things", "parts"},
	{"signals", "nets"}, {"lines", "nets"}, {"rails", "power nets"}, {"supplies", "power nets"}, {"cans", "shields"}, {"can", "shield"}, {"lids", "covers"}, {"lid", "any cover"}, {"measurements", "readings"}, {"repairs", "jobs"}, {"tickets", "jobs"},
}

// openers are what people begin a question with elsewhere.
var openers = [][2]string{
	{"select * from", ""}, {"select", ""}, {"list all", ""}, {"list", ""}, {"find all", ""}, {"find", ""}, {"get", ""}, {"give me", ""}, {"give", ""},
	{"show me all", ""}, {"show me", ""}, {"show all", ""}, {"show", ""}, {"display", ""}, {"print", ""}, {"what are", ""}, {"what", ""}, {"which", ""}, {"where are", ""}, {"all the", ""}, {"all", ""}, {"the", ""}, {"every", ""}, {"any", ""},
	{"not measured", "unmeasured"}, {"next tests", "tests"}, {"best test", "tests"}, {"best tests", "tests"}, {"what is", "parts"}, {"closed jobs", "jobs with closed"}, {"next test", "tests"}, {"steps", "observations"}, {"history of", "observations of"},
	{"how many", "count"}, {"number of", "count"}, {"sum of", "total"}, {"sum", "total"}, {"max", "greatest"}, {"maximum", "greatest"}, {"largest", "greatest"}, {"highest", "greatest"}, {"biggest", "greatest"},
	{"min", "least"}, {"minimum", "least"}, {"smallest", "least"}, {"lowest", "least"}, {"what's", "parts"}, {"whats", "parts"}, {"average", "mean"}, {"avg", "mean"}, {"path from", "route from"}, {"routes from", "route from"}, {"paths from", "route from"}, {"way from", "route from"}, {"shortest route from", "route from"}, {"explain", "plan of"}, {"maybe", "possibly"}, {"perhaps", "possibly"},
}

// habit is one that was found in a text: the words at tokens[from:to], and what
// to say instead.
type habit struct {
	from, to int
	instead  string
}

// habitsAt finds the habits among whose words is token bad, longest first.
// Openers count where a question begins, or one in brackets.
func habitsAt(tokens []token, bad int) []habit {
	var found []habit
	for size := 6; size > 0; size-- {
		for from := max(0, bad-size+1); from <= bad && from+size <= len(tokens); from++ {
			table := habits
			if from == 0 || tokens[from-1].text == "(" {
				table = openers
			}
			for _, list := range [][][2]string{table, slang} {
				for _, h := range list {
					if said(tokens[from:from+size], h[0]) {
						found = append(found, habit{from, from + size, h[1]})
					}
				}
			}
		}
	}
	return found
}

// said reports whether the tokens are these words.
func said(tokens []token, phrase string) bool {
	for _, t := range tokens {
		word, rest, _ := strings.Cut(phrase, " ")
		if !t.is(word) {
			return false
		}
		phrase = rest
	}
	return phrase == ""
}

// habit words what is said differently elsewhere.
func (l look) habit() (complaint, bool) {
	for _, near := range []int{l.bad, l.bad - 1, l.bad + 1} {
		if c, ok := l.habitAt(near); ok {
			return c, true
		}
	}
	return complaint{}, false
}

// habitAt looks for habits that the token is a part of.
func (l look) habitAt(i int) (complaint, bool) {
	if i < 0 || i >= len(l.tokens) {
		return complaint{}, false
	}
	for _, h := range habitsAt(l.tokens, i) {
		if f := l.replace(h.from-l.bad, h.to-l.bad, h.instead); f.plausible() {
			return l.withFixes(l.habitComplaint(h), f), true
		}
	}
	return complaint{}, false
}

// Habit explains a word of a question that parses but means nothing, if it is
// one that people bring along from elsewhere and another would do.
func (s *Shelf) Habit(text string, at int) (diag.Diagnostic, bool) {
	l := look{text: text, tokens: tokenize(text), at: at, shelf: s}
	l.bad = indexAt(l.tokens, at)
	c, ok := l.habitAt(l.bad)
	return c.Diagnostic, ok
}

func (l look) habitComplaint(h habit) complaint {
	found := l.text[l.tokens[h.from].rng.Start:l.tokens[h.to-1].rng.End]
	message := fmt.Sprintf("%s is said as %s here", diag.Quote(found), diag.Quote(h.instead))
	if h.instead == "" {
		message = diag.Quote(found) + " is not needed here"
	}
	c := l.complaint("Q15", message)
	c.Range = diag.Range{Start: l.tokens[h.from].rng.Start, End: l.tokens[h.to-1].rng.End}
	return c
}

func (l look) habitFixes() []fix {
	var fixes []fix
	for _, h := range habitsAt(l.tokens, l.bad) {
		fixes = append(fixes, l.replace(h.from-l.bad, h.to-l.bad, h.instead))
	}
	return fixes
}

func (l look) habitParses() bool { return slices.ContainsFunc(l.habitFixes(), fix.plausible) }
