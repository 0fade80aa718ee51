// Package syntax reads a question into a tree and prints it back. Every node
// knows its place in the text. A syntax error says what was found and what can
// stand there, in the words of the language; see repair.go.
//
// The grammar is in the tags of the types in this file, in the notation that
// notation.go explains; grammar.ebnf says the same for people.
package syntax

import (
	"strings"

	"netlore/query/diag"
)

// Span is the place of a node, in bytes of the text: from Start up to End.
type Span struct{ Start, End int }

// Range is the span as complaints have it.
func (s Span) Range() diag.Range { return diag.Range(s) }

func (s *Span) place() *Span { return s }

// Keyword is one or more words of the language, in small letters with single
// blanks, or a comparison sign in its first spelling.
type Keyword string

func (k *Keyword) take(tokens []token) {
	word := tokens[0].text
	for _, t := range tokens[1:] {
		word += " " + t.text
	}
	word = strings.ToLower(word)
	if same, ok := sameSign[word]; ok {
		word = same
	}
	*k = Keyword(word)
}

var sameSign = map[string]string{"<>": "!=", "==": "=", "≥": ">=", "≤": "<=", "≠": "!="}

// Tight is text without its blanks: ±20% for ± 20%.
type Tight string

func (t *Tight) take(tokens []token) {
	*t = Tight(strings.Join(strings.Fields(tokens[0].text), ""))
}

// Question is a whole question, or one in brackets. With Why there is nothing
// else.
type Question struct {
	Span
	Why       *Why       `parser:"(  (?= 'why' ) @@"`
	Plan      bool       `parser:" | @( 'plan' 'of' )?"`
	Possibly  bool       `parser:"   @'possibly'?"`
	Aggregate *Aggregate `parser:"   ( (?= 'count' | 'total' | 'least' | 'greatest' | 'mean' | 'median' | 'parallel' ) @@ )?"`
	First     *Selection `parser:"   @@"`
	Rest      []*Joined  `parser:"   ( (?= 'and' | 'except' | 'shared' ) @@ )*"`
	Clauses   []*Clause  `parser:"   ( (?= 'show' | 'by' | 'sorted' | 'first' ) @@ )* )"`

	shelf *Shelf // of the whole question: what else can be asked for
	texts Texts  // of an expanded question: where its parts stand
}

// Why is `why C4407 in (hidden parts on VMAIN)`.
type Why struct {
	Span
	Not    bool      `parser:"'why' @'not'?"`
	Leader Keyword   `parser:"( @Leader (?= Word | Leader | String ) )?"`
	Name   *Name     `parser:"@@"`
	In     *Question `parser:"'in' @@"`
}

// Aggregate is `count`, or `total value of`.
type Aggregate struct {
	Span
	Count bool    `parser:"(  @'count' 'of'?"`
	Word  Keyword `parser:" | @( 'total' | 'least' | 'greatest' | 'mean' | 'median' | 'parallel' )"`
	Field *Name   `parser:"   @@ 'of' )"`
}

// Joined is one more selection and how it is put together with those before.
type Joined struct {
	Span
	Op        Keyword    `parser:"@( 'and' 'also' | 'except' | 'shared' 'with' )"`
	Selection *Selection `parser:"@@"`
}

// Selection is `hidden parts on VMAIN`, or a question in brackets.
type Selection struct {
	Span
	Group *Question     `parser:"(  '(' @@ ')'"`
	Route *Route        `parser:" | (?= 'route' 'from' ) @@"`
	Heads []*Head       `parser:" | @@ ( ( ',' 'or'? | 'or' ) @@ )*"`
	Where *Alternatives `parser:"   ( (?= Relation | 'not' | '(' ) @@ )? )"`
}

// Route is `route from J2.A4 to U300.A4 through any by resistance`.
type Route struct {
	Span
	From    []*Operand `parser:"'route' 'from' @@ ( ( ',' 'or'? | 'or' ) @@ )*"`
	To      []*Operand `parser:"'to' @@ ( ( ',' 'or'? | 'or' ) @@ )*"`
	Through []*Pass    `parser:"( 'through' @@ ( ( ',' 'or'? | 'or' ) @@ )* )?"`
	By      Keyword    `parser:"( 'by' @( 'steps' | 'resistance' ) )?"`
}

// Head is a noun with its adjectives before it.
type Head struct {
	Span
	Words []*Name `parser:"@@+"`
}

// Alternatives are runs of phrases with `or` between them.
type Alternatives struct {
	Span
	Runs []*Run `parser:"@@ ( 'or' @@ )*"`
}

// Run is phrases that must all hold.
type Run struct {
	Span
	First *Phrase `parser:"@@"`
	Rest  []*Next `parser:"( (?= Relation | 'and' | 'not' | '(' ) @@ )*"`
}

// Next is one more phrase; And is true if the word stands before it.
type Next struct {
	Span
	And    bool    `parser:"@( 'and' (?! 'also' ) )?"`
	Phrase *Phrase `parser:"@@"`
}

// Phrase is one thing said of the noun.
type Phrase struct {
	Span
	Not      bool          `parser:"@'not'?"`
	Group    *Alternatives `parser:"(  '(' @@ ')'"`
	Region   *Region       `parser:" | @@"`
	Relation *Relation     `parser:" | (?! 'with' | 'without' | 'where' | 'reading' ) @@"`
	Reading  *Reading      `parser:" | (?= 'reading' ) @@"`
	With     *With         `parser:" | (?= 'with' | 'where' ) @@"`
	Without  *Name         `parser:" | 'without' @@ )"`
}

