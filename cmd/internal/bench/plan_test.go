package bench_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// TestSpots taps on spots of a plan as the script does, and as it never would.
func TestSpots(t *testing.T) {
	s := serve(t, "")
	c := s.browser()
	for _, path := range []string{"/at", "/at?on=Heron&role=lower&side=top&x=1&y=2", "/at?on=Heron&role=lower&side=top&x=1e9&y=2&near=3", "/at?on=Heron&role=lower&side=up&x=1&y=2&near=3",
		"/at?on=Heron&role=lower&side=top&x=1&y=2&near=NaN", "/at?on=Heron&role=lower&side=top&x=1&y=2&near=Inf", "/at?on=Heron&role=lower&side=top&x=1&y=2&near=-1"} {
		if code, text := s.get(c, path); code != http.StatusBadRequest || !strings.Contains(text, "no spot of a plan") {
			t.Errorf("%s: %d", path, code)
		}
	}
	for path, want := range map[string]string{
		"/at?on=Heron&role=lower&side=top&x=27000&y=12000&near=0": "lower:U445", // the place that its sheet states
		"/at?on=Heron&role=lower&thing=lower:P97":                 "lower:P97",
		"/at?on=Heron&role=&thing=ON":                             `"ON"`, // a word of the language
	} {
		r, err := c.Get(s.root + path)
		if err != nil {
			t.Fatal(err)
		}
		r.Body.Close()
		at, _ := url.Parse(r.Header.Get("Location"))
		if r.StatusCode != http.StatusSeeOther || at.Path != "/thing" || at.Query().Get("name") != want || at.Query().Get("on") != "Heron" {
			t.Errorf("%s: %d, leads to %s", path, r.StatusCode, at)
		}
	}
	for _, role := range []string{"lower", "nobody"} {
		if code, text := s.get(c, "/at?on=Heron&role="+role+"&side=top&x=-90000000&y=1&near=5"); code != http.StatusNotFound || !strings.Contains(text, "nothing is known to be there") {
			t.Errorf("far away: %d", code)
		}
	}
}
