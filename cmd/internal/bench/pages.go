package bench

import (
	"bytes"
	"context"
	"embed"
	"errors"
	"html/template"
	"net/http"
	"slices"
	"strings"
	"sync"

	"netlore/query"
	"netlore/query/diag"
	"netlore/query/draw"
	"netlore/store"
)

//go:embed pages/*.html
var pageFiles embed.FS

//go:embed files
var ownFiles embed.FS

// pages are the templates, each with the frame that is round all of them. Other
// commands do without them, and start the sooner.
var pages = sync.OnceValue(func() map[string]*template.Template {
	return parsePages("enter", "home", "answer", "thing", "job", "compare", "photos", "photo", "problem", "explain", "devices", "pair")
})

func parsePages(names ...string) map[string]*template.Template {
	frame := template.Must(template.ParseFS(pageFiles, "pages/frame.html", "pages/parts.html"))
	all := map[string]*template.Template{}
	for _, name := range names {
		all[name] = template.Must(template.Must(frame.Clone()).ParseFS(pageFiles, "pages/"+name+".html"))
	}
	return all
}

// view is what the frame of a page needs, and the page itself in Body.
type view struct {
	Title    string
	In       bool     // the browser has come in, so it can ask
	Question string   // in the question line
	On       string   // what is asked
	Homes    []string // what can be asked
	Live     bool     // the page is told when the base has changed
	By       visitor  // who asks
	Keeps    bool     // the page tells who may come in
	Body     any
}

// Starts are how the steps of a job begin that are logged most; the cursor goes
// where the line is.
func (*view) Starts() []start {
	return []start{{"draw", "draw _A"}, {"hot", "hot _"}, {"nothing hot", "hot nothing"}, {"look", "look _"}, {"inject", "inject _ 1V 2A"},
		{"tape", "tape _"}, {"removed", "removed _"}, {"replaced", "replaced _"}, {"lifted", "lifted _"}, {"note", `note "_"`}}
}

// start is a button that begins a step.
type start struct{ Word, Step string }

// trouble is what went wrong.
type trouble struct {
	Message  string
	Help     []string
	Code     string
	Drawn    []drawnLine  // the complaint with its line and caret
	Instead  []suggestion // questions to ask instead
	Question string
	On       string
	Knock    string // where this device can be let in
}

// suggestion is a question, as a button.
type suggestion struct{ Question, On string }

// show answers with a page.
func (s *Server) show(w http.ResponseWriter, r *http.Request, status int, page string, v *view) {
	v.By = visitorOf(r)
	v.Keeps = v.By.may >= toLetIn && s.Network != nil
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	send(w, status, page, "frame", v)
}

// send sends what a template of a page makes of something. It is made before the first byte is
// sent, so that nothing can go wrong in its middle.
func send(w http.ResponseWriter, status int, page, template string, of any) {
	var text bytes.Buffer
	if err := pages()[page].ExecuteTemplate(&text, template, of); err != nil {
		panic(err)
	}
	w.WriteHeader(status)
	_, _ = text.WriteTo(w) // the browser has gone
}

// problem answers with what went wrong to who may not see more.
func (s *Server) problem(w http.ResponseWriter, r *http.Request, status int, t trouble) {
	s.show(w, r, status, "problem", &view{Title: "Not done", Body: &t})
}

func (s *Server) nowhere(w http.ResponseWriter, r *http.Request) {
	s.wrong(w, r, http.StatusNotFound, trouble{Message: "there is no page at this address"})
}

// wrong answers with what went wrong, on a page that goes on.
func (s *Server) wrong(w http.ResponseWriter, r *http.Request, status int, t trouble) {
	v := &view{Title: "Not done", Body: &t, Question: t.Question}
	_ = s.reading(r.Context(), func(base *store.Base) error { return s.homes(base, v, t.On) }) // its own trouble is the one told
	s.show(w, r, status, "problem", v)
}

// status is what a browser is told of an error.
func status(err error) int {
	var locked *store.LockedError
	switch {
	case errors.As(err, &locked), errors.Is(err, context.DeadlineExceeded):
		return http.StatusServiceUnavailable
	case errors.Is(err, store.ErrNoPhoto), errors.Is(err, errNoSide), errors.Is(err, draw.ErrNothing), errors.Is(err, query.ErrNothingThere):
		return http.StatusNotFound
	case store.IsBaseError(err):
		return http.StatusInternalServerError
	}
	return http.StatusUnprocessableEntity
}

// isMeant stands before a question that may have been meant.
const isMeant = "did you mean: "

