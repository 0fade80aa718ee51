package lsp

import (
	"fmt"
	"slices"
	"strings"

	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

// maxItems is how many suggestions are sent. With more the client asks again
// when more is typed.
const maxItems = 500

type completionItem struct {
	Label  string   `json:"label"`
	Kind   int      `json:"kind"`
	Detail string   `json:"detail,omitempty"`
	Sort   string   `json:"sortText"`
	Filter string   `json:"filterText,omitempty"`
	Edit   textEdit `json:"textEdit"`
}

type completionList struct {
	Incomplete bool             `json:"isIncomplete"`
	Items      []completionItem `json:"items"`
}

// The numbers of the protocol that fit best (section Completion Request).
const (
	keywordKind = 14
	nameKind    = 6 // a variable
)

// completion lists what can stand at a place: words of the format, and names of
// the sheets and of the knowledge base.
func (v *view) completion(p *placeParams) (any, error) {
	d, w, err := v.open(p.Document)
	if err != nil {
		return nil, err
	}
	offset := d.lines().offset(p.Position, v.s.client.encoding)
	if q, at, start, ok := sheet.QuestionAt(d.text, offset); ok {
		return v.inQuestion(d, w, q, at, start), nil
	}
	c := &completer{v: v, doc: d, slot: sheet.SlotAt(d.text, offset), list: completionList{Items: []completionItem{}}}
	c.at = d.lines().textRange(c.slot.At, v.s.client.encoding)
	for _, word := range c.slot.Words {
		c.add(completionItem{Label: word.Word, Kind: keywordKind, Detail: word.Says}, word.Word)
	}
	c.names(w)
	return c.list, nil
}

// A completer collects suggestions for one place.
type completer struct {
	v    *view
	doc  *document
	slot sheet.Slot
	at   textRange
	list completionList
}

// add adds a suggestion, unless there are too many.
func (c *completer) add(item completionItem, text string) {
	if len(c.list.Items) >= maxItems {
		c.list.Incomplete = true
		return
	}
	item.Sort = fmt.Sprintf("%04d", len(c.list.Items))
	item.Edit = textEdit{c.at, text}
	c.list.Items = append(c.list.Items, item)
}

// A prefix is what stands before the name that is being typed: a role, or the
// part of a pin.
type prefix struct {
	text   string // as written, with the colon or the dot
	name   string // what of the name is typed
	quoted bool   // it starts with a quotation mark
}

func prefixOf(typed, last string) prefix {
	p := prefix{text: typed[:len(typed)-len(last)], name: last}
	if name, ok := strings.CutPrefix(last, `"`); ok {
		p.quoted, p.name = true, name
	}
	return p
}

// names suggests names of the sorts that can stand here.
func (c *completer) names(w *world) {
	in, typed := w.scope(c.doc), c.slot.Typed
	switch {
	case len(c.slot.Names) == 0:
		return
	case !c.slot.Place:
		c.suggest(prefixOf(typed, typed), c.gather(w, in, c.slot.Names, c.slot.Of, ""), "")
		return
	}
	role, name, part, pin := sheet.SplitTyped(typed)
	if role == "" && in.u.Subject().Stack != "" {
		c.suggest(prefixOf(typed, name), c.gather(w, in, []sheet.Sort{sheet.RoleSort}, "", ""), ":")
		return
	}
	c.suggest(prefixOf(typed, name), c.gather(w, in, c.slot.Names, "", role), "")
	if part != "" && !c.slot.RoleFirst {
		c.suggest(prefixOf(typed, pin), c.gather(w, in, []sheet.Sort{sheet.PinSort}, part, role), "")
	}
}

// A named is a suggestion in the making.
type named struct {
	name string
	sort sheet.Sort
}

// gather lists names that the sheets and the base know: of the board in the
// role, if boards have things of the sort.
func (c *completer) gather(w *world, in *scope, sorts []sheet.Sort, of, role string) map[named]bool {
	where := in.meant(role).where
	found := map[named]bool{}
	for _, d := range w.docs {
		at := w.scope(d)
		// Targets are not asked for what they are: nothing is known by them.
		for m := range d.file().Mentions(func(board.Target) board.TargetKind { return board.AnyTarget }) {
			if !slices.Contains(sorts, m.Sort) || m.Of != of || d == c.doc && m.At.End > c.slot.At.Start && m.At.Start <= c.slot.At.End {
				continue // among others, what is being typed
			}
			if m.Sort.OfBoard() && at.meant(m.Role).where != where {
				continue
			}
			found[named{m.Name, m.Sort}] = true
		}
	}
	// What cannot be asked is passed over here; hover says why.
	_ = c.v.withBase(func(base *store.Base) error { return c.fromBase(base, in.meant(role).ref, sorts, of, found) })
	return found
}

// fromBase adds the names that the base knows of a board.
func (c *completer) fromBase(base *store.Base, ref board.Ref, sorts []sheet.Sort, of string, found map[named]bool) error {
	subjects, err := base.Subjects()
	if err != nil {
		return err
	}
	for _, s := range subjects {
		sort := sheet.BoardSort
		if s.Stack {
			sort = sheet.StackSort
		}
		if slices.Contains(sorts, sort) {
			found[named{s.Ref.Name, sort}] = true
		}
	}
	if !slices.ContainsFunc(sorts, sheet.Sort.OfBoard) {
		return nil
	}
	b, err := boardOf(c.v.ctx, base, ref)
	if b == nil || err != nil {
		return err
	}
	for n := range namesOf(b, of) {
		if slices.Contains(sorts, n.sort) {
			found[n] = true
		}
	}
	return nil
}

// namesOf lists the names of a board: the pins are those of one part.
func namesOf(b *board.Board, of string) map[named]bool {
	all := map[named]bool{}
	for i := range b.Parts {
		all[named{b.Parts[i].Name, sheet.PartSort}] = true
	}
	for i := range b.Nets {
		for _, name := range append([]string{b.Nets[i].Name}, b.Nets[i].Aliases...) {
			all[named{name, sheet.NetSort}] = true
		}
	}
	for i := range b.Pads {
		all[named{b.Pads[i].Name, sheet.PadSort}] = true
	}
	for i := range b.Covers {
		all[named{b.Covers[i].Name, sheet.CoverSort}] = true
	}
	for i := range b.Branches {
		all[named{b.Branches[i].Name, sheet.BranchSort}] = true
	}
	if part := b.FindPart(of); part != board.None {
		first, last := b.PinsOf(part)
		for p := first; p < last; p++ {
			all[named{b.Pins[p].Name, sheet.PinSort}] = true
		}
	}
	return all
}

// suggest adds the names that start with what is typed, whether in capital or
// in small letters, in natural order.
func (c *completer) suggest(p prefix, found map[named]bool, after string) {
	low := strings.ToLower(p.name)
	var all []named
	for n := range found {
		if strings.HasPrefix(strings.ToLower(n.name), low) {
			all = append(all, n)
		}
	}
	slices.SortFunc(all, func(a, b named) int {
		if a.sort != b.sort {
			return slices.Index(c.slot.Names, a.sort) - slices.Index(c.slot.Names, b.sort)
		}
		return board.CompareNatural(a.name, b.name)
	})
	for _, n := range all {
		text := p.text + c.slot.Written(n.name, n.sort == sheet.PinSort) + after
		filter := p.text + n.name
		if p.quoted {
			filter = p.text + `"` + n.name
		}
		c.add(completionItem{Label: n.name, Kind: nameKind, Detail: n.sort.String(), Filter: filter}, text)
	}
}
