package syntax

import "reflect"

// A reader goes through the steps of the grammar, with at most two tokens taken
// before the choice between alternatives is final.
//
// It does what the participle library does with the same tags, to the token at
// which a question is said to go wrong and to the tree that is left then; a test
// holds the two to each other. That library makes a copy of what it knows for
// every alternative, on the heap, and takes some thirty times as long.
type reader struct {
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

// place is where reading has got to. Alternatives are tried from copies of it.
type place struct {
	at      int // the next token
	deepest int // the token that was bad in what got deepest
	depth   int // how deep that was
	kept    int // what was kept from here on is kept here
}

// keep is a value on its way to a field. It gets there when the node that it is
// in has been read, unless the alternative is given up before.
type keep struct {
	in       reflect.Value
	step     *step
	from, to int           // tokens
	node     reflect.Value // a pointer
}

// read reads all tokens. It returns the tree, or what there is of it, and the
// index of the bad token, or -1.
func (g *grammar) read(tokens []token) (*Question, int) {
	r := reader{tokens: tokens, kept: make([]keep, 0, 16)}
	var p place
	res := r.step(g.question, &p, reflect.Value{})
	q := &Question{}
	if res.outcome != absent {
		q = res.got.Interface().(*Question)
	}
	switch {
	case res.outcome == broken:
		return q, res.bad
	case res.outcome == found && tokens[p.at].kind == endToken:
		return q, -1
	case p.at < p.depth:
		return q, p.deepest
	}
	return q, p.at
}

// blame notes what went wrong, if nothing got deeper.
func (p *place) blame(bad, at int) {
	if at >= p.depth {
		p.deepest, p.depth = bad, at
	}
}

// branch is where an alternative is tried from.
func (r *reader) branch(p *place) place {
	b := *p
	b.kept = len(r.kept)
	return b
}

// accept goes on from where a branch has got to.
func (p *place) accept(b place) {
	p.at = b.at
	if b.depth >= p.depth {
		p.deepest, p.depth = b.deepest, b.depth
	}
}

// giveUp forgets a branch that is broken, or reports that it got too far for
// that.
func (r *reader) giveUp(p *place, b place, bad int) bool {
	if b.depth > p.depth {
		p.deepest, p.depth = b.deepest, b.depth
	} else {
		p.blame(bad, b.at)
	}
	if b.at > p.at+mostTaken {
		p.accept(b)
		return false
	}
	r.kept = r.kept[:b.kept]
	return true
}

// step takes a step. What is kept goes into the node.
func (r *reader) step(s *step, p *place, into reflect.Value) result {
	if s.sure && !s.begins.has(&r.tokens[p.at]) {
		return result{}
	}
	switch s.operation {
	case oneToken:
		p.at++
		return result{outcome: found, to: p.at}
	case inOrder:
		return r.inOrder(s, p, into)
	case firstOf:
		return r.firstOf(s, p, into)
	case atMostOnce:
		return r.repeat(s.parts[0], p, into, 0, 1)
	case anyTimes:
		return r.repeat(s.parts[0], p, into, 0, len(r.tokens))
	case atLeastOnce:
		return r.repeat(s.parts[0], p, into, 1, len(r.tokens))
	case ifNext, unlessNext:
		return r.look(s, p, into)
	case aNode:
		return r.node(s, p)
	case readNode:
		return r.readNode(s, p)
	}
	return r.keep(s, p, into)
}

func (r *reader) inOrder(s *step, p *place, into reflect.Value) result {
	for i, part := range s.parts {
		res := r.step(part, p, into)
		switch {
		case res.outcome == broken:
			return res
		case res.outcome == absent && i == 0:
			return res
		case res.outcome == absent:
			return result{outcome: broken, to: p.at, bad: p.at}
		}
	}
	return result{outcome: found, to: p.at}
}

// firstOf takes the first alternative that is there. If none is, that which got
// furthest tells what is wrong.
func (r *reader) firstOf(s *step, p *place, into reflect.Value) result {
	var furthest result
	most := 0
	for _, part := range s.parts {
		b := r.branch(p)
		res := r.step(part, &b, into)
		switch res.outcome {
		case found:
			p.accept(b)
			return res
		case broken:
			if !r.giveUp(p, b, res.bad) {
				return res
			}
			if b.at >= most {
				furthest, most = res, b.at
			}
		}
	}
	if furthest.outcome == broken {
		p.blame(furthest.bad, p.at)
	}
	return furthest
}

func (r *reader) repeat(part *step, p *place, into reflect.Value, least, most int) result {
	count := 0
	for ; count < most; count++ {
		b := r.branch(p)
		res := r.step(part, &b, into)
		if res.outcome == broken {
			p.blame(res.bad, p.at)
			if !r.giveUp(p, b, res.bad) {
				return res
			}
			break
		}
		p.accept(b)
		if res.outcome == absent {
			break
		}
	}
	if count < least {
		return result{}
	}
	return result{outcome: found, to: p.at}
}

// look looks at what comes next and takes nothing.
func (r *reader) look(s *step, p *place, into reflect.Value) result {
	b := r.branch(p)
	there := r.step(s.parts[0], &b, into).outcome == found
	r.kept = r.kept[:b.kept]
	if there != (s.operation == ifNext) {
		return result{outcome: broken, to: p.at, bad: p.at}
	}
	return result{outcome: found, to: p.at}
}

// keep takes a step and keeps what it finds, even of what is broken.
func (r *reader) keep(s *step, p *place, into reflect.Value) result {
	from := p.at
	res := r.step(s.parts[0], p, into)
	if res.outcome == found || res.to > from || res.got.IsValid() {
		r.kept = append(r.kept, keep{into, s, from, res.to, res.got})
	}
	res.got = reflect.Value{}
	return res
}

// node reads a node and puts what was kept into the fields.
func (r *reader) node(s *step, p *place) result {
	n := reflect.New(s.node)
	place := n.Interface().(placed).place()
	place.Start = r.tokens[p.at].rng.Start
	res := r.step(s.parts[0], p, n.Elem())
	switch res.outcome {
	case absent:
		return result{}
	case broken:
		r.settle(p)
		p.blame(res.bad, p.at)
	default:
		place.End = r.tokens[p.at-1].rng.End
		r.settle(p)
	}
	res.got = n
	return res
}

func (r *reader) readNode(s *step, p *place) result {
	if !s.self.begins(r.tokens[p.at]) {
		return result{}
	}
	n := reflect.New(s.node)
	size := n.Interface().(selfReader).read(r.tokens[p.at:])
	if size == 0 {
		return result{}
	}
	p.at += size
	return result{outcome: found, to: p.at, got: n}
}

// settle puts what was kept where it belongs.
func (r *reader) settle(p *place) {
	for _, k := range r.kept[p.kept:] {
		f := k.in.Field(k.step.field)
		switch k.step.sort {
		case nodeField:
			f.Set(k.node)
		case nodesField:
			f.Set(reflect.Append(f, k.node))
		case flagField:
			f.SetBool(true)
		default:
			f.Addr().Interface().(tokenField).take(r.tokens[k.from:k.to])
		}
	}
	r.kept = r.kept[:p.kept]
}

// fieldSort says how a value gets into a field.
type fieldSort uint8

const (
	nodeField fieldSort = iota
	nodesField
	flagField
	textField
)

// tokenField is a field that is filled with the text of tokens.
type tokenField interface{ take([]token) }

func sortOf(t reflect.Type) fieldSort {
	switch t.Kind() {
	case reflect.Pointer:
		return nodeField
	case reflect.Slice:
		return nodesField
	case reflect.Bool:
		return flagField
	}
	return textField
}

// placed is any node.
type placed interface{ place() *Span }
