package sequence_test

import (
	"context"
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"

	"netlore/query/isolate/sequence"
)

// big is a problem that takes long to solve: skewed weights and every run.
func big() sequence.Problem {
	p := sequence.Problem{Tests: runs(40, false, 0, 0, false)}
	for s := range 40 {
		p.Prior = append(p.Prior, math.Pow(.8, float64(s*17%40)))
	}
	for i := range p.Tests {
		p.Tests[i].Cost = 1 + float64(i*7%5)
	}
	return p
}

func TestStoppedByContext(t *testing.T) {
	pl := planner(t, big())
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	got := pl.Next(ctx, pl.Start(0), all)
	if !got.Partial || got.Exact || len(got.Tests) == 0 || got.Work > 1e6 {
		t.Errorf("stopped at once, it gives %d tests, %+v", len(got.Tests), got)
	}
	if got.Least > got.Mean {
		t.Errorf("the bound %v is above the plan %v", got.Least, got.Mean)
	}
}

func TestStoppedByWork(t *testing.T) {
	pl := planner(t, big())
	few := pl.Next(context.Background(), pl.Start(0), sequence.Effort{Ahead: 2, Wide: 20, Work: 1e6, Exact: 1e5})
	if !few.Partial || few.Exact || len(few.Tests) == 0 || few.Work > 1.3e6 {
		t.Errorf("with little work: %+v", few)
	}
	more := pl.Next(context.Background(), pl.Start(0), sequence.Effort{Ahead: 1, Wide: 4, Work: 1 << 40})
	if more.Partial || len(more.Tests) != 4 || more.Mean < more.Least {
		t.Errorf("with work enough: %+v", more)
	}
}

func TestSameEveryTime(t *testing.T) {
	pl := planner(t, big())
	first := pl.Next(context.Background(), pl.Start(0), pl.Usual())
	if again := pl.Next(context.Background(), pl.Start(0), pl.Usual()); !reflect.DeepEqual(first, again) {
		t.Errorf("first %+v, then %+v", first, again)
	}
}

func TestNothingToAsk(t *testing.T) {
	locked := sequence.Exact(1, []int{0, 1})
	locked.On = 1
	for name, p := range map[string]sequence.Problem{
		"no tests":         {Prior: []float64{1, 1}},
		"one state":        {Prior: []float64{0, 1}, Tests: []sequence.Test{sequence.Exact(1, []int{0, 1})}},
		"it tells nothing": {Prior: []float64{1, 1}, Tests: []sequence.Test{sequence.Exact(1, []int{1, 1})}},
		"sure enough":      {Prior: []float64{1, 99}, Sure: .95, Tests: []sequence.Test{sequence.Exact(1, []int{0, 1})}},
		"not to be set up": {Prior: []float64{1, 1}, Tests: []sequence.Test{locked}, Setups: []sequence.Setup{{Make: math.Inf(1)}}},
	} {
		pl := planner(t, p)
		if got := pl.Next(context.Background(), pl.Start(0), all); len(got.Tests) != 0 || got.Mean != 0 || !got.Exact || !pl.IsDone(pl.Start(0)) {
			t.Errorf("%s: %+v", name, got)
		}
	}
}

func TestImpossible(t *testing.T) {
	pl := planner(t, sequence.Problem{Prior: []float64{1, 1, 0}, Tests: []sequence.Test{sequence.Exact(1, []int{0, 0, 1})}})
	if _, err := pl.After(pl.Start(0), 0, 1); !errors.Is(err, sequence.ErrImpossible) {
		t.Errorf("got %v", err)
	}
	if _, err := pl.Start(0).Observe([]float64{0, 0, 1}); !errors.Is(err, sequence.ErrImpossible) {
		t.Errorf("got %v", err)
	}
}

func TestInvalid(t *testing.T) {
	fair := sequence.Exact(1, []int{0, 1})
	with := func(change func(*sequence.Test)) sequence.Problem {
		x := fair
		change(&x)
		return sequence.Problem{Prior: []float64{1, 1}, Tests: []sequence.Test{fair, x}}
	}
	for want, p := range map[string]sequence.Problem{
		"a weight is -1":               {Prior: []float64{1, -1}},
		"a weight is NaN":              {Prior: []float64{1, math.NaN()}},
		"no state has a weight":        {Prior: []float64{0, 0}},
		"sure is 2":                    {Prior: []float64{1}, Sure: 2},
		"65 set-ups":                   {Prior: []float64{1}, Setups: make([]sequence.Setup, 65)},
		"2 ends, and there are 1":      {Prior: []float64{1}, Ends: make([]sequence.End, 2)},
		"the end of state 0: to mend":  {Prior: []float64{1}, Ends: []sequence.End{{Mend: math.NaN(), By: sequence.None}}},
		"the end of state 0: it needs": {Prior: []float64{1}, Ends: []sequence.End{{On: 1, By: sequence.None}}},
		"the end of state 0: it is":    {Prior: []float64{1}, Ends: []sequence.End{{By: 1}}},
		"test 1: it costs 0":           with(func(x *sequence.Test) { x.Cost = 0 }),
		"test 1: it costs NaN":         with(func(x *sequence.Test) { x.Cost = math.NaN() }),
		"test 1: it tells of 1":        with(func(x *sequence.Test) { x.Class = x.Class[:1] }),
		"test 1: it needs a set-up":    with(func(x *sequence.Test) { x.On = 1 }),
		"test 1: a state is of class":  with(func(x *sequence.Test) { x.Class = []uint16{0, 2} }),
		"test 1: outcome 2":            with(func(x *sequence.Test) { x.Rows = [][]sequence.Chance{{{Outcome: 2, P: 1}}, x.Rows[1]} }),
		"test 1: the chances of its":   with(func(x *sequence.Test) { x.Rows = [][]sequence.Chance{{{Outcome: 1, P: .5}}, x.Rows[1]} }),
	} {
		_, err := sequence.New(p)
		var invalid *sequence.InvalidError
		if !errors.As(err, &invalid) || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("got %v, want %q", err, want)
		}
	}
}

// BenchmarkNext looks for the next test of 300 states by every run of 60 of
// them, and beside it takes the one that tells most per cost.
func BenchmarkNext(b *testing.B) {
	p := sequence.Problem{Prior: make([]float64, 300), Tests: nil}
	for s := range p.Prior {
		p.Prior[s] = 1 + float64(s*31%17)
	}
	for i := 0; i < 300; i += 5 {
		for j := i + 5; j <= 300; j += 5 {
			in := make([]bool, 300)
			for s := i; s < j; s++ {
				in[s] = true
			}
			p.Tests = append(p.Tests, sequence.YesNo(1, in, .02, .02))
		}
	}
	p.Sure = .95
	pl, err := sequence.New(p)
	if err != nil {
		b.Fatal(err)
	}
	for name, e := range map[string]sequence.Effort{"ahead": pl.Usual(), "most-per-cost": {Ahead: 1, Wide: 1, Work: 1e6, Fine: 1}} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				pl.Next(context.Background(), pl.Start(0), e)
			}
		})
	}
}
