package run_test

import (
	"context"
	"reflect"
	"sync"
	"testing"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/run"
)

// A question that many goroutines ask again and again, by the index and by a scan,
// is answered each time as one that was never asked before.
func TestAskedAgain(t *testing.T) {
	b := railBoard(300)
	for _, text := range []string{
		"parts on VMAIN under shield or connector", "parts within 3mm of C77", "nets joined to VMAIN", "plan of (parts on VMAIN and on GND)",
		"count of parts by side", "parts on VMAIN sorted by value", "covers over (parts on VMAIN)", "parts fed only by L0", "parts show name, value",
	} {
		q := typed(text, b, nil)
		if q == nil {
			t.Fatalf("%s is refused", text)
		}
		var all sync.WaitGroup
		for i := range 8 {
			all.Go(func() { asTheFirst(t, text, q, typed(text, b, nil), plan.Options{Scan: i%2 == 1}) })
		}
		all.Wait()
	}
}

func asTheFirst(t *testing.T, text string, again, first *check.Question, opt plan.Options) {
	options := run.Options{Now: stillClock, Plan: opt}
	want := run.Run(context.Background(), first, options)
	for range 3 {
		got := run.Run(context.Background(), again, options)
		if !reflect.DeepEqual(got.Columns, want.Columns) || !reflect.DeepEqual(got.Rows, want.Rows) || got.Footer(false) != want.Footer(false) {
			t.Errorf("%s, %+v: asked again %v %s, asked once %v %s", text, opt, got.Columns, got.Footer(false), want.Columns, want.Footer(false))
		}
	}
}
