package cli

import (
	"errors"
	"strings"
	"testing"

	"netlore/query/diag"
	"netlore/store"
)

// FuzzProfile states whatever is typed of a meter. Complaints lie within the
// words; what could be read is kept and comes back.
func FuzzProfile(f *testing.F) {
	for _, text := range []string{`M1 "left" test 1mA open 3.2V shows mV leads 0R2 red-on-ground address "h:1"`, "M1", "", " ", "M1 test", `"`, "M1 #x", "M1 test 1mA\nmeter M2 test 2mA",
		"M1 by x when 2026-03-02", "\t M1 tets 1mA", `"M 1" black-on-ground`, "\xff", "M1 open 1e99V"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		m, err := readMeter(text)
		var list diag.List
		if errors.As(err, &list) {
			for _, d := range list {
				if d.Range.Start < 0 || d.Range.End < d.Range.Start || d.Range.Start > len(text) {
					t.Fatalf("%q: %+v", text, d)
				}
			}
		}
		if err != nil {
			return
		}
		if m.Name == "" || strings.ContainsAny(m.Name, "\r\n") {
			t.Fatalf("%q is called %q", text, m.Name)
		}
		base := store.OpenMemory(nil)
		if _, err := base.StateMeter(t.Context(), m, "bench-1"); err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		if all, err := base.Meters(t.Context()); err != nil || len(all) != 1 || all[0].Meter != m {
			t.Fatalf("%q: %+v is kept as %+v, %v", text, m, all, err)
		}
	})
}
