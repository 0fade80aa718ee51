package cli

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"netlore/query"
	"netlore/query/ring"
	"netlore/query/run"
	"netlore/query/words"
	"netlore/store"
	"netlore/store/board"
)

// mostRung is how many places one sitting rings out.
const mostRung = 2000

// ringSite is the board that is rung out, and its numbers: first its nets, then
// the places that were asked for, then others that ring with them.
type ringSite struct {
	ref    board.Ref
	role   string // in its stack, if several boards of one are rung out
	b      *board.Board
	nets   []board.Net
	noun   string // what is asked for: pad or pin
	asked  int
	onNets int // of what was asked for
	places []spot
	number map[place]int
	ground []int
	lids   []*board.Lid
}

// spot is a pad or pin.
type spot struct {
	kind   board.TargetKind
	pad    board.PadID
	pin    board.PinID
	target board.Target
}

// newRingings asks which places are to be rung out. There is one ringing for each
// board that they are on.
func (a *app) newRingings(ctx context.Context, base *store.Base, opt ringOptions, question string) ([]*ringing, error) {
	options := query.Options{On: opt.on, Rows: mostRung, Now: a.Now, Stated: true}
	q, err := query.Compile(ctx, base, options, question)
	if err != nil {
		return nil, err
	}
	a.complain(q.Notes)
	answer, err := q.Run(ctx, base, options)
	if err != nil {
		return nil, err
	}
	boards, err := rungBoards(answer)
	if err != nil {
		return nil, err
	}
	stack := ""
	if len(boards) > 1 {
		stack, err = stackOf(ctx, base, boards)
	}
	var all []*ringing
	for i := 0; i < len(boards) && err == nil; i++ {
		var r *ringing
		r, err = a.newRinging(ctx, base, opt, answer, boards[i], stack)
		all = append(all, r)
	}
	return all, err
}

func (a *app) newRinging(ctx context.Context, base *store.Base, opt ringOptions, answer *run.Answer, of run.Member, stack string) (*ringing, error) {
	b, err := base.Board(ctx, of.Board)
	if err != nil {
		return nil, err
	}
	site := newRingSite(b, answer)
	if stack != "" {
		site.role = of.Role
	}
	keep := keepInBase{a, of.Board}
	r := &ringing{ringSite: site, app: a, keep: keep}
	if opt.to != "" {
		r.keep, err = newKeepInSheet(keepInSheet{keep, opt.to, stack, site.role})
	}
	return r, err
}

// rungBoards are the boards that an answer is about, which are one, or of one stack.
func rungBoards(answer *run.Answer) ([]run.Member, error) {
	if answer.Noun != words.Pads && answer.Noun != words.Pins || len(answer.Rows) > 0 && (answer.Rows[0].ID == board.None || answer.Rows[0].Of == nil) {
		return nil, hint(errors.New("only pads and pins can be rung out"), "ask for them: netlore ring 'pads without net'")
	}
	if len(answer.Rows) == 0 {
		return nil, hint(fmt.Errorf("there is nothing to ring out: %s", answer.Footer(false)),
			"a pad that is to be rung out is in the base without its net: pad P1 top at 12.3,4.5", "a question can name others: netlore ring 'pins without net'")
	}
	if !answer.Complete() {
		return nil, hint(fmt.Errorf("more than %d places are too many for one sitting", mostRung), "ask for less: netlore ring 'pads without net in IP1'")
	}
	var all []run.Member
	for _, row := range answer.Rows {
		if slices.Contains(all, *row.Of) {
			continue
		}
		if all = append(all, *row.Of); len(all) > 1 && (all[0].Role == "" || row.Of.Role == "") {
			return nil, hint(fmt.Errorf("the boards of one stack are rung out in one sitting, and %s and %s are of none", all[0].Board, row.Of.Board), "say which: --on "+shellQuote(row.Of.Board.String()))
		}
	}
	return all, nil
}

// stackOf is the stack of which boards are in the roles that they have.
func stackOf(ctx context.Context, base *store.Base, boards []run.Member) (string, error) {
	held, err := base.Catalogue(ctx)
	if err != nil {
		return "", err
	}
	for _, s := range held.Stacks {
		if !slices.ContainsFunc(boards, func(m run.Member) bool {
			return !slices.Contains(s.Members, board.Member{Role: m.Role, Board: m.Board})
		}) {
			return s.Name, nil
		}
	}
	return "", store.ErrUnknownSubject
}

