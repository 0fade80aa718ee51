package bench_test

import (
	"net/http"
	"testing"
)

// The page tells more about the complaints of every package, as netlore explain does.
func TestExplain(t *testing.T) {
	s := serve(t, "")
	c := s.browser()
	for code, want := range map[string]int{"Q10": http.StatusOK, "p201": http.StatusOK, "P102": http.StatusOK, "S201": http.StatusOK, "B201": http.StatusOK, "Z1": http.StatusNotFound} {
		if got, text := s.get(c, "/explain/"+code); got != want {
			t.Errorf("%s: %d\n%s", code, got, text)
		}
	}
}
