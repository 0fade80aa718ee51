package syntax

import (
	"fmt"
	"reflect"
	"strings"
	"sync"

	"netlore/query/words"
)

// The tags in grammar.go are written in the notation of the participle library:
//
//	'word'  Kind     a token: a word or mark of the language, or any of a sort
//	@'word'  @( … )  tokens, kept in the field
//	@@               what the type of the field describes, kept in the field
//	( … | … )  ?  *  +
//	(?= … )  (?! … ) only if this comes next, only if it does not
//
// They are turned into steps, once, and a reader goes through the steps.

// operation is what a step does.
type operation uint8

const (
	oneToken operation = iota
	inOrder
	firstOf
	atMostOnce
	anyTimes
	atLeastOnce
	keepTokens
	keepNode
	aNode    // what the tags of a type say
	readNode // a type that reads itself
	ifNext
	unlessNext
)

// step is a piece of a grammar.
type step struct {
	operation
	parts  []*step
	begins tokenSet
	// sure tells that the step is absent, and no more than that, where the next
	// token is none of begins.
	sure  bool
	known bool         // begin was called
	node  reflect.Type // of a node
	self  selfReader   // of a node that reads itself: an empty one
	field int          // of a keep, in the type that it is a part of
	sort  fieldSort
}

// selfReader is a node that is read without tags. It may be asked to read only
// where begins says that it may begin, and gives the number of tokens that it
// took; 0 if it is not there.
type selfReader interface {
	begins(token) bool
	read([]token) int
}

// grammar is what the tags say.
type grammar struct {
	question *step
	words    map[string]knownWord // words of the language and marks, in small letters
	nodes    map[reflect.Type]*step
	steps    []*step
	last     uint8 // number of a word
}

// theGrammar is built when the first question is read.
var theGrammar = sync.OnceValue(buildGrammar)

func buildGrammar() *grammar {
	g := &grammar{words: map[string]knownWord{}, nodes: map[reflect.Type]*step{}}
	for word, duty := range words.Duties() {
		g.words[word] = knownWord{kind: kindOf[duty]}
	}
	g.question = g.nodeOf(reflect.TypeFor[Question]())
	for _, s := range g.steps {
		s.begin()
	}
	return g
}

func (g *grammar) step(s step) *step {
	g.steps = append(g.steps, &s)
	return &s
}

// nodeOf is the step that reads a value of a type.
func (g *grammar) nodeOf(t reflect.Type) *step {
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice {
		t = t.Elem()
	}
	if s, ok := g.nodes[t]; ok {
		return s
	}
	s := g.step(step{operation: aNode, node: t})
	g.nodes[t] = s
	if self, ok := reflect.New(t).Interface().(selfReader); ok {
		s.operation, s.self = readNode, self
		return s
	}
	n := notation{grammar: g, of: t}
	for i := range t.NumField() {
		n.add(t.Field(i).Tag.Get("parser"), i)
	}
	s.parts = []*step{n.alternatives()}
	if len(n.rest) > 0 {
		n.fail(n.peek())
	}
	return s
}

// symbol is a piece of a tag.
type symbol struct {
	text  string
	field int
}

// notation is the tags of one type, from where they are not yet read.
type notation struct {
	*grammar
	of   reflect.Type
	rest []symbol
}

// add cuts a tag into symbols.
func (n *notation) add(tag string, field int) {
	for tag = strings.TrimSpace(tag); tag != ""; tag = strings.TrimSpace(tag) {
		size := 1
		switch c := tag[0]; {
		case c == '\'':
			if size = strings.IndexByte(tag[1:], '\'') + 2; size < len("'x'") {
				n.fail(tag)
			}
		case strings.HasPrefix(tag, "(?"):
			size = len("(?=")
		case strings.HasPrefix(tag, "@@"):
			size = len("@@")
		case 'A' <= c && c <= 'Z':
			size = len(tag) - len(strings.TrimLeft(tag, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"))
		}
		n.rest = append(n.rest, symbol{tag[:size], field})
		tag = tag[size:]
	}
}

// fail ends the building of a grammar, as only a wrong tag can.
func (n *notation) fail(at string) {
	panic(fmt.Sprintf("the grammar of %s is wrong at %q", n.of.Name(), at))
}

// peek is the next symbol, or nothing at the end.
func (n *notation) peek() string {
	if len(n.rest) == 0 {
		return ""
	}
	return n.rest[0].text
}

// next takes a symbol if it is this one.
func (n *notation) next(text string) bool {
	if n.peek() != text {
		return false
	}
	n.rest = n.rest[1:]
	return true
}

func (n *notation) alternatives() *step {
	s := n.step(step{operation: firstOf, parts: []*step{n.sequence()}})
	for n.next("|") {
		s.parts = append(s.parts, n.sequence())
	}
	if len(s.parts) == 1 {
		return s.parts[0]
	}
	return n.merged(s)
}

// merged is one step for alternatives of which each is one token.
func (n *notation) merged(s *step) *step {
	one := n.step(step{operation: oneToken})
	for _, p := range s.parts {
		if p.operation != oneToken {
			return s
		}
		one.begins.add(p.begins)
	}
	return one
}

func (n *notation) sequence() *step {
	s := n.step(step{operation: inOrder})
	for next := n.peek(); next != "" && next != "|" && next != ")"; next = n.peek() {
		s.parts = append(s.parts, n.repeated(n.term()))
	}
	switch len(s.parts) {
	case 0:
		n.fail(n.peek())
	case 1:
		return s.parts[0]
	}
	return s
}

func (n *notation) repeated(s *step) *step {
	switch {
	case n.next("?"):
		return n.step(step{operation: atMostOnce, parts: []*step{s}})
	case n.next("*"):
		return n.step(step{operation: anyTimes, parts: []*step{s}})
	case n.next("+"):
		return n.step(step{operation: atLeastOnce, parts: []*step{s}})
	}
	return s
}

var openings = map[string]operation{"(?=": ifNext, "(?!": unlessNext}

func (n *notation) term() *step {
	if n.peek() == "" {
		n.fail("")
	}
	first := n.rest[0]
	n.rest = n.rest[1:]
	kind, isKind := kindNames[first.text]
	switch {
	case isKind:
		return n.step(step{operation: oneToken, begins: tokenSet{kinds: 1 << kind}})
	case first.text[0] == '\'':
		return n.step(step{operation: oneToken, begins: n.wordSet(strings.Trim(first.text, "'"))})
	case first.text == "@@":
		return n.keep(keepNode, first.field, n.nodeOf(n.of.Field(first.field).Type))
	case first.text == "@":
		return n.keep(keepTokens, first.field, n.term())
	case first.text[0] != '(':
		n.fail(first.text)
	}
	s := n.alternatives()
	if !n.next(")") {
		n.fail(n.peek())
	}
	if guard, ok := openings[first.text]; ok {
		return n.step(step{operation: guard, parts: []*step{s}})
	}
	return s
}

func (n *notation) keep(op operation, field int, s *step) *step {
	return n.step(step{operation: op, parts: []*step{s}, field: field, sort: sortOf(n.of.Field(field).Type)})
}

// begin works out what a step can begin with.
func (s *step) begin() {
	if s.known {
		return
	}
	s.known = true
	switch s.operation {
	case oneToken:
		s.sure = true
	case firstOf:
		s.sure = true
		for _, p := range s.parts {
			p.begin()
			s.begins.add(p.begins)
			s.sure = s.sure && p.sure
		}
	case inOrder, atLeastOnce, keepTokens, keepNode, aNode:
		s.parts[0].begin()
		s.begins, s.sure = s.parts[0].begins, s.parts[0].sure
	}
}
