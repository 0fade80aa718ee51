package bench

import (
	"context"
	"fmt"
	"hash/fnv"
	"net/http"
	"net/url"
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
	May             bool   // who looks may change the job
	Last            int    // the number of the last step; 0 of none
	Done            []Step // that were just logged
	Undone          string // which steps were just taken back
	Ended           string // the job is closed, or open again, from just now on
	Suspects, Tests *panel
	Outcomes        []string
	Plan            *shownPlan // nil if there is nothing to draw
	Chart           *charted
	Switches        []toggle
	Entry           entry
	Wrong           *trouble // what could not be done
	Typed           string   // the step that was typed when it went wrong
}

// FirstTest and FirstSuspect are what stands first, for windows that have no room
// for more.
func (p *jobPage) FirstTest() string    { return p.Tests.first() }
func (p *jobPage) FirstSuspect() string { return p.Suspects.first() }

// Quoted is the number of the job as a question has it.
func (p *jobPage) Quoted() string { return board.QuoteName(p.ID) }

// Named are the suspects that are things with a name.
func (p *jobPage) Named() (names []string) {
	if p.Suspects.Answer == nil {
		return nil
	}
	for _, r := range p.Suspects.Answer.Rows {
		if len(r) > 0 && !strings.Contains(r[0].Text, " ") {
			names = append(names, r[0].Text)
		}
	}
	return names
}

func (p *panel) first() string {
	if p == nil || p.Answer == nil || len(p.Answer.Rows) == 0 {
		return ""
	}
	return p.Answer.Rows[0][0].Text
}

// panel is an answer that is always in view, or why there is none.
type panel struct {
	Answer *table
	Cards  []card
	Why    string
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
	p := &jobPage{May: visitorOf(r).Works(), Wrong: wrong, Outcomes: []string{"repaired", "returned", "uneconomic"}}
	if steps, err := composed(r); err == nil && wrong != nil {
		p.Typed = steps[len(steps)-1]
	}
	s.ofJob(w, r, code, "job", func(ctx context.Context, base *store.Base, v *view, job *Sheet) error {
		p.Sheet = job
		v.Title, v.Live, v.Body = "Job "+p.ID, true, p
		p.settle(r)
		p.Switches = switches(p.Sheet)
		s.isolate(ctx, base, p, v.On)
		p.Entry = s.entry(r, base, p)
		_, p.Chart = s.compareJob(ctx, base, v.On, p.ID, "", mostStrips)
		return nil
	})
}

// settle finds the last step, and the one that was just logged.
func (p *jobPage) settle(r *http.Request) {
	if n := len(p.Steps); n > 0 {
		p.Last = p.Steps[n-1].Number
	}
	if p.Wrong != nil {
		return
	}
	number := func(name string) int { n, _ := strconv.Atoi(r.FormValue(name)); return n }
	done, steps := number("done"), max(number("steps"), 1)
	for _, s := range p.Steps {
		if done-steps < s.Number && s.Number <= done {
			p.Done = append(p.Done, s)
		}
	}
	if to, from := number("undone"), number("from"); to > p.Last {
		p.Undone = stepRange(from, to) + map[bool]string{false: " was", true: " were"}[from < to]
	}
	if ended := r.FormValue("ended"); ended == "closed" && p.Closed || ended == "open again" && !p.Closed {
		p.Ended = ended
	}
}

// stamp is another number once the story is another.
func (p *jobPage) stamp() uint64 {
	h := fnv.New64a()
	for _, s := range p.Steps {
		fmt.Fprintln(h, s.Number, s.Words)
	}
	return h.Sum64()
}

// stepRange names steps: "step 7", "steps 7 to 9".
func stepRange(from, to int) string {
	if from >= to {
		return fmt.Sprintf("step %d", to)
	}
	return fmt.Sprintf("steps %d to %d", from, to)
}

// Saved is which steps were just logged.
func (p *jobPage) Saved() string { return stepRange(p.Done[0].Number, p.Done[len(p.Done)-1].Number) }

// Verdict is that of the last of them, which the sound tells.
func (p *jobPage) Verdict() string { return p.Done[len(p.Done)-1].Verdict }

// isolate fills in the suspects and the next tests.
func (s *Server) isolate(ctx context.Context, base *store.Base, p *jobPage, on string) {
	opt := s.options("")
	opt.Rows = mostSuspects
	what := query.Isolating{Job: p.ID, Tools: s.Tools, More: "the button below lists all"}
	paneled := func(ask func(context.Context, run.Source, query.Options, query.Isolating) (*run.Answer, error)) *panel {
		answer, err := ask(ctx, base, opt, what)
		if err != nil {
			return &panel{Why: troubleOf(err, on).Message}
		}
		answer.Limit = 0 // the rest is asked for by a link
		return &panel{Answer: tabled(answer, on), Cards: cards(answer)}
	}
	p.Suspects = paneled(query.Suspects)
	if p.Suspects.Answer != nil && len(p.Suspects.Answer.Rows) > 0 {
		at := fmt.Sprintf("/job/%s/plan?as=%x", url.PathEscape(p.ID), p.stamp())
		p.Plan = &shownPlan{At: at, On: on, Shows: "what may be bad, and where to test next, drawn on the boards"}
	}
	if !p.Closed {
		p.Tests = paneled(query.Tests)
	}
}

// entry finds the place to read next.
func (s *Server) entry(r *http.Request, base *store.Base, p *jobPage) entry {
	e := entry{Measuring: Measuring{Job: p.ID, Mode: r.FormValue("mode"), Meter: r.FormValue("meter"), Places: strings.TrimSpace(r.FormValue("places"))},
		Modes: []string{"diode", "ohms", "volts"}}
	if !slices.Contains(e.Modes, e.Mode) {
		e.Mode = "diode"
	}
	if p.Wrong != nil && strings.HasSuffix(r.URL.Path, "/read") {
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
