package run

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"netlore/query/check"
	"netlore/query/isolate"
	"netlore/query/trace"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// errNoLoss is that a question does not ask what is lost without something.
var errNoLoss = errors.New("the question is not of the form: functions lost without …")

// Loss tells what a device does without while the pads and parts of a question
// `functions lost without …` stay open or off: functions, copper, nets and parts,
// what is certain first.
func Loss(ctx context.Context, q *check.Question, opt Options) (*Answer, error) {
	r, ok := lostWithout(q)
	if !ok {
		return nil, errNoLoss
	}
	w := New(opt)
	w.brake.ctx = ctx
	return newAssembly(q.Scope, opt.Plan, w.brake).lossIn(r).answer(w), nil
}

// NoLoss is the answer if nothing is open or off.
func NoLoss() *Answer {
	return &Answer{listing: lossRows, Columns: []Column{{Name: "lost"}, {Name: "what"}, {Name: "sure"}, {Name: "why"}}}
}

// Lost are the functions among what is lost, those that surely are first.
func (a *Answer) Lost() []Lost { return a.lost }

// functionsLost are the functions that are lost, those that surely are first.
func (l *loss) functionsLost() (all []Lost) {
	for _, truth := range []board.Truth{board.True, board.Unknown} {
		for member := range l.scope.Members {
			s := l.site(member)
			for id := range int32(s.count(words.Functions)) {
				if l.function(member, id).Truth == truth {
					all = append(all, Lost{s.functionName(id).String(), truth == board.True})
				}
			}
		}
	}
	return all
}

// functionName is a function with the member that it is of.
func (s *site) functionName(id int32) value.Value {
	name := s.nameValue(words.Functions, id).String()
	return value.OfName(s.role, name, name)
}

func (l *loss) answer(w *Runner) *Answer {
	a := NoLoss()
	var possible []Row
	for _, noun := range []words.Noun{words.Functions, words.Branches, words.Nets, words.Parts} {
		for member := range l.scope.Members {
			for id := range int32(l.site(member).count(noun)) {
				x := memberThing{member, thing{noun, id}}
				f := l.fate(x)
				switch {
				case f.Truth == board.False || !l.isTold(x):
				case f.Truth == board.True:
					a.Rows = append(a.Rows, l.row(x, f))
				default:
					possible = append(possible, l.row(x, f))
				}
			}
		}
	}
	a.Things, a.lost = len(a.Rows), l.functionsLost()
	a.Rows = append(a.Rows, possible...)
	a.Remarks = append(l.said(), l.remarks...)
	a.Partial = l.brake.why
	a.Took = w.opt.Now().Sub(w.start)
	a.setUnits()
	return a
}

// fate is whether a thing is lost.
func (l *loss) fate(x memberThing) finding {
	if x.noun == words.Functions {
		return l.function(x.member, x.id)
	}
	return l.fates[x.member][x.thing]
}

// isTold reports whether a row tells of a thing. Parts that do nothing by
// themselves are counted instead, unless they are what is off.
func (l *loss) isTold(x memberThing) bool {
	s := l.site(x.member)
	if x.noun == words.Branches { // of a net in one piece the net is told
		return s.pieces()[x.id].Name != s.b.Nets[s.pieces()[x.id].Net].Name
	}
	return x.noun != words.Parts || l.opened.things[x] == board.True || !isSmall(s.b.Parts[x.id].Class)
}

// isSmall reports whether parts of a class do nothing by themselves.
func isSmall(c board.Class) bool {
	small := []board.Class{board.Capacitor, board.Resistor, board.Inductor, board.Bead, board.Fuse, board.Network, board.DiodePart, board.TestPoint, board.Jumper, board.ClassUnknown}
	return c != board.LED && slices.ContainsFunc(small, c.Is)
}

func (l *loss) row(x memberThing, f finding) Row {
	s := l.site(x.member)
	sure := "yes"
	if f.Truth != board.True {
		sure = "perhaps"
	}
	name := s.nameValue(x.noun, x.id)
	if x.noun == words.Functions {
		name = s.functionName(x.id)
	}
	return Row{ID: board.None, Of: s.self, Cells: []value.Value{name, value.OfText(s.whatIs(x.thing)), value.OfText(sure), value.OfText(f.why)}}
}

// whatIs is what a thing is, in a word or two.
func (s *site) whatIs(x thing) string {
	switch x.noun {
	case words.Functions:
		return "function"
	case words.Branches:
		return "copper"
	case words.Nets:
		if v := s.b.Nets[x.id].Volts; v.Known() {
			return "net, " + v.String()
		}
		return "net"
	}
	return s.b.Parts[x.id].Class.String()
}