func newRingSite(b *board.Board, answer *run.Answer) *ringSite {
	s := &ringSite{ref: b.Ref, b: b, nets: b.Nets, noun: answer.Noun.Singular(), number: map[place]int{}}
	for i := range b.Nets {
		if b.Nets[i].Kind == board.Ground {
			s.ground = append(s.ground, i)
		}
	}
	for c := range b.Covers {
		s.lids = append(s.lids, b.Lid(board.CoverID(c)))
	}
	for _, row := range answer.Rows {
		if row.Of.Board != b.Ref {
			continue
		}
		x := s.padSpot(board.PadID(row.ID))
		if answer.Noun == words.Pins {
			x = s.pinSpot(board.PinID(row.ID))
		}
		if s.netOf(x) != board.None {
			s.onNets++
			continue
		}
		s.enter(x)
	}
	s.asked = len(s.places)
	return s
}

func (s *ringSite) padSpot(id board.PadID) spot {
	return spot{kind: board.OnPad, pad: id, target: s.plain(board.Target{Kind: board.OnPad, Name: s.b.Pads[id].Name})}
}

func (s *ringSite) pinSpot(id board.PinID) spot {
	pin := &s.b.Pins[id]
	return spot{kind: board.OnPin, pin: id, target: s.plain(board.Target{Kind: board.OnPin, Name: s.b.Parts[pin.Part].Name, Pin: pin.Name})}
}

// plain is a target without the word before it, if it can be missed.
func (s *ringSite) plain(t board.Target) board.Target {
	bare := board.Target{Name: nameOf(t)}
	if found := s.b.Find(bare); len(found.Kinds) == 1 && found.Kinds[0] == t.Kind {
		return bare
	}
	return t
}

func (s *ringSite) netOf(x spot) board.NetID {
	if x.kind == board.OnPad {
		return s.b.Pads[x.pad].Net
	}
	return s.b.Pins[x.pin].Net
}

// enter gives a place its number.
func (s *ringSite) enter(x spot) {
	s.number[place{x.kind, board.None, nameOf(x.target)}] = len(s.nets) + len(s.places)
	s.places = append(s.places, x)
}

// node is the number of what a target names: a net, also by one of its places,
// or a place without net. It is -1 if it has none.
func (s *ringSite) node(t board.Target) int {
	found := s.b.Find(t)
	if len(found.Kinds) == 0 {
		return -1
	}
	if n, ok := s.number[placeOf(t, found)]; ok {
		return n
	}
	return int(found.Net)
}

// sizes are how many places each net has, and how many there are besides, now
// that some of the touches lead to places that were not asked for.
func (s *ringSite) sizes(touches []touch) (nets []int, places int) {
	for more := true; more; {
		more = false
		for _, t := range touches {
			a, b := s.node(t.a), s.node(t.b)
			if !t.rings || t.b == (board.Target{}) || (a < 0) == (b < 0) {
				continue
			}
			x, ok := s.spotOf(t.a)
			if a >= 0 {
				x, ok = s.spotOf(t.b)
			}
			if ok {
				s.enter(x)
				more = true
			}
		}
	}
	for id := range s.nets {
		nets = append(nets, len(s.b.PinsOn(board.NetID(id)))+len(s.b.PadsOn(board.NetID(id))))
	}
	return nets, len(s.places)
}

// spotOf is the pad or pin that a target names.
func (s *ringSite) spotOf(t board.Target) (spot, bool) {
	found := s.b.Find(t)
	switch {
	case len(found.Kinds) == 0:
	case found.Kinds[0] == board.OnPad:
		return s.padSpot(s.b.FindPad(t.Name)), true
	case found.Kinds[0] == board.OnPin:
		for id := range s.b.Pins {
			if s.b.PinName(board.PinID(id)) == nameOf(t) {
				return s.pinSpot(board.PinID(id)), true
			}
		}
	}
	return spot{}, false
}

// facts are a touch in numbers. One against ground is not against a net of which
// the name is known if there are several grounds, unless it was silent.
func (s *ringSite) facts(t touch) []ring.Fact {
	a := s.node(t.a)
	if t.b == (board.Target{}) && a >= 0 && (!t.rings || len(s.ground) == 1) {
		var all []ring.Fact
		for _, g := range s.ground {
			all = append(all, ring.Fact{A: a, B: g, Rings: t.rings})
		}
		return all
	}
	b := s.node(t.b)
	if a < 0 || b < 0 || a == b && t.rings {
		return nil
	}
	return []ring.Fact{{A: a, B: b, Rings: t.rings}}
}
