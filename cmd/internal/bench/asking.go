package bench

import (
	"context"
	"encoding/json"
	"net/http"
	"net/url"
	"strings"
	"unicode/utf8"

	"netlore/cmd/internal/render"
	"netlore/query"
	"netlore/query/diag"
	"netlore/query/run"
	"netlore/query/value"
	"netlore/store"
)

// table is an answer on a page.
type table struct {
	Reading string
	Heads   []render.Column
	Rows    [][]cell
	Remarks []string
	Minds   []string // cautions
	Footer  string
	Partial bool // rows are missing
}

// cell is a cell of a table. What has a Link can be tapped.
type cell struct {
	Text, Link    string
	Number, Short bool
}

// shortest is up to how many letters a cell stays in one line.
const shortest = 16

// tabled puts an answer into cells. Names lead to what is known of them.
func tabled(a *run.Answer, on string) *table {
	made := render.Cells(a)
	t := &table{Reading: a.Reading, Heads: made.Columns, Footer: a.Footer(false), Partial: !a.Complete()}
	t.Remarks, t.Minds = remarksOf(a)
	for i, texts := range made.Rows {
		row := make([]cell, len(texts))
		for k, text := range texts {
			row[k] = cell{Text: diag.Printable(text), Link: leads(a.Columns[k].Name, a.Rows[i].Cells[k], on), Number: made.Columns[k].Number, Short: len(text) <= shortest}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// leads is where a tap on a cell leads: to a job, or to what is known of a thing.
func leads(column string, v value.Value, on string) string {
	if text := v.String(); column == "suspect" && !strings.Contains(text, " ") {
		return "/thing?" + url.Values{"name": {text}, "on": {on}}.Encode()
	}
	switch {
	case v.Kind() != value.Name, column == "board", column == "device":
		return ""
	case column == "job":
		return "/job/" + url.PathEscape(v.Raw())
	}
	return "/thing?" + url.Values{"name": {v.String()}, "on": {on}}.Encode()
}

// answered is a page with an answer.
type answered struct {
	Notes  []drawnLine
	Answer *table
	Plan   *shownPlan // nil if it cannot be drawn
}

// ask answers a question.
func (s *Server) ask(w http.ResponseWriter, r *http.Request) {
	text := strings.TrimSpace(r.FormValue("q"))
	s.page(w, r, http.StatusOK, "answer", func(ctx context.Context, base *store.Base, v *view) error {
		v.Title, v.Question, v.Live = text, text, true
		if len(text) > mostQuestion {
			v.Question = ""
			return errTooLong
		}
		opt := s.options(v.On)
		q, err := query.Compile(ctx, base, opt, text)
		if err != nil {
			return err
		}
		answer, err := q.Run(ctx, base, opt)
		if err != nil {
			return err
		}
		t := tabled(answer, v.On)
		t.Footer = answer.Footer(true)
		page := &answered{Notes: drawn(q.Notes), Answer: t}
		if len(t.Rows) > 0 && q.Drawable() {
			at := "/plan?" + url.Values{"q": {text}, "on": {v.On}}.Encode()
			page.Plan = &shownPlan{At: at, On: v.On, Shows: "the answer drawn on the boards: " + text}
		}
		v.Body = page
		return nil
	})
}

// offer is a completion: the question with it, in two halves round the cursor.
type offer struct {
	Text  string `json:"text"`
	Sort  string `json:"sort"`
	Left  string `json:"left"`
	Right string `json:"right"`
}

// mostOffers is how many can be looked at.
const mostOffers = 40

// complete offers what can stand at the cursor, which is after left and before
// right.
func (s *Server) complete(w http.ResponseWriter, r *http.Request) {
	left, right := r.FormValue("left"), r.FormValue("right")
	offers, code := []offer{}, http.StatusOK
	if len(left)+len(right) <= mostQuestion && utf8.ValidString(left+right) {
		err := s.reading(r.Context(), func(base *store.Base) error {
			text := left + right
			found := query.Complete(r.Context(), base, s.options(r.FormValue("on")), text, len(left))
			for _, o := range found.Offers[:min(len(found.Offers), mostOffers)] {
				offers = append(offers, offer{diag.Printable(o.Text), o.Sort, text[:found.Replace.Start] + o.Text, text[found.Replace.End:]})
			}
			return nil
		})
		if err != nil {
			code = status(err)
		}
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(code)
	_ = json.NewEncoder(w).Encode(offers) // the browser has gone
}

// homeBody is what is there: jobs, boards, saved questions.
type homeBody struct {
	Open, Closed []store.JobLine
	Saved        []store.Saved
	On           string
	Wrong        *trouble // why no job was opened
	Opening      Opening  // what was typed for one
}

func (s *Server) home(w http.ResponseWriter, r *http.Request) {
	s.homePage(w, r, http.StatusOK, nil, &Opening{})
}

// homePage shows the bench, with what has just gone wrong.
func (s *Server) homePage(w http.ResponseWriter, r *http.Request, code int, wrong *trouble, typed *Opening) {
	s.page(w, r, code, "home", func(ctx context.Context, base *store.Base, v *view) error {
		jobs, err := base.Jobs(ctx)
		if err != nil {
			return err
		}
		saved, err := base.Saved(ctx)
		v.Title, v.Live = "The bench", true
		v.Body = &homeBody{open(jobs, true), open(jobs, false), saved, v.On, wrong, *typed}
		return err
	})
}

func open(all []store.JobLine, is bool) (some []store.JobLine) {
	for _, j := range all {
		if j.Closed.IsZero() == is {
			some = append(some, j)
		}
	}
	return some
}

// explain tells more about a complaint.
func (s *Server) explain(w http.ResponseWriter, r *http.Request) {
	code := strings.ToUpper(r.PathValue("code"))
	text, ok := s.Explain(code)
	if !ok {
		s.nowhere(w, r)
		return
	}
	s.page(w, r, http.StatusOK, "explain", func(_ context.Context, _ *store.Base, v *view) error {
		v.Title, v.Body = code, strings.Join(render.Paragraphs(text), "\n")
		return nil
	})
}
