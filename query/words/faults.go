package words

import "strings"

// FaultKind is what a suspect is.
type FaultKind uint8

const (
	NoFault      FaultKind = iota
	PartFault              // one part
	PartsFault             // two parts
	BridgeFault            // solder from pad to pad
	CopperFault            // corrosion or a scratch
	UnknownFault           // what no sheet tells of
)

var faultKinds = [...]string{"", "part", "parts", "bridge", "copper", "other"}

// String is the word of the kind: "bridge".
func (k FaultKind) String() string { return faultKinds[k] }

// FaultKinds are all of them.
func FaultKinds() []FaultKind {
	return []FaultKind{PartFault, PartsFault, BridgeFault, CopperFault, UnknownFault}
}

// FaultKindByWord finds a kind. Case does not count.
func FaultKindByWord(word string) (FaultKind, bool) {
	for _, k := range FaultKinds() {
		if strings.EqualFold(k.String(), word) {
			return k, true
		}
	}
	return NoFault, false
}
