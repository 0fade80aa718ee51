package bench_test

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"netlore/cmd/internal/bench"
)

// stands is what stands for each wildcard of a route. A new one has to be given here,
// so that no route is left out.
var stands = map[string]string{"{$}": "", "{name}": "page.css", "{id}": "1042", "{code}": "Q10"}

// asked is how each route that tells something is asked for, where its path alone is
// not enough.
var asked = map[string]string{"/ask": "?q=observations", "/plan": "?q=power+nets&on=Heron", "/thing": "?name=lower:VMAIN", "/complete": "?left=par&right=", "/at": "?thing=lower:VMAIN&on=Heron",
	"/photo": heronTop, "/photo/picture": heronTop, "/photo/flat": heronTop, "/photo/view": heronTop, "/photo/plan": heronTop}

const heronTop = "?of=Heron-B+rev+2&side=top"

// routed is a route with a path of it, and what to ask.
func routed(t *testing.T, rt bench.Route) (method, path string) {
	t.Helper()
	method, path, has := strings.Cut(rt.At, " ")
	if !has {
		method, path = "GET", rt.At+"nowhere"
	}
	path = regexp.MustCompile(`\{[^}]*\}`).ReplaceAllStringFunc(path, func(card string) string {
		is, ok := stands[card]
		if !ok {
			t.Errorf("%s: say in stands what %s is in a test", rt.At, card)
		}
		return is
	})
	return method, path + asked[path]
}

// TestGuest walks over every route of the page: a guest may look and change nothing,
// and who was not let in learns nothing. What only asks has the method GET and no
// other: a new route that changes something cannot be forgotten.
func TestGuest(t *testing.T) {
	const canary = "canary-7781"
	s := serveOpen(t)
	if code, out := command(t, s.base, "job", "private", "1042", "--customer", canary+"-1", "--serial", canary+"-2", "--private-remark", canary+"-3"); code != 0 {
		t.Fatal(out)
	}
	s.photographed()
	there := s.from(s.there)
	guest, tablet, stranger := s.letIn("guest", "visitor"), s.letIn("work", "tablet"), s.device()
	looked := 0
	for _, rt := range bench.NetworkRoutes() {
		method, path := routed(t, rt)
		if method != "GET" && (rt.Looks && !rt.Enters) {
			t.Errorf("%s changes something and needs no right to work", rt.At)
		}
		ask := func(c *http.Client) (int, string) {
			t.Helper()
			if method == "GET" {
				if path == "/live" {
					return s.do(c, there.request(method, path, "")), "" // it has no end
				}
				return there.get(c, path)
			}
			r, text := there.post(c, path, url.Values{"step": {"joined"}, "number": {"6"}, "place": {"lower:P12"}, "value": {"0.4"}, "mode": {"diode"},
				"of": {"Heron"}, "symptom": {"dead"}, "outcome": {"repaired"}, "for": {"guest"}, "device": {"tablet"}})
			return r.StatusCode, text
		}
		code, text := ask(guest)
		switch {
		case !rt.Enters && rt.Looks && strings.Contains(text, "/photo"):
			t.Errorf("%s shows a guest a photo, which is for the shop alone", rt.At)
		case strings.Contains(text, canary):
			t.Errorf("%s tells a guest what is private", rt.At)
		case rt.Enters:
		case rt.Looks && code >= http.StatusBadRequest && rt.At != "/", !rt.Looks && code != http.StatusForbidden:
			t.Errorf("%s for a guest: %d", rt.At, code)
		case strings.Contains(text, `method="post"`):
			t.Errorf("%s shows a guest a button that changes something", rt.At)
		case method != "GET" && !strings.Contains(text, "nothing was done"):
			t.Errorf("%s does not tell a guest why not: %s", rt.At, text)
		}
		if rt.Looks && !rt.Enters {
			looked++
		}
		if code, text := ask(stranger); !rt.Open && !rt.Enters && code != http.StatusForbidden && (path != "/" || code != http.StatusSeeOther) || strings.Contains(text, "Heron") || strings.Contains(text, canary) {
			t.Errorf("%s for a stranger: %d", rt.At, code)
		}
		if !rt.Works {
			if code, _ := ask(tablet); code != http.StatusForbidden {
				t.Errorf("%s for a tablet: %d", rt.At, code)
			}
		}
	}
	if looked < 10 {
		t.Errorf("a guest may look at %d routes only", looked)
	}
	for _, method := range []string{"PUT", "DELETE", "PATCH", "OPTIONS", "POST"} {
		for _, path := range []string{"/", "/job/1042", "/ask?q=nets", "/nowhere"} {
			if code := s.do(guest, there.request(method, path, "")); code != http.StatusForbidden {
				t.Errorf("%s %s for a guest: %d", method, path, code)
			}
		}
	}
	s.unchanged()
	// What a guest sees of a job is what others see of it.
	if _, text := there.get(guest, "/job/1042"); !strings.Contains(text, "You are a guest here") || !strings.Contains(text, "lower:P31") || !strings.Contains(text, "Suspects") {
		t.Errorf("a guest sees of the job\n%s", text)
	}
	if _, text := there.get(tablet, "/job/1042"); !strings.Contains(text, `action="/job/1042/log"`) || strings.Contains(text, "You are a guest") {
		t.Error("a tablet cannot work on the job")
	}
}
