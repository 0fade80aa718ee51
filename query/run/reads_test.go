package run_test

import (
	"fmt"
	"math/rand"
	"slices"
	"testing"
	"time"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/readings"
	"netlore/query/syntax"
	"netlore/store/board"
)

// randomReadings is what is known of the pads of a board: some expected values
// with and without a tolerance, by one or two authors, and readings in two jobs
// and in none, some of which do not say when they were taken.
func randomReadings(r *rand.Rand, b *board.Board) *board.Knowledge {
	k := &board.Knowledge{Jobs: []board.Job{{ID: "7", Opened: day(1), Closed: day(3)}, {ID: "8", Opened: day(5)}}}
	for i := range b.Nets {
		randomExpected(r, k, board.Target{Kind: board.OnNet, Name: b.Nets[i].Name}, 60)
	}
	for i := range b.Pads {
		on := board.Target{Kind: board.OnPad, Name: b.Pads[i].Name}
		randomExpected(r, k, on, 30)
		for range r.Intn(4) {
			x := board.Reading{Mode: board.Diode, On: on, Job: pick(r, "", "7", "8"), Good: chance(r, 10)}
			if chance(r, 60) {
				x.When = day(1 + r.Intn(8))
			}
			if chance(r, 15) {
				x.Outcome = board.Open
			} else {
				x.Value = board.MustQuantity(pick(r, "3mV", "0.2V", "0.38V", "0.4V", "0.42V", "0.6V"))
			}
			k.Readings = append(k.Readings, x)
		}
	}
	for i := range k.Jobs {
		for step := range r.Intn(6) {
			pad := b.Pads[r.Intn(len(b.Pads))].Name
			k.Jobs[i].Steps = append(k.Jobs[i].Steps, board.Step{Number: step + 1, Kind: board.StepReading, Mode: board.Diode,
				On: []board.Target{{Kind: board.OnPad, Name: pad}}, Value: board.MustQuantity(pick(r, "3mV", "0.4V", "0.6V"))})
		}
	}
	return k
}

func day(n int) time.Time { return time.Date(2026, 3, n, 0, 0, 0, 0, time.UTC) }

func randomExpected(r *rand.Rand, k *board.Knowledge, on board.Target, often int) {
	for _, author := range []string{"bench-1", "bench-2"} {
		if chance(r, often) {
			k.Expected = append(k.Expected, oneExpected(r, on, author, 60))
		}
		often /= 4
	}
}

// oneExpected has a tolerance as often as that.
func oneExpected(r *rand.Rand, on board.Target, author string, within int) board.Expected {
	e := board.Expected{Mode: board.Diode, On: on, By: author, Open: chance(r, 15)}
	if !e.Open {
		e.Value = board.MustQuantity(pick(r, "5mV", "0.2V", "0.4V", "0.6V"))
	}
	if !e.Open && chance(r, within) {
		e.Within, _ = board.ParseTolerance(pick(r, "±5%", "±10%", "±50mV"))
	}
	return e
}

// known is knowledge as it may be if everything were known: every reading has
// a moment of its own, of authors who differ one is right, and whatever was
// measured has an expected value and that a tolerance. Where only good boards say
// what is expected, they are right.
func known(r *rand.Rand, b *board.Board, k *board.Knowledge) *board.Knowledge {
	c := &board.Knowledge{}
	for i := range b.Nets {
		c.Expected = append(c.Expected, settled(r, k, board.Target{Kind: board.OnNet, Name: b.Nets[i].Name}, true)...)
	}
	learned := readings.Learn(k.Readings, func(i int) (board.Target, bool) { return k.Readings[i].On, true })
	for i := range b.Pads {
		on := board.Target{Kind: board.OnPad, Name: b.Pads[i].Name}
		stated := &board.Knowledge{Expected: k.Expected}
		if e, ok := learned.At(on, board.Diode, ""); ok && !isExpected(k, on) && !isExpected(k, netOf(b, i)) {
			e.Expected.On = on
			stated.Expected = append(slices.Clone(k.Expected), e.Expected)
		}
		c.Expected = append(c.Expected, settled(r, stated, on, b.Pads[i].Net == board.None)...)
	}
	moments := r.Perm(1000)
	for i, x := range slices.Concat(k.Readings, k.JobReadings()) {
		from, to := day(1), day(12)
		switch {
		case !x.When.IsZero():
			from, to = x.When, x.When.AddDate(0, 0, 1)
		case x.Step > 0 && !x.Closed.IsZero():
			from, to = x.Opened, x.Closed.AddDate(0, 0, 1)
		case x.Step > 0:
			from = x.Opened
		}
		span := to.Sub(from) - time.Minute
		x.When = from.Add(span*time.Duration(moments[i])/1000 + time.Second)
		if x.Step > 0 { // the steps of a job are in order
			x.When = from.Add(span*time.Duration(x.Step*100+moments[i]%90)/1000 + time.Second)
		}
		x.Step = 0
		c.Readings = append(c.Readings, x)
	}
	c.Jobs = []board.Job{{ID: "7"}, {ID: "8"}}
	return c
}

func isExpected(k *board.Knowledge, on board.Target) bool {
	return slices.ContainsFunc(k.Expected, func(e board.Expected) bool { return e.On == on })
}

