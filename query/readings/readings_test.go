package readings

import (
	"slices"
	"strings"
	"testing"
	"time"

	"netlore/store/board"
)

func reading(text string) *board.Reading {
	mode, rest, _ := strings.Cut(text, " ")
	r := &board.Reading{}
	r.Mode, _ = board.ModeByWord(mode)
	if o, _, ok := board.OutcomeByWord(rest); ok {
		r.Outcome = o
		return r
	}
	r.Value = board.MustQuantity(rest)
	return r
}

// expect reads "0.412V ±8%", several with a semicolon between them.
func expect(t *testing.T, text string) []board.Expected {
	var all []board.Expected
	for one := range strings.SplitSeq(text, "; ") {
		if one == "" {
			continue
		}
		value, tolerance, within := strings.Cut(one, " ")
		e := board.Expected{Open: value == "open"}
		if !e.Open {
			e.Value = board.MustQuantity(value)
		}
		if within {
			var err error
			if e.Within, err = board.ParseTolerance(tolerance); err != nil {
				t.Fatal(err)
			}
		}
		all = append(all, e)
	}
	return all
}

// What the words mean is common practice at the bench, no source; the ends of
// 0.412 V ±8% are 0.37904 V and 0.44496 V, worked out by hand.
func TestJudge(t *testing.T) {
	for _, c := range []struct{ reading, expected, want string }{
		{"diode 0.412V", "0.412V ±8%", "matching"},
		{"diode 0.37904V", "0.412V ±8%", "matching"},
		{"diode 0.37903V", "0.412V ±8%", "low"},
		{"diode 0.44497V", "0.412V ±8%", "high"},
		{"diode 3mV", "0.412V ±8%", "shorted"},
		{"diode 10mV", "0.412V ±8%", "shorted"},
		{"diode 11mV", "0.412V ±8%", "low"},
		{"diode open", "0.412V ±8%", "open"},
		{"diode open", "open", "matching"},
		{"diode 0.6V", "open", "low"},
		{"diode 2mV", "open", "shorted"},
		{"diode 5mV", "6mV ±50%", "matching"}, // a rail that is so by nature
		{"diode 1mV", "6mV ±50%", "shorted"},
		{"ohms 3ohm", "2.5kohm ±10%", "shorted"},
		{"volts 0V", "3.8V ±5%", "low"}, // no current, no short
		{"diode 0.3V", "0.412V", "low matching"},
		{"diode 0.412V", "0.412V", "matching"},
		{"diode 3mV", "0.412V", "shorted matching"},
		{"diode 0.5V", "0.412V", "matching high"},
		{"diode 0.3V", "0.412V ±8%; 0.31V ±8%", "low matching"},
		{"diode 0.3V", "", "low matching high"},
		{"diode 3mV", "", "shorted low matching high"},
		{"diode open", "", "matching open"},
		{"continuity rings", "", "shorted low matching high"},
		{"continuity silent", "open", "low matching"}, // it may be a kilohm
		{"continuity silent", "3ohm", "low matching high open"},
		{"continuity rings", "open", "shorted low"},
		{"continuity rings", "100kohm", "shorted low matching high"},
		{"ohms 3ohm", "0.412V ±8%", "shorted low matching high open"},
	} {
		set, why := Judge(reading(c.reading), expect(t, c.expected), &board.Meter{})
		got := set.String()
		if want := strings.ReplaceAll(c.want, " ", " or "); got != want {
			t.Errorf("%s, expected %s: %s, want %s", c.reading, c.expected, got, want)
		}
		if _, sole := set.Sole(); sole != (why == "") && c.expected != "" {
			t.Errorf("%s, expected %s: %s because of %q", c.reading, c.expected, got, why)
		}
	}
}

// A diode read with black on ground is another reading than what is expected, which
// is for red on ground; of ohms it does not matter (common practice, no source).
func TestJudgeReversed(t *testing.T) {
	r := reading("diode 3mV")
	r.BlackGround = true
	if set, why := Judge(r, expect(t, "0.412V ±8%"), &board.Meter{}); set != AnyVerdict || why == "" {
		t.Errorf("%s, %q", set, why)
	}
	if truth, why := Beyond(r, expect(t, "0.412V"), Low, board.MustQuantity("15%")); truth != board.Unknown || why == "" {
		t.Errorf("%s, %q", truth, why)
	}
	r = reading("ohms 3ohm")
	r.BlackGround = true
	if set, _ := Judge(r, expect(t, "2.5kohm ±10%"), &board.Meter{}); set != Of(Shorted) {
		t.Errorf("ohms: %s", set)
	}
}

