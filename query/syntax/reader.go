package syntax

import "reflect"

// A reader goes through the steps of the grammar, with at most two tokens taken
// before the choice between alternatives is final.
//
// It does what the participle library does with the same tags, to the token at
// which a question is said to go wrong and to the tree that is left then; a test
// holds the two to each other. That library copies what it knows to the heap for
// every alternative; BenchmarkParse has both.
type reader struct {
	place
	tokens []token // an endToken is the last
	kept   []keep
}

// mostTaken is how many tokens an alternative may take and be given up.
const mostTaken = 2

// outcome is how it went with a step.
type outcome uint8

const (
	absent outcome = iota // it is not there, and nothing was taken
	found
	broken // it began, and went wrong
)

// result is an outcome and the tokens that it is about, by index.
type result struct {
	outcome
	to  int // the end of those that were read, whether or not they are taken
	bad int // of broken: the token that cannot stand there
	got reflect.Value
}

// place is where reading has got to. An alternative that does not fit is given up
// by going back to the place before it.
type place struct {
	at      int // the next token
	deepest int // the token that was bad in what got deepest
	depth   int // how deep that was
	ours    int // what was kept from here on belongs to this alternative
}

// read reads all tokens. It returns the tree, or what there is of it, and the
// index of the bad token, or -1.
func (g *grammar) read(tokens []token) (*Question, int) {
	r := reader{tokens: tokens, kept: make([]keep, 0, 8)}
	res := r.step(g.question, reflect.Value{})
	q := &Question{}
	if res.outcome != absent {
		q = res.got.Interface().(*Question)
	}
	switch {
	case res.outcome == broken:
		return q, res.bad
	case res.outcome == found && tokens[r.at].kind == endToken:
		return q, -1
	case r.at < r.depth:
		return q, r.deepest
	}
	return q, r.at
}

// blame notes what went wrong here, if nothing got deeper.
func (p *place) blame(bad int) {
	if p.at >= p.depth {
		p.deepest, p.depth = bad, p.at
	}
}

// branch begins an alternative, and returns the place to go back to.
func (r *reader) branch() place {
	before := r.place
	r.ours = len(r.kept)
	return before
}

// accept ends an alternative that fits.
func (r *reader) accept(before place) { r.ours = before.ours }

// giveUp goes back to before an alternative that is broken. It reports false if
// that got too far, and then stays.
func (r *reader) giveUp(before place, bad int) bool {
	tried := r.place
	r.place = before
	switch {
	case tried.depth > r.depth:
		r.deepest, r.depth = tried.deepest, tried.depth
	case tried.at >= r.depth:
		r.deepest, r.depth = bad, tried.at
	}
	if tried.at > r.at+mostTaken {
		r.at = tried.at
		if tried.depth >= r.depth {
			r.deepest, r.depth = tried.deepest, tried.depth
		}
		return false
	}
	r.kept = r.kept[:tried.ours]
	return true
}

// step takes a step. What is kept goes into the node.
func (r *reader) step(s *step, into reflect.Value) result {
	if s.sure && !s.begins.has(&r.tokens[r.at]) {
		return result{}
	}
	switch s.operation {
	case oneToken:
		r.at++
		return result{outcome: found, to: r.at}
	case inOrder:
		return r.inOrder(s, into)
	case firstOf:
		return r.firstOf(s, into)
	case atMostOnce:
		return r.repeat(s.parts[0], into, 0, 1)
	case anyTimes:
		return r.repeat(s.parts[0], into, 0, len(r.tokens))
	case atLeastOnce:
		return r.repeat(s.parts[0], into, 1, len(r.tokens))
	case ifNext, unlessNext:
		return r.look(s, into)
	case aNode:
		return r.node(s)
	case readNode:
		return r.readNode(s)
	}
	return r.keep(s, into)
}

func (r *reader) inOrder(s *step, into reflect.Value) result {
	for i, part := range s.parts {
		res := r.step(part, into)
		switch {
		case res.outcome == broken:
			return res
		case res.outcome == absent && i == 0:
			return res
		case res.outcome == absent:
			return result{outcome: broken, to: r.at, bad: r.at}
		}
	}
	return result{outcome: found, to: r.at}
}

// firstOf takes the first alternative that is there. If none is, that which got
// furthest tells what is wrong.
func (r *reader) firstOf(s *step, into reflect.Value) result {
	var furthest result
	most := 0
	for _, part := range s.parts {
		before := r.branch()
		res := r.step(part, into)
		at := r.at
		switch res.outcome {
		case absent:
			r.place = before
		case found:
			r.accept(before)
			return res
		case broken:
			if !r.giveUp(before, res.bad) {
				return res
			}
			if at >= most {
				furthest, most = res, at
			}
		}
	}
	if furthest.outcome == broken {
		r.blame(furthest.bad)
	}
	return furthest
}

func (r *reader) repeat(part *step, into reflect.Value, least, most int) result {
	count := 0
	for ; count < most; count++ {
		before := r.branch()
		res := r.step(part, into)
		if res.outcome == broken {
			before.blame(res.bad)
			if !r.giveUp(before, res.bad) {
				return res
			}
			break
		}
		r.accept(before)
		if res.outcome == absent {
			break
		}
	}
	if count < least {
		return result{}
	}
	return result{outcome: found, to: r.at}
}

// look looks at what comes next and takes nothing.
func (r *reader) look(s *step, into reflect.Value) result {
	before := r.branch()
	there := r.step(s.parts[0], into).outcome == found
	r.kept = r.kept[:r.ours]
	r.place = before
	if there != (s.operation == ifNext) {
		return result{outcome: broken, to: r.at, bad: r.at}
	}
	return result{outcome: found, to: r.at}
}

// keep takes a step and keeps what it finds, even of what is broken.
func (r *reader) keep(s *step, into reflect.Value) result {
	from := r.at
	res := r.step(s.parts[0], into)
	if res.outcome == found || res.to > from || res.got.IsValid() {
		r.kept = append(r.kept, keep{into, s, from, res.to, res.got})
	}
	res.got = reflect.Value{}
	return res
}

// node reads a node and puts what was kept into the fields.
func (r *reader) node(s *step) result {
	n := reflect.New(s.node)
	span := n.Interface().(placed).place()
	span.Start = r.tokens[r.at].rng.Start
	res := r.step(s.parts[0], n.Elem())
	switch res.outcome {
	case absent:
		return result{}
	case broken:
		r.settle()
		r.blame(res.bad)
	default:
		span.End = r.tokens[r.at-1].rng.End
		r.settle()
	}
	res.got = n
	return res
}

func (r *reader) readNode(s *step) result {
	if !s.self.begins(r.tokens[r.at]) {
		return result{}
	}
	n := reflect.New(s.node)
	size := n.Interface().(selfReader).read(r.tokens[r.at:])
	if size == 0 {
		return result{}
	}
	r.at += size
	return result{outcome: found, to: r.at, got: n}
}
