package sequence

import (
	"fmt"
	"math"
)

// None is no test.
const None = -1

// Problem is what can be the matter, and what can be asked.
type Problem struct {
	Prior  []float64 // weight of each state: not negative, any scale
	Tests  []Test
	Setups []Setup // at most 64
	// Sure is the chance of a state at which no more is asked; 0 stands for 1.
	// With tests that can err it is less than 1, or it is never come to.
	Sure float64
	// Bits is what a test must tell in the mean to be worth making.
	Bits float64
	// Ends is what it costs to mend each state where no more is asked; nil is
	// nothing.
	Ends []End
}

// Test is a question to the device, whose answer is one of some outcomes.
// Exact, YesNo and Dense make one.
type Test struct {
	Cost    float64 // above 0, in any unit, without what it takes to set up
	On, Off Mode    // set-ups that it needs made, and needs undone
	// Repeats says that a wrong outcome is mere chance, so that the same test
	// made again errs anew. Else it would come out the same, so it is made once.
	Repeats  bool
	Outcomes int
	Class    []uint16   // of each state: which row
	Rows     [][]Chance // of each class: how likely each outcome is; others do not come
}

// Chance is that an outcome comes with probability P.
type Chance struct {
	Outcome int
	P       float64
}

// Mode is the set-ups that are made: bit i is Setups[i].
type Mode uint64

// Setup is a lasting change of the device that tests need: a lid off, halves
// apart.
type Setup struct {
	Make, Undo float64 // what it costs; +Inf where it cannot be done
}

// Exact is a test that never errs: of each state, the outcome.
func Exact(cost float64, outcome []int) Test {
	t := Test{Cost: cost, Class: make([]uint16, len(outcome))}
	for s, o := range outcome {
		t.Class[s] = uint16(o)
		t.Outcomes = max(t.Outcomes, o+1)
	}
	for o := range t.Outcomes {
		t.Rows = append(t.Rows, []Chance{{o, 1}})
	}
	return t
}

// YesNo is a test that asks whether the state is one of some. Outcome 1 is yes,
// 0 is no. Miss is how likely it says no though it is, alarm how likely it says
// yes though it is not.
func YesNo(cost float64, in []bool, miss, alarm float64) Test {
	t := Test{Cost: cost, Outcomes: 2, Class: make([]uint16, len(in)), Rows: [][]Chance{yesNo(alarm), yesNo(1 - miss)}}
	for s, is := range in {
		if is {
			t.Class[s] = 1
		}
	}
	return t
}

// yesNo is the row of yes with probability p.
func yesNo(p float64) []Chance {
	switch p {
	case 0:
		return []Chance{{0, 1}}
	case 1:
		return []Chance{{1, 1}}
	}
	return []Chance{{0, 1 - p}, {1, p}}
}

// Dense is a test by the probability of each outcome in each state.
func Dense(cost float64, p [][]float64) Test {
	t := Test{Cost: cost, Class: make([]uint16, len(p))}
	rows := map[string]uint16{}
	for s, probabilities := range p {
		t.Outcomes = max(t.Outcomes, len(probabilities))
		key := fmt.Sprint(probabilities)
		class, ok := rows[key]
		if !ok {
			class = uint16(len(t.Rows))
			rows[key] = class
			t.Rows = append(t.Rows, sparse(probabilities))
		}
		t.Class[s] = class
	}
	return t
}

func sparse(probabilities []float64) (row []Chance) {
	for o, p := range probabilities {
		if p != 0 {
			row = append(row, Chance{o, p})
		}
	}
	return row
}

// isExact reports whether a test never errs.
func (t *Test) isExact() bool {
	for _, row := range t.Rows {
		if len(row) != 1 {
			return false
		}
	}
	return true
}

// p is how likely an outcome is in a state.
func (t *Test) p(outcome int, state int32) float64 {
	for _, c := range t.Rows[t.Class[state]] {
		if c.Outcome == outcome {
			return c.P
		}
	}
	return 0
}

// InvalidError says what is wrong with a problem. Test is None where it is not
// about one.
type InvalidError struct {
	Test int
	What string
}

func (e *InvalidError) Error() string {
	if e.Test == None {
		return e.What
	}
	return fmt.Sprintf("test %d: %s", e.Test, e.What)
}

// check finds what is wrong with a problem.
func (p *Problem) check() error {
	sum := 0.0
	for _, w := range p.Prior {
		if !(w >= 0) || math.IsInf(w, 1) {
			return &InvalidError{None, fmt.Sprintf("a weight is %v: it must be a number from 0 on", w)}
		}
		sum += w
	}
	switch {
	case sum == 0 || math.IsInf(sum, 1):
		return &InvalidError{None, "no state has a weight above 0 that can be told from others"}
	case !(p.Sure >= 0 && p.Sure <= 1):
		return &InvalidError{None, fmt.Sprintf("sure is %v: it must be a chance", p.Sure)}
	case p.Ends != nil && len(p.Ends) != len(p.Prior):
		return &InvalidError{None, fmt.Sprintf("%d ends, and there are %d states", len(p.Ends), len(p.Prior))}
	case len(p.Setups) > 64:
		return &InvalidError{None, fmt.Sprintf("%d set-ups, and there is room for 64", len(p.Setups))}
	}
	for i := range p.Ends {
		if what := p.wrongEnd(&p.Ends[i]); what != "" {
			return &InvalidError{None, fmt.Sprintf("the end of state %d: %s", i, what)}
		}
	}
	for i := range p.Tests {
		if what := p.wrong(&p.Tests[i]); what != "" {
			return &InvalidError{i, what}
		}
	}
	return nil
}

// wrong says what is wrong with a test, "" for nothing.
func (p *Problem) wrong(t *Test) string {
	switch {
	case !(t.Cost > 0) || math.IsInf(t.Cost, 1):
		return fmt.Sprintf("it costs %v: it must cost something", t.Cost)
	case len(t.Class) != len(p.Prior):
		return fmt.Sprintf("it tells of %d states, and there are %d", len(t.Class), len(p.Prior))
	case t.On&t.Off != 0 || (t.On|t.Off)>>len(p.Setups) != 0:
		return "it needs a set-up that there is not, or one both made and undone"
	}
	for _, class := range t.Class {
		if int(class) >= len(t.Rows) {
			return fmt.Sprintf("a state is of class %d, and there are %d", class, len(t.Rows))
		}
	}
	for _, row := range t.Rows {
		if what := t.wrongRow(row); what != "" {
			return what
		}
	}
	return ""
}

func (t *Test) wrongRow(row []Chance) string {
	sum := 0.0
	for _, c := range row {
		if c.Outcome < 0 || c.Outcome >= t.Outcomes || !(c.P > 0 && c.P <= 1) {
			return fmt.Sprintf("outcome %d with the chance %v: there are %d outcomes, and a chance is above 0 and at most 1", c.Outcome, c.P, t.Outcomes)
		}
		sum += c.P
	}
	if math.Abs(sum-1) > 1e-9 {
		return fmt.Sprintf("the chances of its outcomes sum up to %v, not 1", sum)
	}
	return ""
}