// Ten ohm and the leads, in ohms, or times the test current, worked out by hand.
func TestShortOfAMeter(t *testing.T) {
	ohm, mA := board.MustQuantity("0.5ohm"), board.MustQuantity("0.5mA")
	for _, c := range []struct {
		reading string
		meter   board.Meter
		short   bool
	}{
		{"diode 5mV", board.Meter{Test: mA}, true},
		{"diode 5.1mV", board.Meter{Test: mA}, false},
		{"diode 5.25mV", board.Meter{Test: mA, Leads: ohm}, true},
		{"diode 10.5mV", board.Meter{Leads: ohm}, true},
		{"diode 10.6mV", board.Meter{Leads: ohm}, false},
		{"ohms 10.5ohm", board.Meter{Leads: ohm}, true},
		{"ohms 10.5ohm", board.Meter{Test: mA}, false},
		{"continuity 10.5ohm", board.Meter{Leads: ohm}, true},
	} {
		expected := "0.412V ±8%"
		if !strings.HasPrefix(c.reading, "diode") {
			expected = "2.5kohm ±10%"
		}
		if set, _ := Judge(reading(c.reading), expect(t, expected), &c.meter); set != Of(Low) && set != Of(Shorted) || (set == Of(Shorted)) != c.short {
			t.Errorf("%s, %+v: %s", c.reading, c.meter, set)
		}
	}
	m1 := board.Meter{Name: "M1", Test: mA, Leads: ohm}
	for mode, want := range map[board.Mode]string{
		board.Diode:      "up to 5.25mV is a short: 10ohm and 0.5ohm of the leads of M1, at the 500uA of M1",
		board.Resistance: "up to 10.5ohm is a short: 10ohm and 0.5ohm of the leads of M1",
	} {
		if got := ShortReason(mode, &m1); got != want {
			t.Errorf("got %s\nwant %s", got, want)
		}
	}
	if got := ShortReason(board.Diode, &board.Meter{}); got != "up to 10mV is a short: 10ohm, at the usual 1mA" {
		t.Error(got)
	}
}

// 15% below 0.412 V is 0.3502 V, worked out by hand.
func TestBeyond(t *testing.T) {
	for _, c := range []struct {
		reading, expected, width string
		below, within, above     string
	}{
		{"diode 0.3501V", "0.412V", "15%", "yes", "no", "no"},
		{"diode 0.3502V", "0.412V", "15%", "no", "yes", "no"},
		{"diode 0.4739V", "0.412V ±1%", "15%", "no", "no", "yes"},
		{"diode 0.39V", "0.412V", "20mV", "yes", "no", "no"},
		{"diode open", "0.412V", "15%", "no", "no", "yes"},
		{"diode 0.4V", "open", "15%", "yes", "no", "no"},
		{"diode open", "open", "15%", "no", "yes", "no"},
		{"diode open", "", "15%", "no", "unknown", "unknown"},
		{"diode 0.4V", "", "15%", "unknown", "unknown", "unknown"},
		{"diode 0.3V", "0.412V; 0.3V", "15%", "unknown", "unknown", "no"},
		{"diode 0.3V", "0.412V", "3ohm", "no", "no", "no"}, // ohms are asked of readings in ohms
		{"continuity rings", "3ohm", "15%", "unknown", "unknown", "unknown"},
	} {
		for side, want := range map[Verdict]string{Low: c.below, Matching: c.within, High: c.above} {
			if got, _ := Beyond(reading(c.reading), expect(t, c.expected), side, board.MustQuantity(c.width)); got.String() != want {
				t.Errorf("%s to %s by %s: %s is %s, want %s", c.reading, c.expected, c.width, side, got, want)
			}
		}
	}
}

func day(d, hour int) time.Time { return time.Date(2026, 3, d, hour, 0, 0, 0, time.UTC) }

func TestNewest(t *testing.T) {
	step := func(job string, step, opened, closed int) *board.Reading {
		r := &board.Reading{Job: job, Step: step, Opened: day(opened, 0)}
		if closed > 0 {
			r.Closed = day(closed, 0)
		}
		return r
	}
	at := func(d, hour int) *board.Reading { return &board.Reading{When: day(d, hour)} }
	for _, c := range []struct {
		name string
		list []*board.Reading
		want []int
	}{
		{"by time", []*board.Reading{at(2, 9), at(3, 8), at(3, 7)}, []int{1}},
		{"a date is the whole day", []*board.Reading{at(2, 0), at(2, 9)}, []int{0, 1}},
		{"a date is over the next day", []*board.Reading{at(2, 0), at(3, 0)}, []int{1}},
		{"the last step", []*board.Reading{step("7", 2, 1, 0), step("7", 9, 1, 0), step("7", 4, 1, 0)}, []int{1}},
		{"a job that was closed before", []*board.Reading{step("7", 9, 1, 2), step("8", 1, 3, 0)}, []int{1}},
		{"the last step, though the clock went backwards", []*board.Reading{{Job: "7", Step: 2, When: day(3, 0)}, {Job: "7", Step: 9, When: day(1, 0)}}, []int{1}},
		{"jobs that overlap", []*board.Reading{step("7", 9, 1, 4), step("8", 1, 3, 0)}, []int{0, 1}},
		{"no time at all", []*board.Reading{{}, at(2, 9)}, []int{0, 1}},
		{"none", nil, nil},
	} {
		var got []int
		for _, r := range Newest(c.list) {
			got = append(got, slices.Index(c.list, r))
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func TestExpectedHoldsByAuthor(t *testing.T) {
	list := []board.Expected{{By: "a", When: day(1, 0)}, {By: "a", When: day(2, 0)}, {By: "b", When: day(1, 0)}, {By: "a"}}
	if got := Expected(list); len(got) != 3 || got[0].When != day(2, 0) {
		t.Errorf("%v", got)
	}
}
