package readings

import (
	"fmt"
	"strings"
	"testing"

	"netlore/store/board"
)

// repeated are readings in volts of one place of one good board, of each meter
// one after the other.
func repeated(place string, meters [][]float64) (list []board.Reading) {
	for i, values := range meters {
		for _, v := range values {
			list = append(list, board.Reading{Mode: board.Diode, On: board.Target{Name: place}, Good: true, Specimen: "1",
				Value: board.MustQuantity(fmt.Sprintf("%gV", v)), Meter: fmt.Sprint("M", i+1)})
		}
	}
	return list
}

func repeatsOf(list []board.Reading) Repeats {
	return RepeatsOf(list, func(i int) (string, bool) { return list[i].On.Name, true })[board.Diode]
}

// Glucose in serum, materials D and E of ASTM E691 (see TestPrecisionOfGlucose):
// of one material the standard's repeatability and reproducibility; of both, their
// variances are pooled.
func TestRepeats(t *testing.T) {
	d := [][]float64{{193.71, 193.59, 193.65}, {190.88, 200.14, 194.30}, {192.71, 193.28, 190.28}, {195.85, 196.36, 199.43}, {192.59, 191.44, 195.12}, {195.34, 198.26, 198.13}, {194.66, 191.99, 187.13}, {197.56, 195.99, 200.82}}
	e := [][]float64{{292.78, 294.09, 292.89}, {292.27, 309.40, 295.08}, {295.53, 290.14, 292.34}, {295.19, 295.44, 296.83}, {293.93, 292.48, 294.28}, {297.74, 296.80, 290.33}, {287.29, 293.76, 289.36}, {298.46, 295.28, 296.12}}
	one := repeatsOf(repeated("D", d))
	near(t, "D repeatability", one.Repeat, 2.6251, 1e-4)
	near(t, "D reproducibility", one.Reproduce, 3.3657, 1e-4)
	both := repeatsOf(append(repeated("D", d), repeated("E", e)...))
	near(t, "pooled", both.Repeat*both.Repeat, (2.6251*2.6251+3.9350*3.9350)/2, 1e-3)
	near(t, "pooled", both.Reproduce*both.Reproduce, (3.3657*3.3657+4.1923*4.1923)/2, 1e-3)
	if m := both.Meters["M2"]; both.Places != 2 || m.Places != 2 || m.Others != 2 || m.Strays != 1 {
		t.Errorf("%d places, M2 %+v; want 2, and one at which it strays", both.Places, m)
	}
	// Of 293.93, 292.48 and 294.28, and of 192.59, 191.44 and 195.12, worked out by
	// hand: squares of 1.80167 and 7.10327.
	near(t, "M5 alone", both.Meters["M5"].SD, 1.4923, 1e-3)
}

// What was read once, on another board, by nobody knows what, or is open, is no
// repetition.
func TestNoRepeats(t *testing.T) {
	list := repeated("VMAIN", [][]float64{{.41, .42}, {.43}})
	if got := repeatsOf(list); got.Places != 0 || got.Meters["M1"].Places != 1 || len(got.Meters) != 1 {
		t.Errorf("%+v", got)
	}
	for what, change := range map[string]func(r *board.Reading){
		"another board": func(r *board.Reading) { r.Specimen = "2" },
		"another place": func(r *board.Reading) { r.On.Name = "GND" },
		"black":         func(r *board.Reading) { r.BlackGround = true },
		"no meter":      func(r *board.Reading) { r.Meter = "" },
		"open":          func(r *board.Reading) { r.Outcome = board.Open },
		"not good":      func(r *board.Reading) { r.Good = false },
	} {
		some := repeated("VMAIN", [][]float64{{.41, .42}})
		if change(&some[1]); len(repeatsOf(some).Meters) > 0 {
			t.Error(strings.ToUpper(what), "is taken for a repetition")
		}
	}
	near(t, "limit", Limit(1), 2.77, 5e-3) // ISO 5725-6 has 2.8
}
