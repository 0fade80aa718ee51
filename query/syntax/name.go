package syntax

// Name is any word that is not reserved, or anything in double quotes.
type Name struct {
	Span
	Text string
}

func (n *Name) begins(t token) bool { return t.name() }

func (n *Name) read(tokens []token) int {
	*n = nameOf(tokens[0])
	return 1
}

func nameOf(t token) Name { return Name{Span(t.rng), t.text} }

// Width is the number after `by`. Unlike a name after `by`, it begins with
// a digit.
type Width struct {
	Span
	Text *Name
}

func (w *Width) begins(t token) bool { return t.kind == wordToken && startsNumber(t.text) }

func (w *Width) read(tokens []token) int {
	n := nameOf(tokens[0])
	w.Span, w.Text = n.Span, &n
	return 1
}
