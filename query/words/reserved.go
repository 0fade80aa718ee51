package words

import (
	"iter"
	"maps"
	"strings"

	"netlore/store/board"
)

// Duty is what a word does in a question wherever it stands. Reserved words
// are never names unless quoted; a word that leads can be a name.
type Duty uint8

const (
	Free      Duty = iota // no word of the language, or one only in its place
	Structure             // and, or, not, except …
	Relating              // starts a phrase: on, under, with …
	Comparing             // starts a comparison: is, at, above, below, between
	Leading               // can stand before a name: any, net, power …
	Coming                // kept for questions of a later version
)

var (
	structure = []string{"and", "or", "not", "except", "shared", "show", "by", "sorted", "first", "unknown", "from", "to", "through", "why"}
	relating  = []string{"on", "of", "in", "under", "over", "behind", "within", "with", "without", "where", "joined", "leading", "fed", "lost", "reading", "for"}
	comparing = []string{"is", "at", "above", "below", "between"}
	coming    = []string{"as"}
)

var duties = dutyTable()

func dutyTable() map[string]Duty {
	table := map[string]Duty{}
	for _, w := range leaders() {
		table[w] = Leading
	}
	for duty, list := range map[Duty][]string{Structure: structure, Relating: relating, Comparing: comparing, Coming: coming} {
		for _, w := range list {
			table[w] = duty
		}
	}
	return table
}

// leaders are the words that can stand before a name and say what sort it is.
func leaders() []string {
	list := []string{"any", "every"}
	for n := Parts; n <= Stacks; n++ {
		switch n {
		case Readings, Expected, Notes, Observations, Suspects, Tests: // have no names
		default:
			list = append(list, n.Singular())
		}
	}
	for _, k := range NetKinds() {
		list = append(list, k.String())
	}
	return list
}

// Duties are all words that have one, in small letters and in no stated order.
func Duties() iter.Seq2[string, Duty] { return maps.All(duties) }

// DutyOf is the duty of a word. Case does not count.
func DutyOf(word string) Duty {
	if duty, ok := duties[word]; ok {
		return duty
	}
	return duties[strings.ToLower(word)]
}

// IsReserved reports whether a word must be quoted to be a name.
func IsReserved(word string) bool {
	duty := DutyOf(word)
	return duty != Free && duty != Leading
}

// Reserved is the closed list of words that must be quoted to be names.
func Reserved() []string {
	var all []string
	for _, list := range [][]string{structure, relating, comparing, coming} {
		all = append(all, list...)
	}
	return all
}

// QuoteName writes a name for a question: bare when it can be, else in double
// quotes.
func QuoteName(name string) string {
	if !lettersOnly(name) && !strings.EqualFold(name, zeroOhm) { // no word of the language
		return board.QuoteName(name)
	}
	_, cover := board.CoverKindByWord(strings.ToLower(name))
	if cover || DutyOf(name) != Free || IsNoun(name) {
		return `"` + name + `"`
	}
	return board.QuoteName(name)
}

// lettersOnly reports whether a name is made of letters and hyphens, as all words
// of the language but one are.
func lettersOnly(name string) bool {
	for i := range len(name) {
		if c := name[i] | 0x20; (c < 'a' || c > 'z') && c != '-' {
			return false
		}
	}
	return true
}