// said are what no row tells: how many small parts are without supply, and what
// stays beside a capacitor that is off.
func (l *loss) said() (all []string) {
	small := map[board.Class]int{}
	for member := range l.scope.Members {
		b := l.site(member).b
		for id := range b.Parts {
			x := memberThing{member, thing{words.Parts, int32(id)}}
			if l.fate(x).Truth == board.True && !l.isTold(x) {
				small[b.Parts[id].Class]++
			}
		}
	}
	var texts []string
	for _, c := range board.Classes() {
		if n := small[c]; n == 1 {
			texts = append(texts, "1 "+c.String())
		} else if n > 1 {
			texts = append(texts, fmt.Sprintf("%d %s", n, c.Plural()))
		}
	}
	if n := small[board.ClassUnknown]; n > 0 {
		texts = append(texts, plural(n, "part")+" of no known class")
	}
	if texts != nil {
		all = append(all, "without supply, too: "+strings.Join(texts, ", "))
	}
	return append(all, l.filters()...)
}

// filters tells of each capacitor that is off what stays to filter its rail.
func (l *loss) filters() (all []string) {
	for _, x := range l.off() {
		if l.site(x.member).b.Parts[x.id].Class.Is(board.Capacitor) {
			all = append(all, l.filtersWith(x)...)
		}
	}
	return all
}

func (l *loss) filtersWith(x memberThing) (all []string) {
	s := l.site(x.member)
	if s.grounded(board.PartID(x.id)) != board.True {
		return nil
	}
	for _, at := range slices.Clone(l.places(x)) {
		if l.traced.supply.Stop(at) == trace.Stops {
			continue
		}
		name, where := s.nameValue(words.Parts, x.id).String(), l.copperName(l.traced.supply, at)
		n, sum := l.capacitorsAt(x.member, at)
		switch {
		case n == 0:
			all = append(all, name+" is the only capacitor from "+where+" to ground")
		case !sum.Known():
			all = append(all, fmt.Sprintf("%s stay from %s to ground without %s", plural(n, "capacitor"), where, name))
		default:
			all = append(all, fmt.Sprintf("%s, %s in all, stay from %s to ground without %s", plural(n, "capacitor"), sum, where, name))
		}
	}
	return all
}

// capacitorsAt are the capacitors from a place to ground that stay, and what they
// have together as far as it is known.
func (l *loss) capacitorsAt(member int, at trace.Place) (n int, sum board.Quantity) {
	s := l.site(member)
	for id := range s.b.Parts {
		x := memberThing{member, thing{words.Parts, int32(id)}}
		part := &s.b.Parts[id]
		if !part.Class.Is(board.Capacitor) || part.Unfitted || l.opened.things[x] == board.True || s.grounded(board.PartID(id)) != board.True || !slices.Contains(l.places(x), at) {
			continue
		}
		n++
		switch more, ok := sum.Add(part.Value); {
		case !sum.Known():
			sum = part.Value
		case ok:
			sum = more
		}
	}
	return n, sum
}

// withoutIt says what the device does without if the part that a fault names is
// left off.
func (x *isolation) withoutIt(f *isolate.Fault) []string {
	l := x.leftOff(f)
	if l == nil {
		return nil
	}
	var sure, perhaps []string
	for _, f := range l.functionsLost() {
		if f.Sure {
			sure = append(sure, f.Name)
		} else {
			perhaps = append(perhaps, f.Name)
		}
	}
	text := "if it is left off, nothing is lost as far as is known"
	switch {
	case sure != nil && perhaps != nil:
		text = "if it is left off, the device does without " + strings.Join(sure, ", ") + "; perhaps without " + strings.Join(perhaps, ", ")
	case sure != nil:
		text = "if it is left off, the device does without " + strings.Join(sure, ", ")
	case perhaps != nil:
		text = "if it is left off, the device may do without " + strings.Join(perhaps, ", ")
	}
	return append([]string{text}, l.filters()...)
}

// leftOff is what is lost if what a fault names is not put back: its parts, or, of
// a bridge, the pad that the rail goes through. It is nil for copper.
func (x *isolation) leftOff(f *isolate.Fault) *loss {
	var off []memberThing
	for _, s := range f.Sites {
		if s.Part != isolate.None {
			off = append(off, x.parts[s.Part])
		}
	}
	if f.Kind == isolate.Bridge {
		p := x.frame[f.Pads[0]].a
		off = append(off, memberThing{p.Member, thing{words.Pads, int32(p.ID)}})
	}
	if off == nil {
		return nil
	}
	return x.lossOf(x.bench.supply, off)
}
