package bench_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// TestOpenAndClose takes a job from its opening to its end and back by forms, as a
// browser without scripts sends them; the command tells what came of it.
func TestOpenAndClose(t *testing.T) {
	s := serve(t, "")
	c := s.browser()
	refused := func(path string, form url.Values, says string) {
		t.Helper()
		if r, text := s.post(c, path, form); r.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(text, says) {
			t.Errorf("%s %v: %d, without %q", path, form, r.StatusCode, says)
		}
	}
	refused("/job", url.Values{"of": {"Heron"}}, "say what is wrong")
	refused("/job", url.Values{"of": {"Heron"}, "symptom": {"dead"}, "supply": {"much"}}, "the supply takes a value above zero")
	refused("/job", url.Values{"of": {"Herron"}, "symptom": {"dead"}}, "Herron")

	r, _ := s.post(c, "/job", url.Values{"of": {"Heron"}, "symptom": {"dead after a fall"}, "supply": {"4V"}, "limit": {"2.5A"}, "draw": {"2.4A"}})
	if at := r.Header.Get("Location"); r.StatusCode != http.StatusSeeOther || at != "/job/1043" {
		t.Fatalf("%d %s", r.StatusCode, at)
	}
	shows := func(texts ...string) {
		t.Helper()
		_, out := command(t, s.base, "job", "show", "1043")
		for _, text := range texts {
			if !strings.Contains(out, text) {
				t.Errorf("the job does not show %q:\n%s", text, out)
			}
		}
	}
	shows("job 1043 on Heron, dead after a fall", "supply 4V, limit 2.5A, draw 2.4A")

	refused("/job/1043/close", url.Values{"culprit": {"lower:C4410"}}, "how the job ended")
	refused("/job/1043/close", url.Values{"culprit": {"lower:C44100"}, "outcome": {"repaired"}}, "C44100")
	s.post(c, "/job/1043/close", url.Values{"culprit": {"lower:C4410"}, "outcome": {"repaired"}, "remark": {"cracked"}})
	shows("repaired", "lower:C4410", "cracked")
	refused("/job/1043/log", url.Values{"step": {"separated"}}, "closed")
	s.post(c, "/job/1043/reopen", url.Values{"x": {"1"}})
	if _, out := command(t, s.base, "job", "show", "1043"); strings.Contains(out, "repaired") {
		t.Errorf("the job is not open again:\n%s", out)
	}
}

// TestStepsTogether logs steps that belong together: all of them or none.
func TestStepsTogether(t *testing.T) {
	s := serve(t, "")
	c := s.browser()
	wrong := url.Values{"step": {"cover-off lower:J7", "hot "}, "value": {"", "lower:C44100"}, "after": {"", ""}}
	if r, text := s.post(c, "/job/1042/log", wrong); r.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(text, "did you mean lower:C4410?") || !strings.Contains(text, `value="hot lower:C44100"`) {
		t.Errorf("%d, without what was meant", r.StatusCode)
	}
	s.unchanged()
	wrong["value"][1] = " "
	if r, text := s.post(c, "/job/1042/log", wrong); r.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(text, "type what was found") {
		t.Errorf("%d, without what is missing", r.StatusCode)
	}
	s.unchanged()
	wrong["value"][1] = "lower:C4410"
	s.post(c, "/job/1042/log", wrong)
	if out := s.steps(); !strings.Contains(out, "   7  cover-off lower:J7") || !strings.Contains(out, "   8  hot lower:C4410") {
		t.Errorf("the steps were not logged:\n%s", out)
	}
	for _, from := range []string{"0", "-1", "9", "x"} {
		s.post(c, "/job/1042/undo", url.Values{"number": {"8"}, "from": {from}})
	}
	s.post(c, "/job/1042/undo", url.Values{"number": {"7"}, "from": {"6"}})
	if out := s.steps(); !strings.Contains(out, "   8  hot lower:C4410") {
		t.Errorf("a wrong range took something back:\n%s", out)
	}
	s.post(c, "/job/1042/undo", url.Values{"number": {"8"}, "from": {"7"}})
	s.unchanged()
}
