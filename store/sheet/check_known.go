package sheet

import (
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

// joins checks the ends of joins against the roles of the stack, and against
// the pads of its boards where they are at hand.
func (k *checker) joins() {
	joined := map[string]*block{}
	for _, b := range k.g.of(formJoin) {
		for i, text := range []string{b.name, b.second} {
			p := splitPlace(text)
			if !k.knowsRole(p.role) {
				k.noRole(b.spot(), p.role)
				continue
			}
			if at := k.boards[p.role]; at != nil && len(at.Pads) > 0 && at.FindPad(p.name) == board.None {
				k.report(b.spot(), diag.Error, "S404", "the join leads to pad "+p.name+", which "+at.Ref.String()+" does not have", k.suggest(p.name, &board.Board{Pads: at.Pads})...)
			}
			other := splitPlace([]string{b.second, b.name}[i]).role
			k.joinedTwice(joined, b, text, other)
		}
	}
}

// joinedTwice finds a pad that is joined to two pads of one other board.
func (k *checker) joinedTwice(joined map[string]*block, b *block, end, other string) {
	key := end + " " + other
	first := joined[key]
	if first == nil {
		joined[key] = b
		return
	}
	if sameThing(first, b) {
		return
	}
	d := k.report(b.spot(), diag.Warning, "S417", "pad "+end+" is joined to two pads of "+other, "a pad faces one pad of the other board")
	also(d, first.spot(), "the other join")
}

func (k *checker) knowsRole(role string) bool {
	if k.c.Stack == nil || len(k.c.Stack.Members) == 0 {
		return true
	}
	for _, m := range k.c.Stack.Members {
		if m.Role == role {
			return true
		}
	}
	return false
}

func (k *checker) noRole(s spot, role string) {
	var roles []string
	for _, m := range k.c.Stack.Members {
		roles = append(roles, m.Role)
	}
	help := suggest(role, roles)
	if help == nil {
		help = []string{"the roles are " + diag.OneOf(roles...)}
	}
	k.report(s, diag.Error, "S415", "the stack has no board in the role "+role, help...)
}

// targets checks that what knowledge is about is there, and is one thing. Each
// name is complained of once.
func (k *checker) targets() {
	seen := map[board.Target]bool{}
	for id := formExpect; id <= formJob; id++ {
		for _, b := range k.g.of(id) {
			k.lineTargets(source{b.f, b.head}, seen)
			for i := b.head + 1; i < b.last; i++ {
				if b.f.lines[i].state == memberLine {
					k.lineTargets(source{b.f, i}, seen)
				}
			}
		}
	}
}

func (k *checker) lineTargets(s source, seen map[board.Target]bool) {
	l := &s.f.lines[s.line]
	for _, at := range s.f.lineAttrs(l) {
		switch formOf(l.form).attributes[at.slot].shape {
		case targetShape, targetsShape:
		case halfShape:
			if role := k.g.read(s.f, l, at).text; !k.knowsRole(role) {
				k.noRole(spot{s.f, l, said{f: s.f, l: l, at: at}.span()}, role)
			}
			continue
		default:
			continue
		}
		for _, t := range k.g.read(s.f, l, at).targets {
			if !seen[t] {
				seen[t] = true
				k.target(spot{s.f, l, said{f: s.f, l: l, at: at}.span()}, t)
			}
		}
	}
}

// target checks one target.
func (k *checker) target(s spot, t board.Target) {
	if t.Role != "" && !k.knowsRole(t.Role) {
		k.noRole(s, t.Role)
		return
	}
	b := k.boards[t.Role]
	if b == nil || len(b.Parts)+len(b.Nets)+len(b.Pads) == 0 || t.Kind == board.OnBoard {
		return
	}
	text := string(appendTarget(nil, &t))
	switch found := b.Find(t); {
	case len(found.Kinds) == 0:
		k.report(s, diag.Warning, "S410", "nothing on "+nameOr(b.Name, "the board")+" is called "+text, k.suggest(t.Name, b)...)
	case len(found.Kinds) > 1:
		words := make([]string, len(found.Kinds))
		for i, kind := range found.Kinds {
			words[i] = kind.String()
		}
		k.report(s, diag.Warning, "S409", text+" is the name of more than one thing: a "+strings.Join(words, " and a ")+"; the "+words[0]+" is taken",
			"write "+diag.OneOf(each(words, " "+text)...))
	}
}

func each(words []string, after string) []string {
	all := make([]string, len(words))
	for i, w := range words {
		all[i] = w + after
	}
	return all
}

func nameOr(name, otherwise string) string {
	if name == "" {
		return otherwise
	}
	return name
}

// suggest names what on a board may be meant.
func (k *checker) suggest(name string, b *board.Board) []string {
	if k.full() {
		return nil
	}
	return suggest(name, b.Names())
}

// expected finds expected values of one thing, by one author, that differ.
func (k *checker) expected() {
	type key struct {
		on   string
		mode int
		by   string
	}
	seen := map[key]*block{}
	for _, b := range k.g.of(formExpect) {
		on := k.thing(k.g.decode(b, knownTarget).targets[0])
		x := key{on, k.g.decode(b, knownMode).word, k.g.decode(b, formOf(formExpect).slotOf("by")).text}
		first := seen[x]
		if seen[x] = b; first == nil || k.valueText(first) == k.valueText(b) {
			continue
		}
		k.differ(first, b)
	}
}

// thing is a target by the name that all its names stand for.
func (k *checker) thing(t board.Target) string {
	if b := k.boards[t.Role]; b != nil {
		if found := b.Find(t); len(found.Kinds) > 0 {
			t.Kind = found.Kinds[0]
			if t.Kind == board.OnNet {
				t.Name = b.Nets[found.Net].Name
			}
		}
	}
	return string(appendTarget(nil, &t))
}

// valueText is the value of an expected value with its tolerance.
func (k *checker) valueText(b *block) string {
	f := formOf(formExpect)
	var text []byte
	for slot := range f.attributes {
		a := &f.attributes[slot]
		if at, ok := b.attribute(slot); ok && (a.shape == measuredShape || a.shape == toleranceShape) {
			text = a.append(text, k.g.read(b.f, b.line(), at), k.g.memo)
		}
	}
	return strings.TrimSpace(string(text))
}

// differ complains of two expected values by one author. The newer one holds,
// if it can be told.
func (k *checker) differ(first, second *block) {
	x, y := k.g.whenOf(first), k.g.whenOf(second)
	message := "two values are expected of " + second.name + " by one author: " + k.valueText(first) + " and " + k.valueText(second)
	severity, help := diag.Error, "take out the one that no longer holds"
	if !x.Equal(y) && !x.IsZero() && !y.IsZero() {
		severity, help = diag.Warning, "the newer one holds; take out the older"
	}
	d := k.report(second.spot(), severity, "S408", message, help)
	also(d, first.spot(), "the other value")
}

// repeats finds statements that are there twice. They are harmless.
func (k *checker) repeats() {
	k.g.groups(func(group []*block) {
		if formOf(group[0].form).named || len(group) == 1 {
			return
		}
		for _, b := range group[1:] {
			if b.text == group[0].text {
				d := k.report(b.spot(), diag.Note, "S416", "this statement is there twice", "harmless; canonical form has it once")
				also(d, group[0].spot(), "the first time")
			}
		}
	})
}
