package query

import (
	"fmt"
	"slices"
	"strings"

	"netlore/query/check"
	"netlore/query/diag"
	"netlore/query/syntax"
	"netlore/query/words"
	"netlore/store/board"
)

// target is what a question is asked of, before boards are read.
type target struct {
	members []board.Member // Role is empty for lone boards
	stack   *board.Stack
	named   []board.Ref // boards that the question names besides
	every   bool        // asked of every board
	boards  []board.Ref // the newest revision of every board
	stacks  []board.Stack
	meters  []board.Meter
	chances []board.Chance
	others  []string // names of boards that are not read
	stated  bool     // see Options.Stated
}

// choose finds what a question is asked of: what On says; else the only board,
// or the stack that holds all boards there are. Where that leaves a choice, the
// question must name its boards.
func choose(all *board.Catalogue, on string, q *syntax.Question) (target, diag.List) {
	var t target
	if len(all.Boards) == 0 {
		return t, complain("Q62", "the knowledge base holds no board yet", "put sheets, netlists or tables in with: netlore add FILE")
	}
	boards := newest(all)
	t.boards, t.stacks, t.meters, t.chances = boards, all.Stacks, all.Meters, all.Chances
	t.every = asksEvery(q)
	switch stack, ref, ok := findOn(all, on); {
	case on != "" && !ok:
		return t, noSuch(all, boards, on)
	case stack != nil:
		t.stack, t.members = stack, stack.Members
	case on != "":
		t.members = []board.Member{{Board: ref}}
	case len(boards) == 1:
		t.members = []board.Member{{Board: boards[0]}}
	default:
		if s := wholeStack(all, boards); s != nil {
			t.stack, t.members = s, s.Members
		}
	}
	t.name(all, boards, q)
	if len(t.members) == 0 && len(t.named) == 0 && !t.every {
		return t, noChoice(all, boards)
	}
	return t, nil
}

func complain(code, message string, help ...string) diag.List {
	return diag.List{{Code: code, Message: message, Help: help}}
}

// newest are the boards of a catalogue, each in its newest revision, which is
// the last in natural order.
func newest(all *board.Catalogue) []board.Ref {
	list := make([]board.Ref, 0, len(all.Boards))
	for _, b := range all.Boards {
		if last := len(list) - 1; last >= 0 && list[last].Name == b.Name {
			list[last] = b.Ref
			continue
		}
		list = append(list, b.Ref)
	}
	return list
}

// findOn finds the stack or board of a name, exactly or else without regard to
// case; a board may be named with its revision.
func findOn(all *board.Catalogue, name string) (*board.Stack, board.Ref, bool) {
	if name == "" {
		return nil, board.Ref{}, false
	}
	for _, same := range []func(a, b string) bool{func(a, b string) bool { return a == b }, strings.EqualFold} {
		for i := range all.Stacks {
			if same(all.Stacks[i].Name, name) {
				return &all.Stacks[i], board.Ref{}, true
			}
		}
		found, ok := board.Ref{}, false
		for _, b := range all.Boards {
			if same(b.Name, name) || same(b.Ref.String(), name) {
				found, ok = b.Ref, true // the newest comes last
			}
		}
		if ok {
			return nil, found, true
		}
	}
	return nil, board.Ref{}, false
}

// wholeStack is the stack that holds all boards, if there is just one stack.
func wholeStack(all *board.Catalogue, boards []board.Ref) *board.Stack {
	if len(all.Stacks) != 1 {
		return nil
	}
	s := &all.Stacks[0]
	for _, ref := range boards {
		if !slices.ContainsFunc(s.Members, func(m board.Member) bool { return m.Board.Name == ref.Name }) {
			return nil
		}
	}
	return s
}

// asksEvery reports whether the question says `in every board` anywhere.
func asksEvery(q *syntax.Question) bool {
	return slices.ContainsFunc(q.Slots(), func(s syntax.Slot) bool {
		return s.Kind == syntax.NameSlot && s.Leader == "every" && (strings.EqualFold(s.Name.Text, "board") || strings.EqualFold(s.Name.Text, "boards"))
	})
}

// name adds the boards that the question names after `in`.
func (t *target) name(all *board.Catalogue, boards []board.Ref, q *syntax.Question) {
	has := func(list []board.Ref, name string) bool {
		return slices.ContainsFunc(list, func(r board.Ref) bool { return r.Name == name })
	}
	var held []board.Ref
	for _, m := range t.members {
		held = append(held, m.Board)
	}
	for _, s := range q.Slots() {
		if s.Kind != syntax.NameSlot || s.Leader == "every" || s.Relation.Word != "in" && !(s.Relation.Word == "on" && s.Noun() == words.Jobs) {
			continue
		}
		stack, ref, ok := findOn(all, check.PlainName(s.Name.Text))
		if ok && stack == nil && !has(held, ref.Name) && !slices.Contains(t.named, ref) {
			t.named = append(t.named, ref)
		}
	}
	for _, ref := range boards {
		if !has(held, ref.Name) && !has(t.named, ref.Name) {
			t.others = append(t.others, ref.Name)
		}
	}
}

// noSuch words a name after --on that is nothing.
func noSuch(all *board.Catalogue, boards []board.Ref, on string) diag.List {
	list := complain("Q61", fmt.Sprintf("the knowledge base holds no board or stack called %s", diag.Quote(on)))
	for _, close := range diag.Closest(on, namesOf(all, boards)) {
		list[0].Help = append(list[0].Help, "did you mean: --on "+words.QuoteName(close))
	}
	list[0].Help = append(list[0].Help, choices(all, boards)...)
	return list
}

func namesOf(all *board.Catalogue, boards []board.Ref) []string {
	var names []string
	for _, s := range all.Stacks {
		names = append(names, s.Name)
	}
	for _, b := range boards {
		names = append(names, b.Name)
	}
	return names
}

// noChoice words a question that does not say which of several boards it is
// asked of.
func noChoice(all *board.Catalogue, boards []board.Ref) diag.List {
	message := fmt.Sprintf("the knowledge base holds %d boards; say which one is asked", len(boards))
	if n := len(all.Stacks); n > 0 {
		message = fmt.Sprintf("the knowledge base holds %d boards and %s; say which one is asked", len(boards), counted(n, "stack", "stacks"))
	}
	help := append(choices(all, boards), "or say it in the question: in "+words.QuoteName(boards[0].Name)+", in every board")
	return complain("Q60", message, help...)
}

func counted(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

// mostChoices is how many boards a complaint lists.
const mostChoices = 12

// choices are the flags that choose a stack or board.
func choices(all *board.Catalogue, boards []board.Ref) []string {
	var list []string
	for _, s := range all.Stacks {
		var members []string
		for _, m := range s.Members {
			members = append(members, m.Board.Name)
		}
		list = append(list, "--on "+words.QuoteName(s.Name)+"  the stack of "+diag.OneOf(members...))
	}
	for _, b := range boards {
		list = append(list, "--on "+words.QuoteName(b.Name))
	}
	if more := len(list) - mostChoices; more > 0 {
		list = append(list[:mostChoices], fmt.Sprintf("… and %d more", more))
	}
	return list
}
