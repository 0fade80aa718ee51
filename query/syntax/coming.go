package syntax

// coming are the questions of the language that this version does not answer
// yet, by the words that tell them, and what can be asked instead.
var coming = []struct {
	words   []string
	form    string
	instead string
}{
	{[]string{"reading"}, "pads on VMAIN reading below expected by 15%", "readings of VMAIN show target, value"},
	{[]string{"shorted", "matching", "low", "high", "open"}, "shorted pads in job 1042", "readings of VMAIN show target, value"},
	{[]string{"unmeasured"}, "unmeasured pads on VMAIN in job 1042", "pads on VMAIN with readings = 0"},
	{[]string{"suspects", "suspect"}, "suspects in job 1042", "parts on VMAIN and on GND"},
	{[]string{"tests"}, "tests for job 1042", "jobs with name = 1042"},
	{[]string{"why"}, "why C4407 in (hidden parts on VMAIN)", "plan of (hidden parts on VMAIN)"},
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