// troubleOf words an error for the page: complaints with their carets, what may
// have been meant as buttons.
func troubleOf(err error, on string) trouble {
	var list diag.List
	if errors.Is(err, context.DeadlineExceeded) {
		return trouble{Message: "this took too long, so it was stopped", Help: []string{"ask about one board, or for less at a time"}}
	}
	if !errors.As(err, &list) || len(list) == 0 {
		t := trouble{Message: err.Error()}
		var h interface{ Help() []string }
		if errors.As(err, &h) {
			t.Help = h.Help()
		}
		return t
	}
	t := trouble{Message: list[0].Message, Code: list[0].Code}
	for i := range list {
		list[i].Help = slices.DeleteFunc(slices.Clone(list[i].Help), func(help string) bool {
			q, meant := strings.CutPrefix(help, isMeant)
			if meant {
				t.Instead = append(t.Instead, suggestion{q, on})
			}
			return meant
		})
	}
	t.Drawn = drawn(list)
	return t
}

// drawnLine is a line of complaints as they are drawn. What is Kept is not broken in a
// narrow window: the caret stands under what it means.
type drawnLine struct {
	Text string
	Kept bool
}

func drawn(list diag.List) (lines []drawnLine) {
	var text strings.Builder
	_ = diag.Write(&text, list, diag.Style{Most: 5}) // a Builder takes all
	for line := range strings.Lines(text.String()) {
		one := drawnLine{Text: strings.TrimSuffix(line, "\n")}
		if strings.HasSuffix(one.Text, "^") && strings.Trim(one.Text, " ^") == "" {
			one.Kept, lines[len(lines)-1].Kept = true, true
		}
		lines = append(lines, one)
	}
	return lines
}

// homes fills in what can be asked, and what is asked now: what the browser
// says, else the first stack, else the first board.
func (s *Server) homes(base *store.Base, v *view, on string) error {
	all, err := base.Subjects()
	if err != nil {
		return err
	}
	v.In, v.Homes = true, homesAmong(all)
	for _, name := range v.Homes {
		if v.On == "" || name == on || strings.HasPrefix(name, on+" rev ") {
			v.On = name // of several revisions the newest, which stands last
		}
		if name == on {
			break
		}
	}
	return nil
}

// homesAmong are the stacks and boards, stacks first: who has one on the bench
// mostly asks both halves.
func homesAmong(all []store.Subject) (names []string) {
	for _, stacks := range []bool{true, false} {
		for _, one := range all {
			if !one.Shared() && !one.Job && one.Stack == stacks {
				names = append(names, one.Ref.String())
			}
		}
	}
	return names
}

// options are the limits on a question.
func (s *Server) options(on string) query.Options {
	return query.Options{On: on, Rows: mostRows, Time: mostTime, Now: s.Now}
}

// page answers with a page about what the browser says that is asked.
func (s *Server) page(w http.ResponseWriter, r *http.Request, code int, name string, make func(ctx context.Context, base *store.Base, v *view) error) {
	s.opened(w, r, code, name, func(ctx context.Context, base *store.Base, v *view) error {
		if err := s.homes(base, v, r.FormValue("on")); err != nil {
			return err
		}
		return make(ctx, base, v)
	})
}

// ofJob answers with a page about a job, and asks its device.
func (s *Server) ofJob(w http.ResponseWriter, r *http.Request, code int, name string, make func(ctx context.Context, base *store.Base, v *view, job *Sheet) error) {
	s.opened(w, r, code, name, func(ctx context.Context, base *store.Base, v *view) error {
		job, err := s.Desk.Sheet(ctx, base, r.PathValue("id"))
		if err != nil {
			return errors.Join(err, s.homes(base, v, ""))
		}
		if err := s.homes(base, v, job.Device); err != nil {
			return err
		}
		return make(ctx, base, v, job)
	})
}

// opened answers with a page that is made with the base open, and with a status if
// that goes well.
func (s *Server) opened(w http.ResponseWriter, r *http.Request, code int, name string, make func(ctx context.Context, base *store.Base, v *view) error) {
	v := &view{}
	err := s.reading(r.Context(), func(base *store.Base) error { return make(r.Context(), base, v) })
	if err != nil {
		v.Title, v.Body = "Not done", troubleOf(err, v.On)
		s.show(w, r, status(err), "problem", v)
		return
	}
	s.show(w, r, code, name, v)
}

// files serves the scripts, the style and the pictures, which are the same for
// everybody. A browser that has one is told that it is the same.
func files(w http.ResponseWriter, r *http.Request) {
	path := "files/" + r.PathValue("name")
	if text, err := ownFiles.ReadFile(path); err == nil {
		w.Header().Set("Cache-Control", "no-cache")
		w.Header().Set("ETag", `"`+version(string(text))+`"`)
	}
	http.ServeFileFS(w, r, ownFiles, path)
}
