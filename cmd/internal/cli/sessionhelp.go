package cli

import (
	"fmt"
	"strings"

	"netlore/query/diag"
	"netlore/query/syntax"
	"netlore/query/words"
	"netlore/store/board"
)

// help tells about a word of the language, a saved question or a command.
func (s *session) help(word string) error {
	if word == "" {
		return s.app.print(wordsText() + "\nhelp WORD tells about one of them. " + shellHelp)
	}
	for _, q := range s.questions {
		if strings.EqualFold(q.Name, word) {
			return runSaved(s.app.ctx, s.app, []string{q.Name})
		}
	}
	if text := helpOn(strings.ToLower(word)); text != "" {
		return s.app.print(text)
	}
	var help []string
	for _, near := range diag.Closest(word, helpWords()) {
		help = append(help, "did you mean: help "+near)
	}
	return hint(fmt.Errorf("%s is no word of the language", diag.Quote(word)), append(help, "help lists them")...)
}

const shellHelp = `The last answer is called it. Besides questions the
shell understands: on BOARD, save NAME QUESTION, saved, forget NAME, explain CODE, quit.
`

// helpOn is what there is to say about a word.
func helpOn(word string) string {
	var s strings.Builder
	helpNoun(&s, word)
	if a, ok := words.AdjectiveByWord(word); ok {
		fmt.Fprintf(&s, "%s  before %s: %s\n", a, nounList(a.Nouns()), a.Doc())
	}
	helpRelation(&s, word)
	helpField(&s, word)
	if text, ok := otherWords[word]; ok {
		s.WriteString(word + "  " + text + "\n")
	}
	return s.String()
}

func helpNoun(s *strings.Builder, word string) {
	n, ok := words.NounByWord(word)
	if !ok {
		if n, ok = words.NounBySingular(word); ok && n.Doc() == "" {
			return
		}
	}
	if k, kind := words.KindByWord(word); kind {
		fmt.Fprintf(s, "%s  parts of that class\n", k)
		n, ok = words.Parts, true
	} else if _, cover := words.CoverKindByPlural(word); cover {
		fmt.Fprintf(s, "%s  covers of that kind\n", word)
		n, ok = words.Covers, true
	} else if ok {
		fmt.Fprintf(s, "%s  %s\n", n, n.Doc())
	}
	if !ok {
		return
	}
	var fields, relations []string
	for _, f := range words.FieldsOf(n) {
		fields = append(fields, f.Word)
	}
	for _, r := range n.Relations() {
		relations = append(relations, r.String()+" "+nounList(r.Operands(n)))
	}
	fmt.Fprintf(s, "  can be followed by: %s\n  fields to show, compare and sort by: %s\n", strings.Join(relations, "; "), strings.Join(fields, ", "))
}

func helpRelation(s *strings.Builder, word string) {
	for _, r := range words.AllRelations() {
		if first, _, _ := strings.Cut(r.String(), " "); r.String() != word && first != word {
			continue
		}
		fmt.Fprintf(s, "%s  %s\n", r, r.Doc())
		for _, n := range words.AllNouns() {
			if to := r.Operands(n); to != nil {
				fmt.Fprintf(s, "  %s %s %s\n", n, r, nounList(to))
			}
		}
	}
}

func helpField(s *strings.Builder, word string) {
	var of []string
	for _, n := range words.AllNouns() {
		if _, ok := words.FieldByWord(n, word); ok {
			of = append(of, n.String())
		}
	}
	if of != nil {
		fmt.Fprintf(s, "%s  a field of %s: show %s, sorted by %s, with unknown %s\n", word, strings.Join(of, ", "), word, word, word)
	}
}

func nounList(nouns []words.Noun) string {
	var list []string
	for _, n := range nouns {
		list = append(list, n.Singular())
	}
	return diag.OneOf(list...)
}

// otherWords are the words that the tables of the language do not explain.
var otherWords = map[string]string{
	"and": "between two things said of one noun, which must both hold: parts on VMAIN and on GND", "or": "between two of which one will do: parts on VMAIN or under SH2",
	"not": "denies one thing said: parts on VMAIN not under any cover", "also": "and also: the things of one question and of another",
	"except": "the things of one question that are none of another: parts on VMAIN except capacitors", "shared": "shared with: the things of both of two questions",
	"with": "compares a field: capacitors with value at least 10uF; with a field alone: there is one", "where": "the same as with", "without": "there is no such field: power nets without expected",
	"show": "the columns of the answer: parts on VMAIN show name, value", "by": "a row for each: count parts on VMAIN by cover", "sorted": "sorted by: the order of the rows, ascending or descending",
	"first": "only so many rows, from the top: first 5", "unknown": "with unknown value: nobody has said", "possibly": "in front: what may belong to the answer as well, and what is missing to tell",
	"count": "in front: how many", "total": "in front, with a field and of: the sum: total value of capacitors on VMAIN", "least": "in front, with a field and of: the smallest",
	"greatest": "in front, with a field and of: the largest", "mean": "in front, with a field and of: the mean", "median": "in front, with a field and of: the one in the middle",
	"plan": "plan of (QUESTION): how it is worked out, and how long that takes", "any": "any cover, any net: whichever", "every": "in every board: all boards of the base are asked",
	"is": "a comparison; is not denies it", "at": "at least, at most: a comparison", "above": "a comparison: more than", "below": "a comparison: less than", "between": "between 1uF and 10uF, both included",
	"for": "the values of a saved question: suspectcaps for VMAIN, 10uF", "it": "the last answer: it under shield", "from": "where a route or a supply begins", "to": "where a route ends", "through": "the parts that a trace may cross: through inductors, beads or 0ohm",
	"route": "route from PLACE to PLACE: a path with its parts", "why": "why NAME in (QUESTION): the evidence; why not NAME in (QUESTION): what is missing", "reading": "readings of pads or nets compared with what is expected: reading below expected by 15%",
	"as": "kept for a later version", "help": "help WORD tells about a word", "on NAME": "chooses the board or stack that is asked", "save": "save NAME QUESTION keeps a question; save NAME keeps the last one", "saved": "lists the saved questions",
	"forget": "forget NAME withdraws a saved question", "explain": "explain CODE tells more about a complaint", "quit": "leaves, as Ctrl-D does", "exit": "the same as quit",
}

// helpWords are all words that help knows.
func helpWords() []string {
	all := append(syntax.Heads(), words.Reserved()...)
	for _, n := range words.AllNouns() {
		for _, f := range words.FieldsOf(n) {
			all = append(all, f.Word)
		}
	}
	for w := range otherWords {
		all = append(all, w)
	}
	for _, k := range board.Classes() {
		all = append(all, k.Plural())
	}
	return all
}
