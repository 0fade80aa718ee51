package sheet

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"netlore/query/diag"
	"netlore/store/board"
)

// A form is one kind of line: a statement or a member of one. The table of its
// attributes drives all that is done with such lines: reading, printing,
// complaining, completing, and the tables of the documentation.
type form struct {
	word       string // the first word of a statement; of a member, the word that tells it from others
	title      string // "a part", for messages
	lead       int    // how many of the attributes stand first, in this order and without words
	attributes []attribute
	members    []formID // what the indented lines below it can be
	memberWord int      // which word of an indented line tells its form
	wordAt     int      // how many words stand before word; -1 if word is not written
	named      bool     // the first attribute names it: statements of one name are about one thing
	check      func(c *cursor) *problem
	likely     func(c *cursor) board.Unit // the unit a number without one probably has
	doc        string
	example    string

	id     formID
	lookup wordTable // every word that can stand in the line
	musts  uint16    // slots after the lead that must be there
	aparts bool      // some of its attributes exclude each other
	units  [board.Celsius + 1]int8
	bare   [bareText + 1]int8 // slot of the attribute of that shape, or -1
}

// An attribute is one thing that a line can say.
type attribute struct {
	word  string   // stands before the value; "" if the value tells itself
	words []string // closed list of words that are values
	shape *shape
	label string // what it is, for tables: "value such as 10uF"
	noun  string // the same in a sentence: "value"; "" if the label tells, see what
	units []board.Unit
	least int // of a whole number, or of places
	most  int
	// positive says of a quantity that it is not below zero.
	positive bool

	must  bool  // a line without it is not whole
	many  bool  // a list: two statements add up
	names bool  // it names the thing: lines about one thing may say it in other ways
	apart uint8 // attributes of one number, not 0, exclude each other
	// optional says of an attribute of the lead that it may be left out.
	optional bool

	// set puts the value into the subject; get takes it out, and reports
	// whether there is one to print.
	set func(s *subject, v *value)
	get func(s *subject, v *value) bool

	// alone reports that the value can stand without the attribute's word.
	alone func(text string) bool
	// silent reports that a word goes without saying, given the name.
	silent func(name, word string) bool
	// say prints the whole attribute where word and value do not do.
	say func(dst []byte, v *value) []byte
}

// An entry says what a word of a form does.
type entry struct {
	slot  uint8
	value bool // the word is itself the value
}

// maxSlots is the most attributes a form can have.
const maxSlots = 16

// expects says what the attribute's value looks like.
func (a *attribute) expects() string {
	switch {
	case a.shape.want == "" && len(a.units) > 0:
		return exampleOf(a.units[0])
	case a.most > 0 && a.shape.want == "a whole number":
		return fmt.Sprintf("a whole number from %d to %d", a.least, a.most)
	case a.shape.want != "" && a.label != "" && a.shape.want == "a name":
		return a.label
	case a.shape.want != "":
		return a.shape.want
	}
	return diag.OneOf(a.words...)
}

// what names the attribute in a sentence: "rated voltage", "value".
func (a *attribute) what() string {
	if a.noun != "" {
		return a.noun
	}
	what := strings.TrimPrefix(a.label, "the ")
	for _, end := range []string{" such as ", ", ", " in quotation marks", " in degrees", " (", ": "} {
		what, _, _ = strings.Cut(what, end)
	}
	return what
}

// lists reports whether the attribute's value is a set of names.
func (a *attribute) lists() bool { return a.many || a.shape == targetsShape }

// called gives an attribute the noun that its label does not tell.
func called(noun string, a attribute) attribute { a.noun = noun; return a }

// exampleOf is "a voltage such as 3.8V".
func exampleOf(u board.Unit) string {
	examples := [...]string{board.Volt: "3.8V", board.Ampere: "2A", board.Ohm: "4.7kohm", board.Farad: "10uF",
		board.Henry: "1uH", board.Hertz: "26MHz", board.Second: "12min", board.Metre: "0.3mm", board.Celsius: "60degC"}
	return u.Measures() + " such as " + examples[u]
}

// wordIndex returns the index of s in the attribute's words, plus 1, or 0.
func (a *attribute) wordIndex(s string) int { return slices.Index(a.words, s) + 1 }

// usage is how the attribute is written, for lists of what can stand.
func (a *attribute) usage() string {
	switch {
	case a.word != "" && a.shape == flagShape:
		return a.word
	case a.word != "" && len(a.words) > 0:
		return a.word + " " + strings.Join(a.words, "|")
	case a.word != "":
		return a.word + " …"
	case len(a.words) > 0 && len(a.words) <= 5:
		return strings.Join(a.words, "|")
	}
	return a.label
}

// formOf returns the form of an id, with its lookup tables.
func formOf(id formID) *form { return compiled()[id] }

// compiled builds the lookup tables of all forms, once, when a sheet is first
// read or written.
var compiled = sync.OnceValue(func() []*form {
	all := make([]*form, len(forms))
	for id := range forms {
		f := &forms[id]
		f.id = formID(id)
		f.compile()
		all[id] = f
	}
	return all
})

func (f *form) compile() {
	f.lookup = newWordTable(len(f.words()))
	for i := range f.units {
		f.units[i] = -1
	}
	for i := range f.bare {
		f.bare[i] = -1
	}
	for i := f.lead; i < len(f.attributes); i++ {
		a := &f.attributes[i]
		a.compile(f, int8(i))
		if a.must {
			f.musts |= 1 << i
		}
		f.aparts = f.aparts || a.apart > 0
	}
}

// compile notes in the form what tells the attribute: its word, the words that
// are its values, or the look of its value.
func (a *attribute) compile(f *form, slot int8) {
	if a.word != "" {
		f.lookup.add(a.word, entry{slot: uint8(slot)})
		if a.alone == nil {
			return
		}
	}
	for _, w := range a.words {
		f.lookup.add(w, entry{slot: uint8(slot), value: true})
	}
	for _, u := range a.units {
		f.units[u] = slot
	}
	if f.bare[a.shape.bare] < 0 {
		f.bare[a.shape.bare] = slot
	}
}

// words returns every word that can stand after the lead of the line, in table
// order.
func (f *form) words() []string {
	var all []string
	for i := f.lead; i < len(f.attributes); i++ {
		a := &f.attributes[i]
		if a.word != "" {
			all = append(all, a.word)
			if a.shape == wordShape {
				continue
			}
		}
		all = append(all, a.words...)
	}
	return all
}

// usage lists what can stand in the line after its lead.
func (f *form) usage() string {
	var all []string
	for i := f.lead; i < len(f.attributes); i++ {
		all = append(all, f.attributes[i].usage())
	}
	return strings.Join(all, ", ")
}

// kindByWord returns the kind of statement that starts with a word.
func kindByWord(word string) (formID, bool) {
	e, ok := kinds().find(word)
	return formID(e.slot), ok
}

var kinds = sync.OnceValue(func() *wordTable {
	t := newWordTable(int(lastStatement))
	for _, f := range compiled()[formBoard : lastStatement+1] {
		t.add(f.word, entry{slot: uint8(f.id)})
	}
	return &t
})

// kindWords lists the words that start statements, in canonical order.
func kindWords() []string {
	var all []string
	for _, f := range compiled()[formBoard : lastStatement+1] {
		all = append(all, f.word)
	}
	return all
}
