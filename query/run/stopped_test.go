package run_test

import (
	"context"
	"maps"
	"math/rand"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"netlore/query/run"
)

// countdown is a context that ends after it was looked at so many times.
type countdown struct {
	context.Context
	left *int
}

func (c countdown) Err() error {
	if *c.left--; *c.left < 0 {
		return context.Canceled
	}
	return nil
}

// Wherever a question is stopped, what is answered until then is part of the
// whole answer: no cell of it differs, nothing is judged that was not looked at
// to the end, and nothing is counted too often.
func TestStoppedAnywhere(t *testing.T) {
	r := rand.New(rand.NewSource(11))
	partial, rows := 0, 0
	for range 80 {
		b := randomBoard(r, 4+r.Intn(25), 30)
		a := asker{r}
		base := a.parts(2)
		for _, text := range []string{
			base, "possibly " + base, base + " sorted by value", base + " by side show cover, class", "count " + base + " by cover", "covers over (" + base + ")",
			"parts within 3mm of (" + base + ")", "why * in (" + base + ")", "why not * in (" + base + ")", "top parts on * or within 3mm of (" + base + ") sorted by name", "route from (" + base + ") to (parts) through any",
		} {
			q := typed(text, b, nil)
			if q == nil {
				continue
			}
			looks := 1 << 30
			whole := run.RunImpatiently(countdown{t.Context(), &looks}, q, run.Options{Now: stillClock})
			needed := 1<<30 - looks
			for range 6 {
				left := r.Intn(needed + 1)
				got := run.RunImpatiently(countdown{t.Context(), &left}, q, run.Options{Now: stillClock})
				if got.Partial == "" {
					continue
				}
				partial, rows = partial+1, rows+len(got.Rows)
				isPartOf(t, text, got, whole)
			}
		}
	}
	if partial < 2000 || rows < 2000 {
		t.Errorf("only %d answers were partial, of %d rows", partial, rows)
	}
}

// isPartOf checks that a partial answer agrees with the whole one.
func isPartOf(t *testing.T, text string, got, whole *run.Answer) {
	t.Helper()
	if strings.HasPrefix(text, "count") {
		isLeast(t, text, got, whole)
		return
	}
	have := map[string]int{}
	for _, row := range whole.Rows {
		have[rowText(row)]++
	}
	for _, row := range got.Rows {
		if have[rowText(row)]--; have[rowText(row)] < 0 {
			t.Fatalf("%s\nstopped, it has the row %s\nall of it is\n%s", text, rowText(row), tableText(whole))
		}
	}
	judged, _, _ := strings.Cut(got.Footer(false), " · partial")
	if strings.HasPrefix(text, "why") && judged != "not judged yet" && !strings.HasPrefix(whole.Footer(false), judged) {
		t.Fatalf("%s\nstopped, it says %s\nall of it %s", text, judged, whole.Footer(false))
	}
	if got.Things > whole.Things || got.Spots > whole.Spots || got.Repeated > whole.Repeated {
		t.Fatalf("%s\nstopped: %s\nall of it: %s", text, got.Footer(false), whole.Footer(false))
	}
	reasons := map[string]int{}
	for _, w := range whole.Possible {
		reasons[w.Why] = w.Count
	}
	for _, p := range got.Possible {
		if p.Count > reasons[p.Why] {
			t.Fatalf("%s\nstopped, %d are possible for %q, of %v", text, p.Count, p.Why, slices.Sorted(maps.Keys(reasons)))
		}
	}
}

// isLeast checks that a count that was stopped says of each group how many there
// are at least, and no more than there are.
func isLeast(t *testing.T, text string, got, whole *run.Answer) {
	t.Helper()
	most := map[string]int{}
	for _, row := range whole.Rows {
		most[row.Cells[0].String()], _ = row.Cells[1].Bounds()
	}
	for _, row := range got.Rows {
		least, _ := row.Cells[1].Bounds()
		if least > most[row.Cells[0].String()] || row.Cells[1].String() != "at least "+strconv.Itoa(least) {
			t.Fatalf("%s\nstopped, it has the row %s\nall of it is\n%s", text, rowText(row), tableText(whole))
		}
	}
}

// What is made of all numbers cannot be told before all were looked at.
func TestStoppedMeanIsNotTold(t *testing.T) {
	now := stillClock()
	ticking := func() time.Time { now = now.Add(time.Millisecond); return now }
	for text, want := range map[string]string{
		"count parts on GND":             "at least [1-9][0-9]*",
		"greatest value of parts on GND": `\? at least [1-9][0-9]* at least 0 at least 0`,
		"mean value of parts on GND":     `\? at least [1-9][0-9]* at least 0 at least 0`,
		"total pins of parts by class":   `capacitor \? at least [1-9][0-9]* at least 0 at least 0`,
		"count parts on GND by class":    "capacitor at least [1-9][0-9]*",
	} {
		a := run.Run(t.Context(), ask(t, text, largeBoard(9000)), run.Options{Time: 30 * time.Millisecond, Now: ticking})
		var cells []string
		for _, c := range a.Rows[0].Cells {
			cells = append(cells, c.String())
		}
		if got := strings.Join(cells, " "); a.Complete() || !regexp.MustCompile("^"+want+"$").MatchString(got) {
			t.Errorf("%s: %s, want %s; %s", text, got, want, a.Footer(false))
		}
	}
}

func rowText(row run.Row) string {
	var cells []string
	for _, c := range row.Cells {
		cells = append(cells, c.String())
	}
	of := "no board"
	if row.Of != nil {
		of = row.Of.Board.String()
	}
	return of + ": " + strings.Join(append(cells, row.Why), " | ")
}
