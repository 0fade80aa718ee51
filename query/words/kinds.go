package words

import (
	"strings"

	"netlore/store/board"
)

// PartKind is a class of parts. ZeroOhm is a part of 0 ohm, whatever its class;
// Class is then ClassUnknown.
type PartKind struct {
	Class   board.Class
	ZeroOhm bool
}

// zeroOhm is how a 0 ohm link is asked for.
const zeroOhm = "0ohm"

// String is the plural word of the kind.
func (k PartKind) String() string {
	if k.ZeroOhm {
		return zeroOhm
	}
	return k.Class.Plural()
}

// KindByWord finds the kind of a plural word: capacitors, 0ohm. Case does not
// count.
func KindByWord(word string) (PartKind, bool) {
	if strings.EqualFold(word, zeroOhm) {
		return PartKind{ZeroOhm: true}, true
	}
	for _, c := range board.Classes() {
		if strings.EqualFold(c.Plural(), word) {
			return PartKind{Class: c}, true
		}
	}
	return PartKind{}, false
}

// CoverKindByPlural finds the kind of cover of a plural word: shields. Words
// that are classes of parts, such as connectors, are not found.
func CoverKindByPlural(word string) (board.CoverKind, bool) {
	for _, k := range CoverKinds() {
		if strings.EqualFold(k.String()+"s", word) {
			if _, part := KindByWord(word); !part {
				return k, true
			}
		}
	}
	return board.CoverUnknown, false
}

// CoverKinds are the kinds of covers, in the order of the table.
func CoverKinds() []board.CoverKind {
	var all []board.CoverKind
	for k := board.Shield; k.String() != ""; k++ {
		all = append(all, k)
	}
	return all
}

// NetKinds are the kinds of nets, in the order of the table.
func NetKinds() []board.NetKind {
	var all []board.NetKind
	for k := board.Ground; k.String() != ""; k++ {
		all = append(all, k)
	}
	return all
}
