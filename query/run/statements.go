package run

import (
	"strings"

	"netlore/query/words"
	"netlore/store/board"
)

// thing is one thing of a member.
type thing struct {
	noun words.Noun
	id   int32
}

// statements is what the readings, expected values or notes of a member are
// about.
type statements struct {
	about     [][]thing         // by statement
	of        map[thing][]int32 // by thing, ascending
	elsewhere []bool            // about another member of the stack
}

// statements binds the statements of a noun to the things of the board.
func (s *site) statements(n words.Noun) *statements {
	if st, ok := s.said[n]; ok {
		return st
	}
	count := s.count(n)
	st := &statements{make([][]thing, count), map[thing][]int32{}, make([]bool, count)}
	for id := range count {
		targets := s.targets(n, id)
		st.elsewhere[id] = len(targets) > 0
		for _, t := range targets {
			if s.isHere(t) {
				st.elsewhere[id] = false
				st.about[id] = appendNew(st.about[id], s.bind(t)...)
			}
		}
		for _, t := range st.about[id] {
			st.of[t] = append(st.of[t], int32(id))
		}
	}
	if s.said == nil {
		s.said = map[words.Noun]*statements{}
	}
	s.said[n] = st
	return st
}

// targets are what a statement is about, as it was written.
func (s *site) targets(n words.Noun, id int) []board.Target {
	switch n {
	case words.Readings:
		r := &s.readings()[id]
		if r.To != (board.Target{}) {
			return []board.Target{r.On, r.To}
		}
		return []board.Target{r.On}
	case words.Expected:
		return []board.Target{s.k.Expected[id].On}
	case words.Observations:
		o := s.observed(int32(id))
		if !s.knowsJob(o.jobID, s.member) {
			return nil
		}
		if o.To != (board.Target{}) {
			return append(o.On[:len(o.On):len(o.On)], o.To)
		}
		return o.On
	}
	return s.k.Notes[id].On
}

// isHere reports whether a target can be on this member.
func (s *site) isHere(t board.Target) bool {
	return t.Role == "" || s.called == "" || t.Role == s.called
}

// bind finds the things that a statement about a target is about: the thing
// itself, and what it is a place of. A pin is a place of its part and its net,
// a pad or branch of its net.
func (s *site) bind(t board.Target) []thing {
	found, ok := s.find(t)
	if !ok {
		return nil
	}
	all := []thing{found}
	net := board.NetID(board.None)
	switch found.noun {
	case words.Pins:
		pin := &s.b.Pins[found.id]
		all = append(all, thing{words.Parts, int32(pin.Part)})
		net = pin.Net
	case words.Pads:
		net = s.b.Pads[found.id].Net
	case words.Branches:
		net = s.b.Branches[found.id].Net
	}
	if net != board.None {
		all = append(all, thing{words.Nets, int32(net)})
	}
	return all
}

// find looks up the thing that a target names. Without a kind it is a pad of
// that name, else a net, else a part, else a pin.
func (s *site) find(t board.Target) (thing, bool) {
	switch t.Kind {
	case board.OnBoard:
		return thing{words.Boards, 0}, t.Name == s.b.Name || t.Name == s.b.Ref.String() || t.Name == ""
	case board.OnPart:
		return found(words.Parts, s.b.FindPart(t.Name))
	case board.OnPin:
		return s.findPin(t)
	case board.OnNet:
		return found(words.Nets, s.b.FindNet(t.Name))
	case board.OnPad:
		return found(words.Pads, s.b.FindPad(t.Name))
	case board.OnCover:
		return found(words.Covers, s.b.FindCover(t.Name))
	case board.OnBranch:
		return s.findBranch(t.Name)
	}
	for _, kind := range []board.TargetKind{board.OnPad, board.OnNet, board.OnPart, board.OnPin} {
		if t.Pin != "" && kind != board.OnPin {
			continue
		}
		t.Kind = kind
		if x, ok := s.find(t); ok {
			return x, true
		}
	}
	return thing{}, false
}

func found[ID ~int32](n words.Noun, id ID) (thing, bool) {
	return thing{n, int32(id)}, id != board.None
}

// findPin takes the part and pin apart if they are given in one word.
func (s *site) findPin(t board.Target) (thing, bool) {
	if t.Pin == "" {
		dot := strings.LastIndexByte(t.Name, '.')
		if dot < 0 {
			return thing{}, false
		}
		t.Name, t.Pin = t.Name[:dot], t.Name[dot+1:]
	}
	part := s.b.FindPart(t.Name)
	if part == board.None {
		return thing{}, false
	}
	return found(words.Pins, s.b.FindPin(part, t.Pin))
}

func (s *site) findBranch(name string) (thing, bool) {
	for i := range s.b.Branches {
		if s.b.Branches[i].Name == name {
			return thing{words.Branches, int32(i)}, true
		}
	}
	return thing{}, false
}

// appendNew appends what is not there yet.
func appendNew[T comparable](list []T, more ...T) []T {
next:
	for _, m := range more {
		for _, have := range list {
			if have == m {
				continue next
			}
		}
		list = append(list, m)
	}
	return list
}
