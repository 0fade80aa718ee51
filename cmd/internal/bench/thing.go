package bench

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"netlore/query"
	"netlore/query/diag"
	"netlore/query/run"
	"netlore/query/value"
	"netlore/store"
)

var (
	errTooLong  = fmt.Errorf("a question has %d letters at most", mostQuestion)
	errNoStep   = errors.New("there is no step to log; say one, such as separated")
	errNotTyped = errors.New("type what was found before you log it")
	errNoValue  = errors.New("there is no reading; type what the meter shows")
)

// facet is a question about a thing, and its answer.
type facet struct {
	Question, On string
	Answer       *table
}

// sorts are what a name can be of, each with what is shown of such a thing, and
// with the questions that tell the rest of what is known of it; %s is its name.
var sorts = []struct {
	is, show string
	about    []string
}{
	{"parts with name = %s", "name, class, value, volts, amps, tolerance, text, package, width, height, side, x, y, function, cover, board",
		[]string{"pins of %s", "covers over %s", "pads leading to %s", "parts within 2mm of %s", "parts behind %s"}},
	{"pins with name = %s", "name, part, net, basis, side, x, y, cover, verdict, board", []string{"covers over %s"}},
	{"pads with name = %s", "name, net, basis, side, x, y, group, cover, verdict, board",
		[]string{"pads joined to %s through pads", "parts fed only by %s", "covers over %s"}},
	{"nets with name = %s", "name, alias, kind, volts, function, verdict, board",
		[]string{"branches of %s", "pads on %s", "parts on %s", "jobs with culprit on %s"}},
	{"covers with name = %s", "name, kind, side, lift, minutes, risk, board", []string{"parts under %s", "pads under %s", "parts behind %s"}},
	{"branches with name = %s", "name, net, basis, function, board", []string{"pads on %s", "parts on %s"}},
}

// said are the questions about what was said of anything.
var said = []string{"expected of %s", "readings of %s", "notes on %s", "observations on %s"}

// thing tells all that is known and said of a thing. It is what the language
// tells of it, so each piece stands under the question that asks for it.
func (s *Server) thing(w http.ResponseWriter, r *http.Request) {
	name := strings.TrimSpace(r.FormValue("name"))
	s.page(w, r, http.StatusOK, "thing", func(ctx context.Context, base *store.Base, v *view) error {
		v.Title, v.Live = name, true
		if name == "" || len(name) > mostQuestion {
			return errTooLong
		}
		var all []facet
		for _, sort := range sorts {
			is, err := s.facet(ctx, base, fmt.Sprintf(sort.is, name), " show "+sort.show, v.On)
			if err != nil {
				return err
			}
			if is == nil {
				continue
			}
			all = append(all, *is)
			more, err := s.facets(ctx, base, sort.about, name, v.On)
			if err != nil {
				return err
			}
			all = append(all, more...)
		}
		if all == nil {
			return fmt.Errorf("nothing on %s is called %s", v.On, diag.Printable(name))
		}
		more, err := s.facets(ctx, base, said, name, v.On)
		v.Body = append(all, more...)
		return err
	})
}

func (s *Server) facets(ctx context.Context, base *store.Base, questions []string, name, on string) (all []facet, err error) {
	for _, q := range questions {
		f, err := s.facet(ctx, base, fmt.Sprintf(q, name), "", on)
		if err != nil {
			return nil, err
		}
		if f != nil {
			all = append(all, *f)
		}
	}
	return all, nil
}

// facet is nil where there is nothing to tell, or where the question makes no
// sense: a net has no covers over it.
func (s *Server) facet(ctx context.Context, base *store.Base, question, show, on string) (*facet, error) {
	answer, err := query.Ask(ctx, base, s.options(on), question+show)
	var list diag.List
	if errors.As(err, &list) {
		return nil, nil
	}
	if err != nil || len(answer.Rows) == 0 {
		return nil, err
	}
	if show != "" {
		dropMissing(answer)
	}
	return &facet{question, on, tabled(answer, on)}, nil
}

// dropMissing leaves out the columns in which nothing is known.
func dropMissing(a *run.Answer) {
	var columns []run.Column
	cells := make([][]value.Value, len(a.Rows))
	for i, c := range a.Columns {
		if !slices.ContainsFunc(a.Rows, func(r run.Row) bool { return !r.Cells[i].Missing() }) {
			continue
		}
		columns = append(columns, c)
		for k, r := range a.Rows {
			cells[k] = append(cells[k], r.Cells[i])
		}
	}
	a.Columns = columns
	for k := range a.Rows {
		a.Rows[k].Cells = cells[k]
	}
}
