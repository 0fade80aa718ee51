package run

import (
	"slices"
	"time"

	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// fact is what is known of one field of one thing. A thing has all of Values,
// may have some of Maybe, and if Open another one that is not known. Why says
// what is missing if there is something in Maybe or it is Open.
type fact struct {
	values []value.Value
	shown  value.Value // in the cell; the only value, if there are no Values and it is not Open
	maybe  []value.Value
	open   bool
	why    string
}

// all are the values.
func (f *fact) all() []value.Value {
	if f.values == nil && !f.open && f.shown.Kind() != value.Unknown {
		return []value.Value{f.shown}
	}
	return f.values
}

// look finds a field of a thing.
type look func(s *site, id int32) fact

// looks are the fields of a noun.
type looks [words.FieldCount]look

// facts is where the fields of each noun are found.
var facts = [words.NounCount]looks{
	words.Parts:    partFacts,
	words.Pins:     pinFacts,
	words.Nets:     netFacts,
	words.Pads:     padFacts,
	words.Covers:   coverFacts,
	words.Branches: branchFacts,
	words.Readings: readingFacts,
	words.Expected: expectedFacts,
	words.Notes:    noteFacts,
	words.Jobs:     jobFacts,
	words.Boards:   boardFacts,

	words.Observations: observationFacts,
	words.Functions:    functionFacts,
}

// fact is what is known of a field of a thing.
func (s *site) fact(f *words.Field, id int32) fact {
	switch f.ID {
	case words.BoardOf:
		return single(value.OfName("", s.b.Ref.String(), boardText(s.b.Ref)))
	case words.RoleOf:
		return stated(s.role)
	case words.NotesOf:
		return s.saidCount(words.Notes, thing{f.Noun, id})
	case words.ReadingsOf:
		return s.saidCount(words.Readings, thing{f.Noun, id})
	}
	got := facts[f.Noun][f.ID](s, id)
	if got.open && got.why == "" {
		got.why = f.NotKnown
	}
	return got
}

// boardText is a board in the form in which it can be asked for.
func boardText(r board.Ref) string {
	if r.Revision == "" {
		return words.QuoteName(r.Name)
	}
	return words.QuoteName(r.Name) + " rev " + r.Revision
}

// cell is the fact as it is shown.
func (f fact) cell() value.Value {
	switch {
	case f.shown.Kind() != value.Unknown:
		return f.shown
	case len(f.values) > 0:
		return value.OfList(f.values)
	case f.open || len(f.maybe) > 0:
		return value.Value{}
	}
	return value.Nothing()
}

// has judges whether there is a value. What is Open has none that is stated,
// which is what is asked.
func (f fact) has() finding {
	switch {
	case len(f.all()) > 0:
		return yes
	case len(f.maybe) > 0:
		return unknown(f.why)
	}
	return no
}

// The makers of facts.

// single is a value that is known.
func single(v value.Value) fact { return fact{shown: v} }

// quantity is a number that every such thing has, whether known or not.
func quantity(q board.Quantity) fact {
	if !q.Known() {
		return fact{open: true}
	}
	return single(value.OfQuantity(q))
}

// stated is a text that a thing need not have.
func stated(text string) fact {
	if text == "" {
		return fact{}
	}
	return single(value.OfText(text))
}

// must is a text that every such thing has, whether known or not.
func must(text string) fact {
	if text == "" {
		return fact{open: true}
	}
	return single(value.OfText(text))
}

// word is a word of a closed list; "" if it is not known.
func word[E ~uint8](w string, e E) fact {
	if w == "" {
		return fact{open: true}
	}
	return single(value.OfWord(w, int(e)))
}

func texts(list []string) fact {
	var f fact
	for _, t := range list {
		f.values = append(f.values, value.OfText(t))
	}
	return f
}

func count(n int) fact { return single(value.OfCount(n)) }

// moment is a time that need not be stated.
func moment(t time.Time) fact {
	if t.IsZero() {
		return fact{open: true}
	}
	return single(value.OfTime(t))
}

// length is a distance in micrometres.
func length(um int32, isKnown bool, why string) fact {
	if !isKnown {
		return fact{open: true, why: why}
	}
	return single(value.OfQuantity(board.Millimetres(um)))
}

// linked are the names of the things that a thing is linked to. Those that it
// is not surely linked to are in Maybe.
func linked(s *site, id int32, to words.Noun, follow follow, why string) fact {
	var sure, maybe []int32
	follow(s, id, func(o int32, isSure bool) {
		if isSure {
			sure = append(sure, o)
		} else {
			maybe = append(maybe, o)
		}
	})
	slices.Sort(sure)
	slices.Sort(maybe)
	f := fact{values: nameValues(s, to, slices.Compact(sure)), maybe: nameValues(s, to, slices.Compact(maybe))}
	if len(f.maybe) > 0 {
		f.why = why
	}
	return f
}

// saidCount is how many statements of a noun there are about a thing; for the
// board, about all that is on it.
func (s *site) saidCount(n words.Noun, t thing) fact {
	if t.noun == words.Boards {
		return count(s.universe(n).Count())
	}
	return count(len(s.statements(n).of[t]))
}

// coverNames are the covers that hide a thing.
func coverNames(n words.Noun) look {
	return func(s *site, id int32) fact {
		var f fact
		for _, l := range s.lidsOver(thing{n, id}) {
			name := s.nameValue(words.Covers, int32(l.Cover))
			if l.Truth == board.True {
				f.values = append(f.values, name)
				continue
			}
			f.maybe = append(f.maybe, name)
			if f.why == "" {
				f.why = l.Why
			}
		}
		return f
	}
}

// expectedOf are the values expected of a thing: what is stated, else what was
// learned.
func expectedOf(n words.Noun) look {
	return func(s *site, id int32) fact {
		var f fact
		for _, e := range s.statements(words.Expected).of[thing{n, id}] {
			one := expectedFacts[words.Value](s, e)
			f.values = append(f.values, one.all()...)
		}
		for mode := board.Diode; mode <= board.Continuity && f.values == nil; mode++ {
			if e, _, ok := s.learnedAt(thing{n, id}, mode, ""); ok {
				f.values = append(f.values, expectedShown([]board.Expected{e.Expected})...)
			}
		}
		return f
	}
}