func netOf(b *board.Board, pad int) board.Target {
	if net := b.Pads[pad].Net; net != board.None {
		return board.Target{Kind: board.OnNet, Name: b.Nets[net].Name}
	}
	return board.Target{}
}

// settled is the one value expected of a target. One that has none gets one
// only if it must.
func settled(r *rand.Rand, k *board.Knowledge, on board.Target, must bool) []board.Expected {
	var list []board.Expected
	for _, e := range k.Expected {
		if e.On == on {
			list = append(list, e)
		}
	}
	switch {
	case len(list) == 0 && !must:
		return nil
	case len(list) == 0:
		list = []board.Expected{oneExpected(r, on, "bench-3", 100)}
	}
	e := list[r.Intn(len(list))]
	if !e.Open && e.Within == (board.Tolerance{}) {
		e.Within, _ = board.ParseTolerance(pick(r, "±1%", "±10%", "±60%"))
	}
	return []board.Expected{e}
}

// readingQuestions are questions about readings; %s is in which job.
var readingQuestions = []string{
	"shorted pads%s", "low pads%s", "matching pads%s", "high pads%s", "open pads%s", "measured pads%s", "unmeasured pads%s",
	"pads reading below expected%s", "pads reading above expected%s", "pads reading within expected%s",
	"pads reading below expected by 15%%%s", "pads reading within 30mV of expected%s", "pads not reading above expected by 50%%%s",
	"pads reading below 0.39V%s", "pads reading between 0.2V and 0.4V or above 0.5V%s", "pads reading is not 0.4V%s", "pads not reading = open%s",
	"shorted nets%s", "nets not reading below 0.3V%s", "low pads on VMAIN reading above 0.1V%s", "nets of (high pads%s)",
}

func eachReading(r *rand.Rand, ask func(text string)) {
	for _, text := range readingQuestions {
		ask(fmt.Sprintf(text, pick(r, "", " in job 7", " in job 8", " in job 7, 8", " in every job")))
	}
}

// Whatever is not known of readings and expected values turns out, what was
// certain stays so and nothing impossible turns up; when all is known, nothing
// is merely possible.
func TestBoundsOfReadings(t *testing.T) {
	r := rand.New(rand.NewSource(21))
	narrowed, certain := 0, 0
	for range 60 {
		b := randomBoard(r, 20, 0)
		k := randomReadings(r, b)
		eachReading(r, func(text string) {
			open := boundsOf(asked(t, text, b, k), plan.Options{})
			certain += len(open.certain)
			narrowed += len(open.possible) - len(open.certain)
			for range 4 {
				whole := boundsOf(asked(t, text, b, known(r, b, k)), plan.Options{})
				if lost := missing(open.certain, whole.certain); lost != nil {
					t.Fatalf("%s: %v were certain, and are not when all is known", text, lost)
				}
				if new := missing(whole.possible, open.possible); new != nil {
					t.Fatalf("%s: %v were impossible, and are there when all is known", text, new)
				}
				if open := missing(whole.possible, whole.certain); open != nil {
					t.Fatalf("%s: %v are merely possible when all is known", text, open)
				}
			}
		})
	}
	if narrowed < 500 || certain < 500 {
		t.Errorf("%d certain and %d open things: the boards are no test", certain, narrowed)
	}
}

// When all is known, each pad is unmeasured or has one verdict.
func TestVerdictsLeaveNothingOut(t *testing.T) {
	r := rand.New(rand.NewSource(22))
	for range 40 {
		b := randomBoard(r, 20, 0)
		k := randomReadings(r, b)
		whole := known(r, b, k)
		seen := map[string]int{}
		for _, verdict := range []string{"shorted", "low", "matching", "high", "open", "unmeasured"} {
			for name := range boundsOf(asked(t, verdict+" pads in job 8", b, whole), plan.Options{}).certain {
				seen[name]++
			}
		}
		for i := range b.Pads {
			if n := seen[b.Pads[i].Name]; n != 1 {
				t.Fatalf("%s has %d verdicts", b.Pads[i].Name, n)
			}
		}
	}
}

func asked(t *testing.T, text string, b *board.Board, k *board.Knowledge) *check.Question {
	q := typed(text, b, k)
	if q == nil {
		t.Fatalf("%s is refused", text)
	}
	return q
}

// A board that does not know the job has no readings in it.
func TestJobThatABoardDoesNotKnow(t *testing.T) {
	r := rand.New(rand.NewSource(23))
	b := randomBoard(r, 20, 0)
	k := &board.Knowledge{Readings: []board.Reading{{Mode: board.Diode, On: board.Target{Kind: board.OnPad, Name: b.Pads[0].Name}, Value: board.MustQuantity("0.4V")}}}
	scope := &check.Scope{Members: []check.Member{{Board: b, Knowledge: k}}, Lenient: true}
	for text, want := range map[string]int{"measured pads": 1, "measured pads in job 1042": 0, "measured pads in every job": 0, "unmeasured pads in job 1042": len(b.Pads)} {
		tree, _ := syntax.Parse(text + " in every board")
		q, list := check.Check(text+" in every board", tree, scope)
		if q == nil {
			t.Fatal(list)
		}
		if got := len(runStill(q, plan.Options{}).Rows); got != want {
			t.Errorf("%s: %d rows, want %d", text, got, want)
		}
	}
}
