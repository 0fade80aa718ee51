package bench

import (
	"context"
	"fmt"
	"math"
	"net/http"
	"slices"
	"strings"

	"netlore/query"
	"netlore/query/diag"
	"netlore/query/readings"
	"netlore/query/run"
	"netlore/store"
	"netlore/store/board"
)

// mostStrips is how many places the chart on the sheet of a job has: the most
// surprising. mostWide is how many that on a page of its own has, mostBesides how many
// jobs and specimens are offered to compare with.
const (
	mostStrips  = 10
	mostWide    = 200
	mostBesides = 60
)

// charted are readings beside what is expected, a chart for each mode.
type charted struct {
	Charts []chart
	Beside string // what the rings are
	More   int    // readings that are left out
	Why    string // there is none
}

// chart is that of one mode. All its strips have one scale.
type chart struct {
	Mode, Unit string
	Ticks      []tick
	Strips     []strip
	edge       float64 // beyond all numbers
}

// tick is a number on the scale.
type tick struct {
	X    float64
	Text string
}

// strip is a place with what was read at it, as it is drawn: X and the like are
// places on its line.
type strip struct {
	Place, State, Link      string
	Read, Expected, Verdict string
	Others                  string // what the rings show, in words
	X                       float64
	Open, Off               bool // read open; not as expected
	Value, Low, High        float64
	Known, Band             bool // Value, and Low with High, are known
	Rings                   []float64
}

// Width is that of the tolerance.
func (s *strip) Width() float64 { return math.Round(100*(s.High-s.Low)) / 100 }

// Last is the last number on the scale.
func (c *chart) Last() string { return c.Ticks[len(c.Ticks)-1].Text }

// Places on a strip are in per cent of its length, with a margin for what is drawn at
// its ends.
const inset = 3.0

// compareJob compares the readings of a job with those of another job or specimen, or
// with what is expected.
func (s *Server) compareJob(ctx context.Context, base *store.Base, on, job, with string, most int) (*run.Answer, *charted) {
	words := []string{job}
	beside := "good boards"
	if with != "" {
		words, beside = append(words, with), with
	}
	answer, points, err := query.Compare(ctx, base, s.options(on), words...)
	if err != nil {
		return nil, &charted{Why: troubleOf(err, on).Message}
	}
	c := &charted{Beside: beside, More: max(0, len(points)-most)}
	for i := range points[:min(len(points), len(answer.Rows), most)] {
		c.add(answer, i, &points[i], on)
	}
	for i := range c.Charts {
		c.Charts[i].scale()
	}
	if len(c.Charts) == 0 {
		c.Why = "nothing was read in this job yet that can be compared"
	}
	return answer, c
}

// add adds a row to the chart of its mode.
func (c *charted) add(a *run.Answer, row int, p *run.Point, on string) {
	mode := p.Mode.String()
	i := slices.IndexFunc(c.Charts, func(m chart) bool { return m.Mode == mode })
	if i < 0 {
		i = len(c.Charts)
		c.Charts = append(c.Charts, chart{Mode: mode, Unit: readings.UnitOf(p.Mode).String()})
	}
	st := stripOf(a, row, on)
	st.X, st.Open, st.Value, st.Low, st.High, st.Rings = p.Read, math.IsInf(p.Read, 1), p.Value, p.Low, p.High, p.Beside
	st.Known, st.Band = !math.IsNaN(p.Value), !math.IsNaN(p.Low)
	st.Others = spread(p.Beside, readings.UnitOf(p.Mode))
	c.Charts[i].Strips = append(c.Charts[i].Strips, st)
	c.Charts[i].edge = max(c.Charts[i].edge, p.Largest())
}

// stripOf is what a row of a comparison says in words.
func stripOf(a *run.Answer, row int, on string) (st strip) {
	for k, column := range a.Columns {
		v := a.Rows[row].Cells[k]
		text := diag.Printable(v.String())
		if v.Missing() {
			text = ""
		}
		switch column.Name {
		case "place":
			st.Place, st.Link = text, leads(column.Name, v, on)
		case "state":
			st.State = text
		case "reading":
			st.Read = text
		case "expected":
			st.Expected = text
		case "verdict":
			st.Verdict, st.Off = text, text != "" && text != "matching"
		}
	}
	return st
}

// spread says in words what other devices read: "0.428V to 0.46V (4)".
func spread(all []float64, unit board.Unit) string {
	if len(all) == 0 {
		return ""
	}
	say := func(v float64) string {
		if math.IsInf(v, 1) {
			return "open"
		}
		return fmt.Sprintf("%.4g%s", v, unit)
	}
	low, high := say(slices.Min(all)), say(slices.Max(all))
	if low == high {
		return fmt.Sprintf("%s (%d)", low, len(all))
	}
	return fmt.Sprintf("%s to %s (%d)", low, high, len(all))
}

// scale puts all that is drawn on one scale from nothing to beyond the largest number.
func (c *chart) scale() {
	if c.edge == 0 {
		c.edge = 1
	}
	step := tickStep(c.edge)
	c.edge *= 1.08
	for i := 0.0; i*step <= c.edge; i++ {
		c.Ticks = append(c.Ticks, tick{c.at(i * step), fmt.Sprintf("%.4g", i*step)})
	}
	for i := range c.Strips {
		st := &c.Strips[i]
		st.X, st.Value, st.Low, st.High = c.at(st.X), c.at(st.Value), c.at(st.Low), c.at(st.High)
		for k, v := range st.Rings {
			st.Rings[k] = c.at(v)
		}
	}
}

// at is where a number is drawn, to a hundredth; what is open stands at the end, and what
// is not known nowhere.
func (c *chart) at(v float64) float64 {
	if math.IsNaN(v) {
		return -1
	}
	return math.Round(100*(inset+(100-2*inset)*max(0, min(v/c.edge, 1)))) / 100
}

// tickStep is a round step of which three to five fit below a number.
func tickStep(edge float64) float64 {
	ten := math.Pow(10, math.Floor(math.Log10(edge)))
	for _, step := range []float64{0.2, 0.25, 0.5, 1, 2, 2.5} {
		if edge/(step*ten) <= 5 {
			return step * ten
		}
	}
	return 5 * ten
}

// comparePage is the readings of a job beside others, in full.
type comparePage struct {
	ID, With string
	Chart    *charted
	Answer   *table
	Others   []string // jobs and specimens that it can be compared with
}

// compare shows it.
func (s *Server) compare(w http.ResponseWriter, r *http.Request) {
	p := &comparePage{ID: r.PathValue("id"), With: strings.TrimSpace(r.FormValue("with"))}
	s.ofJob(w, r, http.StatusOK, "compare", func(ctx context.Context, base *store.Base, v *view, _ *Sheet) error {
		if len(p.With) > mostQuestion {
			return errTooLong
		}
		v.Title, v.Live, v.Body = "Job "+p.ID+" compared", true, p
		answer, drawn := s.compareJob(ctx, base, v.On, p.ID, p.With, mostWide)
		p.Chart = drawn
		if answer != nil {
			p.Answer = tabled(answer, v.On)
		}
		others, err := query.Comparable(ctx, base, s.options(v.On))
		others = slices.DeleteFunc(others, func(name string) bool { return name == p.ID })
		p.Others = others[max(0, len(others)-mostBesides):] // specimens stand last, and the newest jobs before them
		return err
	})
}
