package run

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// Contradictions lists what rings, or does not, against what is known of the
// boards: which statements cannot both be true, what a part explains, and what
// only one device on the bench shows.
func Contradictions(ctx context.Context, scope *check.Scope) *Answer {
	w := newAssembly(scope, plan.Options{}, &brake{ctx: ctx, pace: 256})
	a := &Answer{listing: clashRows}
	for _, name := range []string{"found", "is", "because", "by", "job", "time", "source"} {
		a.Columns = append(a.Columns, Column{Name: name})
	}
	for i := range scope.Members {
		s := w.site(i)
		touches := s.k.Touches(s.called)
		clashes := s.b.Stated().Clashes(touches)
		slices.SortStableFunc(clashes, func(x, y board.Clash) int { return cmp.Compare(x.Kind, y.Kind) })
		for _, c := range clashes {
			a.Rows = append(a.Rows, s.clashRow(touches, c))
			if c.Kind == board.Contradicts {
				a.Things++
			}
		}
	}
	a.setUnits()
	return a
}

func (s *site) clashRow(touches []board.Touch, c board.Clash) Row {
	t := touches[c.Touch]
	cells := []value.Value{value.OfText(s.touchName(t)), value.OfText(c.Kind.String()), value.OfText(s.clashText(touches, c)),
		textCell(t.By), textCell(t.Job), value.Nothing(), value.Nothing()}
	if !t.When.IsZero() {
		cells[5] = value.OfText(t.When.UTC().Format(time.DateOnly))
	}
	rests := []board.Statement{t.Line}
	for _, i := range c.Against {
		rests = appendNew(rests, touches[i].Line)
	}
	for _, end := range []board.Target{t.A, t.B} {
		if x, ok := s.find(end); ok && (x.noun == words.Pads || x.noun == words.Pins) {
			rests = appendNew(rests, s.statement(x))
		}
	}
	return Row{Cells: cells, Of: s.self, ID: board.None, Rests: rests}
}

func textCell(text string) value.Value {
	if text == "" {
		return value.Nothing()
	}
	return value.OfText(text)
}

// touchName is a touch with the role of its board.
func (s *site) touchName(t board.Touch) string {
	t.A.Role = s.role
	if t.B != (board.Target{}) {
		t.B.Role = s.role
	}
	return t.String()
}

// clashText says what a touch does not fit.
func (s *site) clashText(touches []board.Touch, c board.Clash) string {
	t := touches[c.Touch]
	var all []string
	switch {
	case c.A == board.None:
	case c.A == c.B:
		all = append(all, "both are on "+s.b.Nets[c.A].Name)
	default:
		other := "ground"
		if t.B != (board.Target{}) {
			other = t.B.String()
		}
		all = append(all, t.A.String()+" is on "+s.b.Nets[c.A].Name, other+" is on "+s.b.Nets[c.B].Name)
	}
	for _, i := range c.Against {
		all = append(all, touchText(&touches[i]))
	}
	if c.Parts != nil {
		var names []string
		for _, p := range c.Parts {
			names = append(names, s.b.Parts[p].Name)
		}
		all = append(all, "it may ring through "+strings.Join(names, ", "))
	}
	return strings.Join(all, "; ")
}

func (a *Answer) clashText() string {
	if len(a.Rows) == 0 {
		return "nothing rings against what is known"
	}
	text := plural(a.Things, "contradiction")
	if rest := len(a.Rows) - a.Things; rest > 0 {
		text += fmt.Sprintf(" · %d more explained by a part, or seen on one device", rest)
	}
	return text
}
