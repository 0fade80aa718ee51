package bench

import (
	"errors"
	"net/http"
	"net/url"
	"strings"
)

var (
	errNoSymptom = errors.New("say what is wrong with the device, in a few words")
	errNoOutcome = errors.New("say how the job ended: repaired, returned, uneconomic, or a word of yours")
)

// field is what was typed into a field of a form, without blanks round it.
func field(r *http.Request, name string) string { return strings.TrimSpace(r.PostFormValue(name)) }

// openJob opens a job and shows its sheet.
func (s *Server) openJob(w http.ResponseWriter, r *http.Request) {
	o := Opening{Of: field(r, "of"), Symptom: field(r, "symptom"), Supply: field(r, "supply"), Limit: field(r, "limit"), Draw: field(r, "draw")}
	id := ""
	err := s.changing(func() (err error) {
		if o.Symptom == "" {
			return errNoSymptom
		}
		id, err = s.Desk.Open(r.Context(), o)
		return err
	})
	if err != nil {
		t := troubleOf(err, o.Of)
		s.homePage(w, r, status(err), &t, &o)
		return
	}
	http.Redirect(w, r, "/job/"+url.PathEscape(id), http.StatusSeeOther)
}

// closeJob closes a job: by a button for a usual outcome, or a word that was typed.
func (s *Server) closeJob(w http.ResponseWriter, r *http.Request) {
	e := Ending{Outcome: field(r, "outcome"), Culprit: field(r, "culprit"), Remark: field(r, "remark")}
	s.change(w, r, func() error {
		if e.Outcome == "" {
			return errNoOutcome
		}
		return s.Desk.Close(r.Context(), r.PathValue("id"), e)
	}, url.Values{"ended": {"closed"}})
}

func (s *Server) reopenJob(w http.ResponseWriter, r *http.Request) {
	s.change(w, r, func() error { return s.Desk.Reopen(r.Context(), r.PathValue("id")) }, url.Values{"ended": {"open again"}})
}
