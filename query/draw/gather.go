package draw

import (
	"slices"
	"strconv"
	"strings"

	"netlore/store/board"
)

// drawing is a picture being drawn.
type drawing struct {
	picture  *Picture
	things   []thing // that have a place, in the order of members, then of marks
	nowhere  []thing
	sideless []thing  // of which no side is known; drawn on the top
	unnamed  []string // for which a view had no room
	used     map[sign]bool
}

// thing is a mark with what is known of its place.
type thing struct {
	*Mark
	member  int
	plain   string // its name
	name    string // with its role
	outline board.Outline
	side    board.Side
	under   []string // covers that hide it
	maybe   []string // covers that may hide it
	joined  joint    // the pad that it is soldered to
	partner bool     // it is not asked for, but soldered to what is
}

// gather sorts what is asked for by whether it has a place.
func (d *drawing) gather() {
	joins := d.joins()
	asked := 0
	for m := range d.picture.Members {
		asked += len(d.picture.Members[m].Marks)
	}
	d.things = make([]thing, 0, asked)
	for m := range d.picture.Members {
		marks := merged(d.picture.Members[m].Marks)
		for i := range marks {
			d.put(d.describe(m, &marks[i], joins))
		}
	}
	for _, m := range sortedPads(joins) {
		if j := joins[m]; j.partner {
			t := d.describe(m.member, &Mark{Kind: Pad, ID: int32(m.pad)}, joins)
			t.partner = true
			d.put(t)
		}
	}
}

func (d *drawing) put(t thing) {
	switch {
	case t.outline.Zero() && t.partner:
	case t.outline.Zero():
		d.nowhere = append(d.nowhere, t)
	default:
		if t.side == board.SideUnknown {
			t.side = board.Top
			d.sideless = append(d.sideless, t)
		}
		d.things = append(d.things, t)
	}
}

// merged is marks in which each thing is one mark.
func merged(marks []Mark) []Mark {
	type key struct {
		kind Kind
		id   int32
	}
	at := make(map[key]int, len(marks))
	out := make([]Mark, 0, len(marks))
	for _, m := range marks {
		i, ok := at[key{m.Kind, m.ID}]
		if !ok {
			at[key{m.Kind, m.ID}] = len(out)
			out = append(out, m)
			continue
		}
		have := &out[i]
		for _, g := range m.Groups {
			if !slices.Contains(have.Groups, g) {
				have.Groups = append(slices.Clip(have.Groups), g)
			}
		}
		if m.Text != have.Text {
			have.Text = strings.TrimSpace(have.Text + " " + m.Text)
		}
		have.Weight, have.Maybe = max(have.Weight, m.Weight), have.Maybe && m.Maybe
	}
	return out
}

type memberPad struct {
	member int
	pad    board.PadID
}

// joint is what a pad is soldered to.
type joint struct {
	to      string // with its role; empty if it is soldered to none
	name    string
	partner bool // the pad is not asked for itself
}

// joins are the joined pads of which one at least is asked for.
func (d *drawing) joins() map[memberPad]joint {
	asked := map[memberPad]bool{}
	for m := range d.picture.Members {
		for _, mark := range d.picture.Members[m].Marks {
			if mark.Kind == Pad {
				asked[memberPad{m, board.PadID(mark.ID)}] = true
			}
		}
	}
	found := map[memberPad]joint{}
	for _, j := range d.picture.Joins {
		a, b := memberPad{j.A, j.PadA}, memberPad{j.B, j.PadB}
		if asked[a] || asked[b] {
			found[a] = d.joint(b, !asked[a])
			found[b] = d.joint(a, !asked[b])
		}
	}
	return found
}

func sortedPads(joins map[memberPad]joint) []memberPad {
	list := make([]memberPad, 0, len(joins))
	for p := range joins {
		list = append(list, p)
	}
	slices.SortFunc(list, func(a, b memberPad) int {
		if a.member != b.member {
			return a.member - b.member
		}
		return int(a.pad - b.pad)
	})
	return list
}

func (d *drawing) joint(to memberPad, partner bool) joint {
	m := &d.picture.Members[to.member]
	name := m.Board.Pads[to.pad].Name
	return joint{qualified(m.Role, name), name, partner}
}

func qualified(role, name string) string {
	if role == "" {
		return name
	}
	return role + ":" + name
}

// describe finds what is known of a thing that is marked.
func (d *drawing) describe(member int, m *Mark, joins map[memberPad]joint) thing {
	of := &d.picture.Members[member]
	b, t := of.Board, thing{Mark: m, member: member}
	var name string
	switch m.Kind {
	case Part:
		id := board.PartID(m.ID)
		name, t.side = b.Parts[id].Name, b.PartSide(id)
		t.outline, _ = b.PartOutline(id)
		for _, h := range b.Hiders(id) {
			t.hide(b, h.Cover, h.Hiding)
		}
	case Pin:
		id := board.PinID(m.ID)
		name, t.side = b.PinName(id), b.Pins[id].Side
		t.outline, _ = b.PinOutline(id)
		for c := range b.Covers {
			t.hide(b, board.CoverID(c), b.CoversPin(board.CoverID(c), id))
		}
	case Pad:
		id := board.PadID(m.ID)
		name, t.side = b.Pads[id].Name, b.Pads[id].Side
		t.outline, _ = b.PadOutline(id)
		t.joined = joins[memberPad{member, id}]
		for c := range b.Covers {
			t.hide(b, board.CoverID(c), b.CoversPad(board.CoverID(c), id))
		}
	case Cover:
		name = b.Covers[m.ID].Name
		t.outline, t.side = b.CoverOutline(board.CoverID(m.ID))
	}
	t.plain, t.name = name, qualified(of.Role, name)
	return t
}

func (t *thing) hide(b *board.Board, c board.CoverID, h board.Hiding) {
	switch name := b.Covers[c].Name; h.Truth {
	case board.True:
		t.under = append(t.under, name)
	case board.Unknown:
		t.maybe = append(t.maybe, name)
	}
}

// label is what stands beside a thing on the plan.
func (t *thing) label() string {
	text := short(t.plain)
	if t.Order > 0 {
		text = strconv.Itoa(t.Order) + " " + text
	}
	if len(t.Groups) > 0 {
		text = t.groupLetters() + "·" + text
	}
	if t.joined.to != "" && t.joined.name != t.plain {
		text += "=" + short(t.joined.name)
	}
	if t.Text != "" {
		text += " " + short(t.Text)
	}
	if t.Maybe {
		text += "?"
	}
	return text
}

func (t *thing) groupLetters() string {
	all := make([]string, len(t.Groups))
	for i, g := range t.Groups {
		all[i] = letters(g)
	}
	return strings.Join(all, "+")
}

// told is what is said of a thing for those who point at it, or do not see it.
func (t *thing) told(groups []Group) string {
	text := t.name
	if t.Text != "" {
		text += ", " + t.Text
	}
	for _, g := range t.Groups {
		text += ", " + groups[g].text()
	}
	if len(t.under) > 0 {
		text += ", under " + strings.Join(t.under, " and ")
	}
	if len(t.maybe) > 0 {
		text += ", perhaps under " + strings.Join(t.maybe, " and ")
	}
	if t.joined.to != "" {
		text += ", soldered to " + t.joined.to
	}
	if t.Maybe {
		text += ", only possibly"
	}
	return text
}
