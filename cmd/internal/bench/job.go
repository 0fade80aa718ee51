package bench

import (
	"context"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"netlore/query"
	"netlore/query/run"
	"netlore/store"
	"netlore/store/board"
)

// jobPage is the sheet of a job.
type jobPage struct {
	*Sheet
	Last            int // the number of the last step; 0 of none
	Done            *Step
	Undone          int
	Suspects, Tests *panel
	Switches        []toggle
	Entry           entry
	Wrong           *trouble // what could not be done
	Typed           string   // the step that was typed when it went wrong
}

// FirstTest and FirstSuspect are what stands first, for windows that have no room
// for more.
func (p *jobPage) FirstTest() string    { return p.Tests.first() }
func (p *jobPage) FirstSuspect() string { return p.Suspects.first() }

func (p *panel) first() string {
	if p == nil || p.Answer == nil || len(p.Answer.Rows) == 0 {
		return ""
	}
	return p.Answer.Rows[0][0].Text
}

// panel is an answer that is always in view, or why there is none.
type panel struct {
	Answer *table
	Why    string
}

// toggle is a state of the device that a tap changes.
type toggle struct {
	What, Is string
	On       bool
	Step     string // what a tap logs
}

// entry is the entering of readings, place after place.
type entry struct {
	Measuring
	Place    *Place // the next one; nil at the end of the list
	Next     string // the one after it
	Left     int    // with this one
	Value    string // that was wrong
	Modes    []string
	Problem  string // why there is no list
	Asked    bool   // there is a list
	Standard []string
}

// mostSuspects is how many are in view; a question lists them all.
const mostSuspects = 8

// job shows the sheet of a job.
func (s *Server) job(w http.ResponseWriter, r *http.Request) {
	s.jobSheet(w, r, http.StatusOK, nil)
}

// jobSheet shows the sheet, with what has just gone wrong.
func (s *Server) jobSheet(w http.ResponseWriter, r *http.Request, code int, wrong *trouble) {
	v := &view{Live: true}
	p := &jobPage{Wrong: wrong, Typed: r.FormValue("step")}
	id := r.PathValue("id")
	err := s.reading(r.Context(), func(base *store.Base) (err error) {
		if p.Sheet, err = s.Desk.Sheet(r.Context(), base, id); err != nil {
			return err
		}
		if err := s.homes(base, v, p.Device); err != nil {
			return err
		}
		v.Title, v.Body = "Job "+p.ID, p
		p.settle(r)
		p.Switches = switches(p.Sheet)
		s.isolate(r.Context(), base, p, v.On)
		p.Entry = s.entry(r, base, p)
		return nil
	})
	if err != nil {
		s.wrong(w, r, status(err), troubleOf(err, ""))
		return
	}
	s.show(w, code, "job", v)
}

// settle finds the last step, and the one that was just logged.
func (p *jobPage) settle(r *http.Request) {
	if n := len(p.Steps); n > 0 {
		p.Last = p.Steps[n-1].Number
	}
	if p.Wrong != nil {
		return
	}
	done, _ := strconv.Atoi(r.FormValue("done"))
	for i := range p.Steps {
		if p.Steps[i].Number == done {
			p.Done = &p.Steps[i]
		}
	}
	if undone, _ := strconv.Atoi(r.FormValue("undone")); undone > p.Last {
		p.Undone = undone
	}
}

// isolate fills in the suspects and the next tests.
func (s *Server) isolate(ctx context.Context, base *store.Base, p *jobPage, on string) {
	opt := s.options("")
	opt.Rows = mostSuspects
	what := query.Isolating{Job: p.ID}
	paneled := func(ask func(context.Context, run.Source, query.Options, query.Isolating) (*run.Answer, error)) *panel {
		answer, err := ask(ctx, base, opt, what)
		if err != nil {
			return &panel{Why: troubleOf(err, on).Message}
		}
		return &panel{Answer: tabled(answer, on)}
	}
	p.Suspects = paneled(query.Suspects)
	if !p.Closed {
		p.Tests = paneled(query.Tests)
	}
}

// switches are the halves and the covers of the device.
func switches(s *Sheet) (all []toggle) {
	if s.Halves {
		apart := slices.Contains(s.States, "separated")
		t := toggle{What: "halves", Is: "together", Step: "separated"}
		if apart {
			t.Is, t.On, t.Step = "apart", true, "joined"
		}
		all = append(all, t)
	}
	for _, c := range s.Covers {
		t := toggle{What: c, Is: "on", On: true, Step: "cover-off " + c}
		if slices.Contains(s.States, c+"-off") {
			t.Is, t.On, t.Step = "off", false, "cover-on "+c
		}
		all = append(all, t)
	}
	return all
}

// entry finds the place to read next.
func (s *Server) entry(r *http.Request, base *store.Base, p *jobPage) entry {
	e := entry{Measuring: Measuring{Job: p.ID, Mode: r.FormValue("mode"), Meter: r.FormValue("meter"), Places: strings.TrimSpace(r.FormValue("places"))},
		Modes: []string{"diode", "ohms", "volts"}}
	if !slices.Contains(e.Modes, e.Mode) {
		e.Mode = "diode"
	}
	if p.Wrong != nil {
		e.Value = r.FormValue("value")
	}
	e.Standard = s.lists(r.Context(), base, p)
	if e.Places == "" || len(e.Places) > mostQuestion || p.Closed {
		return e
	}
	all, err := s.Desk.Places(r.Context(), base, e.Measuring)
	if err != nil {
		e.Problem = troubleOf(err, "").Message
		return e
	}
	e.Asked = true
	e.find(all, r.FormValue("place"))
	return e
}

// lists are questions for places that are likely to be read: the pads on the
// supplies that most of them are on.
func (s *Server) lists(ctx context.Context, base *store.Base, p *jobPage) (all []string) {
	if p.Closed {
		return nil
	}
	answer, err := query.Ask(ctx, base, s.options(p.Device), "power nets show name, pads sorted by pads descending")
	if err != nil {
		return nil // others can be typed
	}
	for _, r := range answer.Rows[:min(len(answer.Rows), mostLists)] {
		all = append(all, "unmeasured pads on "+r.Cells[0].String()+" in job "+board.QuoteName(p.ID))
	}
	return all
}

// mostLists is how many are offered.
const mostLists = 4

// find looks for a place in the list: the first one if it is not there any more,
// none if the list has come to its end.
func (e *entry) find(all []Place, name string) {
	if name == endOfList || len(all) == 0 {
		return
	}
	i := max(0, slices.IndexFunc(all, func(p Place) bool { return p.Name == name }))
	e.Place, e.Next, e.Left = &all[i], endOfList, len(all)-i
	if i+1 < len(all) {
		e.Next = all[i+1].Name
	}
}

// endOfList stands for the place after the last one. No name has a blank at its
// front.
const endOfList = " end"
