package bench

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"netlore/store"
)

// log adds a step to a job.
func (s *Server) log(w http.ResponseWriter, r *http.Request) {
	id, step := r.PathValue("id"), strings.TrimSpace(r.PostFormValue("step"))
	s.change(w, r, func() error {
		if step == "" {
			return errNoStep
		}
		return s.Desk.Log(r.Context(), id, step)
	}, url.Values{})
}

// undo takes back the last step that the browser has seen.
func (s *Server) undo(w http.ResponseWriter, r *http.Request) {
	number, err := strconv.Atoi(r.PostFormValue("number"))
	s.change(w, r, func() error {
		if err != nil {
			return errNoStep
		}
		return s.Desk.Undo(r.Context(), r.PathValue("id"), number)
	}, url.Values{"undone": {strconv.Itoa(number)}})
}

// read adds a reading and goes on to the next place.
func (s *Server) read(w http.ResponseWriter, r *http.Request) {
	m := Measuring{Job: r.PathValue("id"), Mode: r.PostFormValue("mode"), Meter: r.PostFormValue("meter")}
	value := strings.TrimSpace(r.PostFormValue("value"))
	if quick := r.PostFormValue("quick"); quick != "" {
		value = quick
	}
	s.change(w, r, func() error {
		if value == "" {
			return errNoValue
		}
		return s.Desk.Enter(r.Context(), m, r.PostFormValue("place"), value)
	}, url.Values{"place": {r.PostFormValue("next")}})
}

// change changes a job and shows it then; a reload of that page changes nothing.
func (s *Server) change(w http.ResponseWriter, r *http.Request, do func() error, then url.Values) {
	if err := s.changing(do); err != nil {
		t := troubleOf(err, "")
		s.jobSheet(w, r, status(err), &t)
		return
	}
	id := r.PathValue("id")
	for _, kept := range []string{"mode", "meter", "places", "place"} {
		if v := r.PostFormValue(kept); v != "" && !then.Has(kept) {
			then.Set(kept, v)
		}
	}
	if !then.Has("undone") {
		then.Set("done", s.lastStep(r, id))
	}
	http.Redirect(w, r, "/job/"+url.PathEscape(id)+"?"+then.Encode(), http.StatusSeeOther)
}

// lastStep is the number of the last step of a job, to show what was logged.
func (s *Server) lastStep(r *http.Request, id string) string {
	number := 0
	_ = s.reading(r.Context(), func(base *store.Base) error { // it is logged whatever can be shown
		j, err := base.Job(r.Context(), id)
		if err == nil && len(j.Steps) > 0 {
			number = j.Steps[len(j.Steps)-1].Number
		}
		return err
	})
	return strconv.Itoa(number)
}
