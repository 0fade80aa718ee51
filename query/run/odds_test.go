package run

import (
	"math"
	"testing"

	"netlore/query/isolate"
	"netlore/store/board"
)

// TestOdds: what is stated holds, and what it leaves is shared as usual; worked out by
// hand.
func TestOdds(t *testing.T) {
	q := board.MustQuantity
	o := oddsOf([]board.Chance{
		{Of: "liquid", Zone: q("35%"), Else: q("5%"), Second: q("25%")},
		{Of: "drop", Part: q("1%")},
		{Of: "capacitor", Often: q("300%")},
		{Of: "chip", Short: q("10%"), Text: "returns"},
		{Of: "regulator", Often: q("50%")},
		{Of: "tape", Miss: q("6%")},
		{Of: "corrosion", Miss: q("30%"), Alarm: q("1%")},
		{Of: "camera", Alarm: q("7%")},
		{Of: "draw", Miss: q("60%"), Alarm: q("50%")},
	}, isolate.Liquid)
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-9 {
			t.Errorf("%s is %v, want %v", what, got, want)
		}
	}
	near("zones", o.priors.Shares[isolate.Zone], .35)
	near("one part", o.priors.Shares[isolate.Single], .6*.52/.75) // 60 % are left for 52, 8 and 15
	near("bridges", o.priors.Shares[isolate.Bridge], .6*.08/.75)
	near("several", o.priors.Shares[isolate.Several], .6*.15/.75)
	near("a second one", o.priors.Second, .25)
	near("tape missed", o.rates.Tape.Miss, .06)
	near("tape alarms", o.rates.Tape.Alarm, isolate.CommonPractice().Tape.Alarm)
	near("marks seen", o.rates.Corrosion.Zone, .7)
	near("marks of nothing", o.rates.Corrosion.Nothing, .01)
	near("camera", o.rates.Camera.Alarm, .07)
	near("a draw, of which what is stated cannot be", o.rates.Draw.Miss, isolate.CommonPractice().Draw.Miss)
	if len(o.remarks) != 1 {
		t.Errorf("%q", o.remarks)
	}
	for class, want := range map[board.Class]isolate.Mode{
		board.Capacitor: {Base: 3 * isolate.Ceramic.Base, Short: isolate.Ceramic.Short},
		board.Chip:      {Base: isolate.SupplyPinOfChip.Base, Short: .1},
		board.Charger:   {Base: isolate.SupplyPinOfChip.Base, Short: .1}, // a kind of chip
		board.Regulator: {Base: isolate.SupplyPinOfChip.Base / 2, Short: isolate.SupplyPinOfChip.Short},
		board.Resistor:  isolate.FilmResistor,
	} {
		got, _ := o.mode(class)
		near(class.String()+", how often", got.Base, want.Base)
		near(class.String()+", shorts", got.Short, want.Short)
	}
	if _, own := o.mode(board.Charger); origin(&own, "else") != "stated: returns" {
		t.Errorf("a charger is as stated of %+v", own)
	}
	if none := oddsOf(nil, isolate.Drop); none.priors != isolate.PriorsFor(isolate.Drop) || none.rates != isolate.CommonPractice() {
		t.Error("nothing is stated, and not all is as usual")
	}
}
