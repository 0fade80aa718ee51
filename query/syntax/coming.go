package syntax

// coming are the questions of the language that this version does not answer
// yet, by the words that tell them, and what can be asked instead.
var coming = []struct {
	words   []string
	form    string
	instead string
}{
	{[]string{"joined", "through"}, "nets joined to VMAIN through inductors", "nets of (parts on VMAIN)"},
	{[]string{"leading"}, "pads leading to C4407", "pads on VMAIN"},
	{[]string{"fed"}, "parts fed only by P11, P12", "branches of VMAIN show pads, parts"},
	{[]string{"lost"}, "functions lost without P11..P14", "branches of VMAIN show pads, function"},
	{[]string{"route", "routes", "from"}, "route from J2.1 to U300.A4", "nets of U300 shared with nets of J2"},
	{[]string{"functions", "function"}, "functions lost without P11..P14", "branches of VMAIN show function"},
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