// Relation is `under shield or connector`, or `fed only by P11 from L300 through
// inductors or beads`; only relations that are traced take From and Through.
type Relation struct {
	Span
	Word     Keyword    `parser:"(  @( 'on' | 'of' | 'in' | 'under' | 'over' | 'behind' | 'for' | ( 'joined' | 'leading' ) 'to' | 'fed' 'only' 'by' | 'lost' 'without' )"`
	Distance *Value     `parser:" | 'within' @@ 'of' )"`
	Operands []*Operand `parser:"@@ ( ( ',' 'or'? | 'or' ) (?! '('* ( Relation | 'not' | 'unknown' | 'culprit' Relation | ( Word | Leader | String ) ( Compare | Sign ) ) ) @@ )*"`
	From     []*Operand `parser:"( 'from' @@ ( ( ',' 'or'? | 'or' ) (?! '('* ( Relation | 'not' ) ) @@ )* )?"`
	Through  []*Pass    `parser:"( 'through' @@ ( ( ',' 'or'? | 'or' ) (?! '('* ( Relation | 'not' ) ) @@ )* )?"`
}

// Pass is a kind of parts that a trace goes through: `resistors below 1ohm`.
type Pass struct {
	Span
	Kind  *Name   `parser:"@@"`
	Op    Keyword `parser:"( @( 'below' | 'above' | 'at' ( 'most' | 'least' ) | Sign )"`
	Bound *Value  `parser:"  @@ )?"`
}

// Operand is a name, a kind, or a question in brackets. Leader is a word that
// says what sort of name follows: `net 5V`, `any cover`, `every board`. Only what
// a saved question is given has a tolerance.
type Operand struct {
	Span
	Group     *Question `parser:"(  '(' @@ ')'"`
	Leader    Keyword   `parser:" | ( @Leader (?= Word | Leader | String ) )?"`
	Name      *Name     `parser:"   @@"`
	Tolerance Tight     `parser:"   @Tolerance? )"`
}

// Reading is `reading below expected by 15%`.
type Reading struct {
	Span
	Tests []*ReadTest `parser:"'reading' @@ ( 'or' (?= Compare | Sign ) @@ )*"`
}

// ReadTest is one test of a reading: against what is expected, or a comparison.
type ReadTest struct {
	Span
	Side    Keyword  `parser:"(  @( 'below' | 'above' ) 'expected'"`
	By      *Width   `parser:"   ( 'by' @@ )?"`
	Inside  bool     `parser:" | 'within' ( @'expected'"`
	Around  *Value   `parser:"            | @@ 'of' 'expected' )"`
	Compare *Compare `parser:" | @@ )"`
}

// With is `with value at least 10uF`.
type With struct {
	Span
	Word       Keyword     `parser:"@( 'with' | 'where' )"`
	Conditions *Conditions `parser:"@@"`
}

// Conditions are runs of conditions with `or` between them.
type Conditions struct {
	Span
	Runs []*Conjunction `parser:"@@ ( 'or' (?! ( '(' | 'not' )* Relation ) @@ )*"`
}

// Conjunction is conditions that must all hold.
type Conjunction struct {
	Span
	List []*Condition `parser:"@@ ( 'and' (?! 'also' | ( '(' | 'not' )* Relation ) @@ )*"`
}

// Condition is one test of a field: it is unknown, it has a value, it compares
// so, or it names things that are related so (`culprit on VMAIN`).
type Condition struct {
	Span
	Not     bool        `parser:"@'not'?"`
	Group   *Conditions `parser:"(  '(' @@ ')'"`
	Unknown *Name       `parser:" | 'unknown' @@"`
	Things  *Name       `parser:" | (?= 'culprit' ( 'on' | 'of' | 'in' | 'under' | 'over' | 'behind' | 'for' | 'within' ) ) @@"`
	Related *Relation   `parser:"   @@"`
	Field   *Name       `parser:" | @@"`
	Tests   []*Compare  `parser:"   ( @@ ( 'or' (?= Compare | Sign ) @@ )* )? )"`
}

// Compare is a comparison and what is compared with.
type Compare struct {
	Span
	Low    *Value   `parser:"(  'is'? 'between' @@"`
	High   *Value   `parser:"   'and' @@"`
	Op     Keyword  `parser:" | @( 'is'? ( 'at' ( 'least' | 'most' ) | 'above' | 'below' ) | 'is' 'not'? | Sign )"`
	Values []*Value `parser:"   @@ ( ( ',' 'or'? | 'or' ) (?! 'culprit' Relation | ( Word | Leader | String ) ( Compare | Sign ) ) @@ )* )"`
}

// Value is a number with its unit and perhaps a tolerance, or a word.
type Value struct {
	Span
	Text      *Name `parser:"(  @@"`
	Tolerance Tight `parser:"   @Tolerance? | @Tolerance )"`
}

// Clause says what to do with the answer.
type Clause struct {
	Span
	Show  []*Name `parser:"(  'show' @@ ( ( ',' | 'and' (?! 'also' ) ) @@ )*"`
	By    []*Name `parser:" | 'by' @@ ( ( ',' | 'and' (?! 'also' ) ) @@ )*"`
	Sort  []*Key  `parser:" | 'sorted' 'by' @@ ( ( ',' | 'and' (?! 'also' ) ) @@ )*"`
	First *Name   `parser:" | 'first' @@ )"`
}

// Key is a field to sort by.
type Key struct {
	Span
	Field *Name   `parser:"@@"`
	Order Keyword `parser:"@( 'ascending' | 'descending' )?"`
}
