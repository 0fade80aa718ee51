package board

// SavedQuestion is a question that is kept under a name, to be asked again or
// as a part of others.
type SavedQuestion struct {
	Name       string   // in small letters: biglids
	Parameters []string // without the $ that they have in the text, in order
	Text       string   // with $rail where the value of the parameter rail stands
}

// SavedName reports whether a saved question, or a parameter of one, can have a
// name: a small letter, then small letters, digits, - and _.
func SavedName(name string) bool {
	for i := range len(name) {
		c := name[i]
		if (c < 'a' || c > 'z') && (i == 0 || (c < '0' || c > '9') && c != '-' && c != '_') {
			return false
		}
	}
	return name != ""
}
