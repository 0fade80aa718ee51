package ipcd356

import (
	"fmt"
	"slices"
	"strings"

	"netlore/importers/record"
	"netlore/query/diag"
	"netlore/store/board"
)

// directory is the full names and places that other files of the import give,
// moved so that they lie over the netlist.
type directory struct {
	places map[string]record.Place
	cut    map[string][]string // the first six letters to the full names, in natural order
	moved  board.Point         // what to take off a place
	lies   bool                // the places lie over the netlist

	restoredNames []string // "RNTCBI is RNTCBIAS3"
}

func newDirectory(b *builder, first []int32) *directory {
	d := &directory{places: map[string]record.Place{}, cut: map[string][]string{}}
	for _, p := range b.opt.Places {
		old, known := d.places[p.Name]
		if !known && len(p.Name) >= cutAt {
			d.cut[p.Name[:cutAt]] = append(d.cut[p.Name[:cutAt]], p.Name)
		}
		if !known || !old.Placed {
			d.places[p.Name] = p
		}
	}
	for _, names := range d.cut {
		slices.SortFunc(names, board.CompareNatural)
	}
	d.align(b, first)
	return d
}

// fullNames lists what a name of the netlist may stand for. A name shorter
// than six letters is whole.
func (d *directory) fullNames(name string) []string {
	if len(name) != cutAt {
		return nil
	}
	return d.cut[name]
}

// seeds is the places of several parts, if all of them are known.
func (d *directory) seeds(full []string) []spot {
	if !d.lies || len(full) < 2 {
		return nil
	}
	var spots []spot
	for _, name := range full {
		s, ok := d.spot(name)
		if !ok {
			return nil
		}
		spots = append(spots, s)
	}
	return spots
}

func (d *directory) spot(name string) (spot, bool) {
	p := d.places[name]
	at := board.Point{X: p.At.X - d.moved.X, Y: p.At.Y - d.moved.Y}
	return spot{at, p.Side}, p.Placed
}

// nearest returns which of the centres is nearest to the one full name, or
// None.
func (d *directory) nearest(full []string, centres []spot) int {
	if !d.lies || len(full) != 1 {
		return board.None
	}
	s, ok := d.spot(full[0])
	if !ok {
		return board.None
	}
	return nearestOf(s, centres)
}

// restored returns the full names and remembers which were longer than the
// netlist has them.
func (d *directory) restored(name string, full []string) []string {
	for _, f := range full {
		if f != name {
			d.restoredNames = append(d.restoredNames, name+" is "+f)
		}
	}
	return full
}

// unclear reports that several full names fit and nothing decides.
func (d *directory) unclear(b *builder, at int32, full []string) {
	if len(full) < 2 {
		return
	}
	p := &b.pins.all[at]
	n := b.about(p, "D333", diag.Warning, fmt.Sprintf("%s may be %s; it keeps its six letters",
		diag.Quote(b.names.names[p.ref]), diag.OneOf(full[:min(len(full), 8)]...)))
	n.Help = []string{"a placement table with places of the same origin would tell"}
	b.report.Add(n)
}

// tell reports the names that were restored, in one note.
func (d *directory) tell(b *builder) {
	n := len(d.restoredNames)
	if n == 0 {
		return
	}
	shown := d.restoredNames[:min(n, 6)]
	more := ""
	if n > len(shown) {
		more = ", …"
	}
	b.report.Add(diag.Diagnostic{Code: "D331", Severity: diag.Note,
		Message: fmt.Sprintf("%d names that were cut to six letters are whole again: %s%s", n, strings.Join(shown, ", "), more)})
}

// agree is how far, in micrometres, places and pins may lie apart by the
// median: a part's origin need not be the middle of its pins.
const agree = 5000

// align finds how far the origin of the places lies from the netlist's, by
// the parts whose name is whole in both: the median of all. Places that
// scatter more than that are of no use.
func (d *directory) align(b *builder, first []int32) {
	xs, ys := d.differences(b, first)
	if len(xs) >= 3 {
		d.moved = board.Point{X: median(xs), Y: median(ys)}
	}
	d.lies = median(deviations(xs, d.moved.X)) <= agree && median(deviations(ys, d.moved.Y)) <= agree
	if !d.lies && len(d.cut) > 0 {
		b.report.Add(diag.Diagnostic{Code: "D334", Severity: diag.Warning,
			Message: "the places in the tables do not lie over those of the netlist",
			Help:    []string{"is it the placement of this board and revision, with the same origin?"}})
	}
}

// differences lists place less middle of the pins, for every part whose name
// is shorter than six letters and so surely whole.
func (d *directory) differences(b *builder, first []int32) (xs, ys []int32) {
	for ref, at := range first {
		name := b.names.names[ref]
		place, ok := d.places[name]
		if at == 0 || len(name) >= cutAt || !ok || !place.Placed {
			continue
		}
		var x box
		for ; at != 0; at = b.pins.all[at].nextOfRef {
			x.add(b.spot(at))
		}
		c := x.centre()
		xs, ys = append(xs, place.At.X-c.at.X), append(ys, place.At.Y-c.at.Y)
	}
	return xs, ys
}

func deviations(values []int32, from int32) []int32 {
	out := make([]int32, len(values))
	for i, v := range values {
		if out[i] = v - from; out[i] < 0 {
			out[i] = -out[i]
		}
	}
	return out
}

// median is the middle value, 0 of none.
func median(values []int32) int32 {
	if len(values) == 0 {
		return 0
	}
	sorted := slices.Clone(values)
	slices.Sort(sorted)
	return sorted[len(sorted)/2]
}
