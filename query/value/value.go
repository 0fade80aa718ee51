// Package value is what stands in the cells of an answer: names, texts, words
// of closed lists, quantities, counts, times, lists, and the two ways of having
// nothing, which are kept apart: none, and not known.
//
// Values compare in one total order and print in the form in which they can be
// asked for again.
package value

import (
	"math"
	"slices"
	"time"

	"netlore/store/board"
)

// Kind is what a value is.
type Kind uint8

const (
	Unknown  Kind = iota // it has one, but which is not known
	None                 // it has none
	Text                 // free text
	Name                 // the name of a thing
	Word                 // a word of a closed list, which has its own order
	Quantity             // an exact number with a unit
	Count                // how many: from a least to a most
	Time                 // a date or date-time
	Truth                // yes, no or unknown
	List                 // several values
)

// Value is one cell. The zero Value is not known. A Value is never changed
// after it was made. Answers hold many, so it is kept small: what a kind has is
// kept where another kind has something else.
type Value struct {
	kind Kind
	unit board.Unit // Quantity
	exp  int8       // Quantity
	text string     // Text, Word, and Name as a question has it, with role and quotes
	low  int64      // Count: from; Word: its rank; Time: nanoseconds since 1970; Truth; Quantity: its coefficient; Name: see Raw
	more *more
}

// more is what few values have.
type more struct {
	name string  // Name as the board has it, if it had to be quoted
	role string  // of a Name whose text does not begin with it
	list []Value // List
	top  int64   // Count: to, if that is not where it is from
}

// Nothing is the value of what has none.
func Nothing() Value { return Value{kind: None} }

// OfText is free text.
func OfText(s string) Value { return Value{kind: Text, text: s} }

// OfName is the name of a thing. The role is "" but in a stack; quoted is the
// name as a question has it, without its role.
func OfName(role, name, quoted string) Value {
	v := Value{kind: Name, text: quoted}
	if role != "" {
		v.text = role + ":" + quoted
		v.low = int64(len(role) + 1)
	}
	if name != quoted {
		v.more = &more{name: name}
	}
	return v
}

// OfTarget is the name of what a statement is about. Shown is the name as it is
// printed, which says its role, if it has one, and what else has to be said.
func OfTarget(role, name, shown string) Value {
	return Value{kind: Name, text: shown, more: &more{name: name, role: role}}
}

// OfWord is a word of a closed list; rank is its place in the order of the
// list.
func OfWord(word string, rank int) Value { return Value{kind: Word, text: word, low: int64(rank)} }

// OfQuantity is a number with a unit; one without a unit is not known.
func OfQuantity(q board.Quantity) Value {
	if !q.Known() {
		return Value{}
	}
	return Value{kind: Quantity, low: q.Coef, exp: q.Exp, unit: q.Unit}
}

// OfCount is a number of things that is known exactly.
func OfCount(n int) Value { return Between(n, n) }

// Between is a number of things of which only the bounds are known.
func Between(least, most int) Value {
	v := Value{kind: Count, low: int64(least)}
	if least != most {
		v.more = &more{top: int64(most)}
	}
	return v
}

// AtLeast is a number of things that were counted before all were looked at.
func AtLeast(least int) Value { return Between(least, math.MaxInt) }

// OfTime is a date or date-time; the zero time is not known.
func OfTime(t time.Time) Value {
	if t.IsZero() {
		return Value{}
	}
	return Value{kind: Time, low: t.UnixNano()}
}

// OfTruth is yes, no or unknown.
func OfTruth(t board.Truth) Value { return Value{kind: Truth, low: int64(t)} }

// OfList is several values; a list of one is that one, an empty list is none.
func OfList(list []Value) Value {
	switch len(list) {
	case 0:
		return Nothing()
	case 1:
		return list[0]
	}
	return Value{kind: List, more: &more{list: list}}
}

// Kept are the values with their texts replaced by what keep makes of them:
// copies, so as not to hold on to what they were cut from. The slice is changed,
// and is the result. If keep is nil the values stay as they are.
func Kept(values []Value, keep func(string) string) []Value {
	if keep == nil {
		return values
	}
	for i := range values {
		values[i] = values[i].kept(keep)
	}
	return values
}

func (v Value) kept(keep func(string) string) Value {
	if v.kind == Text || v.kind == Name {
		v.text = keep(v.text)
	}
	if v.more != nil {
		v.more = &more{name: keep(v.more.name), role: keep(v.more.role), list: Kept(slices.Clone(v.more.list), keep), top: v.more.top}
	}
	return v
}

// Kind is what the value is.
func (v Value) Kind() Kind { return v.kind }

// Missing reports whether there is nothing to show: none, or not known.
func (v Value) Missing() bool { return v.kind == None || v.kind == Unknown }

// Quantity is the number of a Quantity; of a Count that is exact, it is the
// plain number. It reports false for anything else.
func (v Value) Quantity() (board.Quantity, bool) {
	switch {
	case v.kind == Quantity:
		return v.quantity(), true
	case v.kind == Count && v.more == nil:
		return board.NewQuantity(v.low, 0, board.One)
	}
	return board.Quantity{}, false
}

func (v Value) quantity() board.Quantity {
	return board.Quantity{Coef: v.low, Exp: v.exp, Unit: v.unit}
}

// Bounds are the least and the most of a Count.
func (v Value) Bounds() (least, most int) { return int(v.low), int(v.top()) }

func (v Value) top() int64 {
	if v.kind == Count && v.more != nil {
		return v.more.top
	}
	return v.low
}

// Rank is the place of a Word in the order of its list.
func (v Value) Rank() int { return int(v.low) }

// Raw is a Text or Word as it is, and a Name without role and quotes.
func (v Value) Raw() string {
	switch {
	case v.kind != Name:
		return v.text
	case v.more != nil:
		return v.more.name
	}
	return v.text[v.low:] // without the role
}

// Role is the role of a Name, "" but in a stack.
func (v Value) Role() string {
	switch {
	case v.kind != Name:
		return ""
	case v.low > 0:
		return v.text[:v.low-1]
	case v.more != nil:
		return v.more.role
	}
	return ""
}

// Nanoseconds is a Time since 1970.
func (v Value) Nanoseconds() int64 { return v.low }

// Items are the values of a List, the value itself if it is a single one, and
// nothing if it is none.
func (v Value) Items() []Value {
	switch v.kind {
	case List:
		return v.more.list
	case None:
		return nil
	}
	return []Value{v}
}
