package run

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"netlore/query/check"
	"netlore/query/isolate"
	"netlore/query/value"
	"netlore/store/board"
)

// Odds tells how likely what is in a job before anything is seen, and where that comes
// from: how the classes of parts on its rail fail, which kinds of fault come of what
// happened to the device, how often each way to look is wrong, and which parts were
// bad in other jobs. Each is told in the words in which a shop can state otherwise.
func Odds(ctx context.Context, scope *check.Scope, i Isolation) (*Answer, error) {
	x, err := isolating(ctx, scope, i, nil)
	if err != nil {
		return nil, err
	}
	a := &Answer{listing: oddsRows, Columns: []Column{{Name: "chance of"}, {Name: "is"}, {Name: "parts"}, {Name: "before"}, {Name: "from"}}}
	a.Rows = slices.Concat(x.classRows(), x.historyRows(i.Every), x.wayRows(), x.culpritRows())
	a.Remarks = append([]string{
		fmt.Sprintf("%s to ground · %.1f bits before anything was seen; by its symptom the job is %s", x.rail, x.before, board.Histories[x.odds.history]),
		"to state otherwise: netlore chances --state '" + example(a) + "'"}, x.odds.remarks...)
	a.Remarks = append(a.Remarks, x.sources()...)
	a.setUnits()
	return a, nil
}

// sources are where the failure modes come from that are not the shop's own.
func (x *isolation) sources() (all []string) {
	for i := range x.device.Parts {
		m, own := x.odds.mode(x.device.Parts[i].Class)
		if x.device.Parts[i].Grounded != board.False && !own.StatesShares() {
			all = appendNew(all, m.Kind+": "+m.Source)
		}
	}
	return all
}

// example is how the first class would be stated.
func example(a *Answer) string {
	return a.Rows[0].Cells[0].String() + " " + a.Rows[0].Cells[1].String()
}

func oddsRow(of, is string, parts int, before float64, from string) Row {
	cells := []value.Value{value.OfText(of), value.OfText(is), value.Nothing(), value.Nothing(), value.OfText(from)}
	if parts > 0 {
		cells[2], cells[3] = value.OfCount(parts), percent(before)
	}
	return Row{ID: board.None, Cells: cells}
}

// classRows are the classes of parts that may be short, the likeliest first.
func (x *isolation) classRows() (rows []Row) {
	type line struct {
		class  board.Class
		parts  int
		before float64
	}
	of := map[board.Class]*line{}
	var all []*line
	sum := 0.0
	for f := range x.faults[:x.simple] {
		fault := &x.faults[f]
		if sum += fault.Weight; fault.Kind != isolate.Single {
			continue
		}
		part := fault.Sites[0].Part
		class := x.device.Parts[part].Class
		if of[class] == nil {
			of[class] = &line{class: class}
			all = append(all, of[class])
		}
		of[class].before += fault.Weight
		if fault.Sites[0].At == x.device.Parts[part].At[0] {
			of[class].parts++
		}
	}
	slices.SortStableFunc(all, func(a, b *line) int {
		return cmp.Or(cmp.Compare(b.before, a.before), cmp.Compare(a.class.String(), b.class.String()))
	})
	for _, l := range all {
		m, own := x.odds.mode(l.class)
		usual := isolate.ModeOf(l.class)
		from := fmt.Sprintf("as a %s, %g failures in a million hours", usual.Kind, usual.Base)
		rows = append(rows, oddsRow(className(l.class), asStated("often", m.Base/usual.Base, "short", m.Short), l.parts, l.before/sum, origin(&own, from)))
	}
	return rows
}

// className is what a class is called; parts of no known class have none that a
// chance could be stated of.
func className(c board.Class) string { return cmp.Or(c.String(), "part of unknown class") }

const practice = "common practice, no source"

// historyRows are the kinds of fault with the history of the job, or all.
func (x *isolation) historyRows(every bool) (rows []Row) {
	for h, name := range board.Histories {
		history := isolate.History(h)
		if history != x.odds.history && !every {
			continue
		}
		p := oddsOf(x.odds.stated, history).priors
		own := x.odds.of(name)
		rows = append(rows, oddsRow(name, asStated("part", p.Shares[isolate.Single], "bridge", p.Shares[isolate.Bridge], "zone", p.Shares[isolate.Zone],
			"several", p.Shares[isolate.Several], "else", p.Shares[isolate.Elsewhere], "second", p.Second), 0, 0, origin(&own, practice)))
	}
	return rows
}

// wayRows are how often each way to look is wrong.
func (x *isolation) wayRows() (rows []Row) {
	r := &x.odds.rates
	is := map[string]isolate.Error{"draw": r.Draw, "tape": r.Tape, "reading": r.Reading, "corrosion": {Miss: 1 - r.Corrosion.Zone, Alarm: r.Corrosion.Nothing},
		"camera": {Alarm: r.Camera.Alarm}, "freeze": {Alarm: r.Freeze.Alarm}}
	for _, w := range board.WaysToLook {
		words := []any{"miss", is[w.Name].Miss, "alarm", is[w.Name].Alarm}
		if w.Alarm {
			words = words[2:]
		}
		own := x.odds.of(w.Name)
		rows = append(rows, oddsRow(w.Name, asStated(words...), 0, 0, origin(&own, practice)))
	}
	return rows
}

// culpritRows are the parts that were bad in other closed jobs.
func (x *isolation) culpritRows() (rows []Row) {
	sum := 0.0
	for f := range x.faults[:x.simple] {
		sum += x.faults[f].Weight
	}
	for part, jobs := range x.badIn {
		if jobs == nil {
			continue
		}
		before := 0.0
		for f := range x.faults[:x.simple] {
			if s := x.faults[f].Sites; x.faults[f].Kind == isolate.Single && s[0].Part == part {
				before += x.faults[f].Weight
			}
		}
		text := fmt.Sprintf("was bad in %s", plural(len(jobs), "closed job"))
		from := fmt.Sprintf("%s; the failure modes count for %g jobs", strings.Join(jobs, ", "), x.odds.priors.Strength)
		rows = append(rows, oddsRow(x.partName(part), text, 1, before/sum, from))
	}
	return rows
}
