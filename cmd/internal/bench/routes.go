package bench

import (
	"context"
	"net/http"
	"slices"
)

// right is what somebody may do who asks. Each includes those before it.
type right int

const (
	toKnock right = iota // who calls this machine by its name
	toLook               // a guest: all that could be shared, and nothing that is private
	toWork               // whoever was let in to work
	toLetIn              // who sits at this machine
)

// route is a page, or what a form is sent to, and what is needed for it. No other
// place decides who may do what.
type route struct {
	at    string // method and path, as net/http has them
	needs right
	do    http.HandlerFunc
}

// routes are all that a gate leads to. What changes anything needs a POST and the
// right to work at least; what lets in is the gate's own.
func (s *Server) routes(g *gate) []route {
	few := s.oneOfFew
	return append(slices.Clone(g.opens), []route{
		{"GET /files/{name}", toKnock, files},
		{"GET /live", toLook, s.live},
		{"GET /{$}", toLook, few(s.home)},
		{"GET /ask", toLook, few(s.ask)},
		{"GET /plan", toLook, few(s.plan)},
		{"GET /at", toLook, few(s.at)},
		{"GET /complete", toLook, few(s.complete)},
		{"GET /thing", toLook, few(s.thing)},
		{"GET /explain/{code}", toLook, few(s.explain)},
		{"GET /job/{id}", toLook, few(s.job)},
		{"GET /job/{id}/plan", toLook, few(s.jobPlan)},
		{"GET /job/{id}/compare", toLook, few(s.compare)},
		{"GET /photos", toWork, few(s.listPhotos)},
		{"GET /photo", toWork, few(s.photo)},
		{"GET /photo/picture", toWork, few(s.photoPicture)},
		{"GET /photo/flat", toWork, few(s.photoFlat)},
		{"GET /photo/view", toWork, few(s.photoView)},
		{"GET /photo/plan", toWork, few(s.photoPlan)},
		{"POST " + uploadPath, toWork, s.oneUpload(few(s.addPhoto))},
		{"POST /photo/point", toWork, few(s.pick)},
		{"POST /photo/drop", toWork, few(s.drop)},
		{"POST /photo/place", toWork, few(s.place)},
		{"POST /photo/unplace", toWork, few(s.unplace)},
		{"POST /photo/remove", toWork, few(s.dropPhoto)},
		{"POST /job", toWork, few(s.openJob)},
		{"POST /job/{id}/close", toWork, few(s.closeJob)},
		{"POST /job/{id}/reopen", toWork, few(s.reopenJob)},
		{"POST /job/{id}/log", toWork, few(s.log)},
		{"POST /job/{id}/undo", toWork, few(s.undo)},
		{"POST /job/{id}/read", toWork, few(s.read)},
		{"GET /devices", toLetIn, few(s.devices)},
		{"POST /devices/code", toLetIn, few(s.newCode)},
		{"POST /devices/away", toLetIn, few(s.sendAway)},
		{"/", toLook, few(s.nowhere)},
	}...)
}

// guarded lets pass who may do what a route needs.
func (s *Server) guarded(g *gate, rt route) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		v := g.visitor(r)
		r = r.WithContext(context.WithValue(r.Context(), visitorKey{}, v))
		changes := r.Method != http.MethodGet && r.Method != http.MethodHead
		switch {
		case rt.needs == toKnock, v.may >= rt.needs && (v.may >= toWork || !changes):
			rt.do(w, r)
		case v.may == toKnock && r.URL.Path == "/" && g.knock != "" && !changes:
			http.Redirect(w, r, g.knock, http.StatusSeeOther)
		case v.may == toKnock:
			s.problem(w, r, http.StatusForbidden, trouble{Message: "this browser has not been let in", Help: []string{g.help}, Knock: g.knock})
		case v.may == toLook && changes && rt.needs <= toWork:
			s.denied(w, r, trouble{Message: "a guest may look and change nothing, so nothing was done", Code: "B201"})
		case v.may == toLook && rt.needs <= toWork:
			s.denied(w, r, trouble{Message: "this page is for the shop alone, and not for guests", Code: "B201"})
		default:
			s.denied(w, r, trouble{Message: "who is let in is said at the computer, so nothing was done", Code: "B202"})
		}
	}
}

// denied tells who may look why he may not do that, on a page that goes on. It waits for
// no place among the few, so it leaves the base alone.
func (s *Server) denied(w http.ResponseWriter, r *http.Request, t trouble) {
	s.show(w, r, http.StatusForbidden, "problem", &view{Title: "Not done", Body: &t, In: true})
}
