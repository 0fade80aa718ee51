package syntax

// coming are the questions of the language that this version does not answer
// yet, by the words that tell them, and what can be asked instead.
var coming = []struct {
	words   []string
	form    string
	instead string
}{
	{[]string{"as"}, "parts on VMAIN as of 2026-03-02", "parts on VMAIN"},
}

// Coming tells, for a word that belongs to a question this version does not
// answer, the form of that question and what can be asked instead.
func Coming(word string) (form, instead string, ok bool) {
	t := token{text: word}
	for _, c := range coming {
		if t.is(c.words...) {
			return c.form, c.instead, true
		}
	}
	return "", "", false
}
