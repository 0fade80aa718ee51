package ipcd356

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

// cutAt is how many letters of a designator the format has room for.
const cutAt = 6

// nameParts decides which part each pin record belongs to, and what that part
// is called.
//
// A designator is cut to six letters, so records of several parts may carry
// one name. With full names and places from other files of the import
// (Options.Places) each pin goes to the part whose place is nearest. Without
// them, one pin named at two places on two nets, or on two sides, shows that
// there are several parts; they are told apart by where their pins lie.
func (b *builder) nameParts() {
	b.owner = make([]int32, len(b.pins.all))
	first := b.pins.byPart(len(b.names.names))
	known := newDirectory(b, first)
	for ref, at := range first {
		if at != 0 {
			b.namePart(symbol(ref), at, known)
		}
	}
	known.tell(b)
}

// namePart deals with all pin records of one name.
func (b *builder) namePart(ref symbol, at int32, known *directory) {
	name := b.names.names[ref]
	full := known.fullNames(name)
	if len(full) == 0 && !b.repeats(at) {
		b.ownAll(name, at)
		return
	}
	records := b.recordsOf(at)
	seeds := known.seeds(full)
	if len(seeds) > 1 {
		b.own(records, b.divide(records, seeds), known.restored(name, full))
		return
	}
	groups := b.apart(name, records)
	b.warnRepeats(name, records, full, groups)
	switch {
	case groups != nil:
		b.ownGroups(ref, records, groups, full, known)
	case len(full) == 1:
		b.own(records, nil, known.restored(name, full))
	default:
		known.unclear(b, records[0], full)
		b.own(records, nil, []string{name})
	}
}

// ownAll gives all records of one name to one part.
func (b *builder) ownAll(name string, at int32) {
	b.parts = append(b.parts, named{name: name, id: b.into.Part(name)})
	for ; at != 0; at = b.pins.all[at].nextOfRef {
		b.owner[at] = int32(len(b.parts) - 1)
	}
}

// recordsOf lists the pin records of one name, in order of the file.
func (b *builder) recordsOf(at int32) []int32 {
	var records []int32
	for ; at != 0; at = b.pins.all[at].nextOfRef {
		records = append(records, at)
	}
	return records
}

// own gives each record to the part of its group; no groups is all to one.
func (b *builder) own(records []int32, group []int, names []string) {
	index := make([]int32, len(names))
	for i := range index {
		index[i] = board.None
	}
	for i, at := range records {
		g := 0
		if group != nil {
			g = group[i]
		}
		if index[g] == board.None {
			index[g] = int32(len(b.parts))
			b.parts = append(b.parts, named{name: names[g], id: b.into.Part(names[g])})
		}
		b.owner[at] = index[g]
	}
}

// ownGroups names the groups that records of one name fell into: by the one
// full name that is known, for the group nearest to its place; else the first
// keeps the name, and the others are called NAME~2, NAME~3.
func (b *builder) ownGroups(ref symbol, records []int32, groups []int, full []string, known *directory) {
	order := b.orderGroups(records, groups)
	names := make([]string, len(order))
	whose := known.nearest(full, b.centres(records, groups, len(order)))
	n := 1
	for _, g := range order {
		if g == whose {
			names[g] = known.restored(b.names.names[ref], full)[0]
			continue
		}
		names[g], n = b.freeName(ref, n)
	}
	b.tellApart(records, groups, order, names)
	b.own(records, groups, names)
}

// freeName returns the n-th name for parts of one cut name, and the next n.
func (b *builder) freeName(ref symbol, n int) (string, int) {
	base := b.names.names[ref]
	if n == 1 {
		return base, 2
	}
	for {
		name := base + "~" + strconv.Itoa(n)
		n++
		if _, taken := b.names.ids[name]; !taken && !b.into.HasPart(name) {
			return name, n
		}
	}
}

// orderGroups puts the groups of records in an order that does not depend on
// the order of the file: top before bottom, then by place.
func (b *builder) orderGroups(records []int32, groups []int) []int {
	centres := b.centres(records, groups, slices.Max(groups)+1)
	order := make([]int, len(centres))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		p, q := centres[i], centres[j]
		return cmp.Or(cmp.Compare(p.side, q.side), cmp.Compare(p.at.X, q.at.X), cmp.Compare(p.at.Y, q.at.Y))
	})
	return order
}

// centres is the middle of each group's pins, and the side they are on.
func (b *builder) centres(records []int32, groups []int, n int) []spot {
	boxes := make([]box, n)
	for i, at := range records {
		boxes[groups[i]].add(b.spot(at))
	}
	spots := make([]spot, n)
	for i := range boxes {
		spots[i] = boxes[i].centre()
	}
	return spots
}

func (b *builder) tellApart(records []int32, groups, order []int, names []string) {
	called := make([]string, len(order))
	var related []diag.Related
	for n, g := range order {
		called[n] = names[g]
		p := &b.pins.all[records[slices.Index(groups, g)]]
		related = append(related, b.related(p, names[g]+" begins here"))
	}
	p := &b.pins.all[records[0]]
	name := b.names.names[p.ref]
	message := fmt.Sprintf("%d parts have the name %s; told apart as %s", len(order), diag.Quote(name), strings.Join(called, ", "))
	help := "correct the doubled designator in the file it was made from"
	if len(name) == cutAt {
		message = fmt.Sprintf("%d parts have the name %s, which is cut to six letters; told apart as %s",
			len(order), diag.Quote(name), strings.Join(called, ", "))
		help = "give the placement table in the same import: it has the full names"
	}
	d := b.about(p, "D330", diag.Warning, message)
	d.Related, d.Help = related, []string{help}
	b.report.Add(d)
}

// warnRepeats says that pins of a name of six letters have several places on
// one net, where nothing tells whether that is one part.
func (b *builder) warnRepeats(name string, records []int32, full []string, groups []int) {
	if len(name) != cutAt || len(full) > 0 || groups != nil {
		return
	}
	for _, at := range records {
		p := &b.pins.all[at]
		if p.next == 0 || b.net(b.pins.all[p.next].net) != b.net(p.net) {
			continue
		}
		d := b.about(p, "D335", diag.Note, fmt.Sprintf("pin %s of %s has several places; taken as one part", b.names.names[p.name], name))
		d.Help = []string{"if six letters are a cut name of several parts, give the placement table in the same import"}
		b.report.Add(d)
		return
	}
}
