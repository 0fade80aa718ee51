package bench

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"netlore/store"
)

// log adds a step to a job, or the steps of a test with what was typed for them.
func (s *Server) log(w http.ResponseWriter, r *http.Request) {
	id := r.PathValue("id")
	steps, err := composed(r)
	s.change(w, r, func() error {
		if err != nil {
			return err
		}
		return s.Desk.Log(r.Context(), id, steps...)
	}, url.Values{"steps": {strconv.Itoa(len(steps))}})
}

// composed are the steps of a form. One that ends in a blank wants a value, which
// goes between it and what comes after; of several such, those without are left out.
func composed(r *http.Request) (steps []string, err error) {
	texts, values, afters := r.PostForm["step"], r.PostForm["value"], r.PostForm["after"]
	wanting, given := 0, 0
	for i, text := range texts {
		if len(values) == len(texts) && len(afters) == len(texts) && strings.HasSuffix(text, " ") {
			wanting++
			value := strings.TrimSpace(values[i])
			if value == "" {
				continue
			}
			given++
			text += value + afters[i]
		}
		if text = strings.TrimSpace(text); text != "" {
			steps = append(steps, text)
		}
	}
	switch {
	case wanting > 0 && given == 0:
		return nil, errNotTyped
	case len(steps) == 0:
		return nil, errNoStep
	}
	return steps, nil
}

// undo takes back the last steps that the browser has seen.
func (s *Server) undo(w http.ResponseWriter, r *http.Request) {
	to, wrong := strconv.Atoi(r.PostFormValue("number"))
	from := to
	if r.PostForm.Has("from") {
		from, _ = strconv.Atoi(r.PostFormValue("from"))
	}
	s.change(w, r, func() error {
		if wrong != nil || from < 1 || from > to {
			return errNoStep
		}
		return s.Desk.Undo(r.Context(), r.PathValue("id"), from, to)
	}, url.Values{"undone": {strconv.Itoa(to)}, "from": {strconv.Itoa(from)}})
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
	if !then.Has("undone") && !then.Has("ended") {
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
