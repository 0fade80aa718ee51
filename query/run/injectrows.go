package run

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"netlore/query/check"
	"netlore/query/copper"
	"netlore/query/isolate"
	"netlore/query/isolate/inject"
	"netlore/query/trace"
	"netlore/query/value"
	"netlore/store/board"
)

// Feeding is how a shorted rail is to be fed from a bench supply, as far as that is
// said.
type Feeding struct {
	At          board.Target      // where the plus lead goes; zero for the best place
	Volts, Amps board.Quantity    // that the supply will be set to; not known for what is suggested
	Short       [2]board.Quantity // from which to which resistance the short may have; both known or none
	Leads       board.Quantity    // ohms of the leads; not known for 50 milliohms
	Copper      copper.Metal      // of the boards
	Rise        float64           // kelvins by which copper on the way may become warmer
}

// What a rail must not be fed with, and where it cannot be.
var (
	ErrNoClamp = errors.New("no place on the rail can be reached with a clamp as it is now: each one that is known of lies under a cover or faces the other board")
	ErrNotFed  = errors.New("that place is not on the rail that is shorted")
)

// TooHighError is that more volts are to be put on a rail than it stands.
type TooHighError struct {
	Volts, Most board.Quantity
	Of          string // what is rated for the most
}

func (e *TooHighError) Error() string {
	return fmt.Sprintf("%s is more than the %s that %s is rated for: never above the rail's rated voltage", e.Volts, e.Most, e.Of)
}

// advice is what there is to say of feeding the rail of a job.
type advice struct {
	*isolation
	Feeding
	safe  ceiling
	clamp memberThing
	at    []trace.Place
	feed  inject.Injection
	way   *way      // nil if nothing is known of the copper
	limit string    // why the current limit is what it is
	p     []float64 // how likely each fault is
	flows []float64 // how likely a current comes to it
	rows  []Row
}

// Inject says how to feed the shorted rail of a job so that its short becomes
// warm: with how much, what becomes how warm, and which suspects would show now.
func Inject(ctx context.Context, scope *check.Scope, i Isolation, f Feeding) (*Answer, error) {
	x, err := isolating(ctx, scope, i, nil)
	if err != nil {
		return nil, err
	}
	a := advice{isolation: x, Feeding: f, safe: x.ceiling(), p: x.at.Chances()}
	if err := errors.Join(a.place(), a.set()); err != nil {
		return nil, err
	}
	if err := a.wire(ctx); err != nil {
		return nil, err
	}
	a.flows = x.at.Flows(a.at, x.state)
	a.settings()
	a.wires()
	a.powers()
	a.stored()
	a.views()
	answer := &Answer{listing: adviceRows, Rows: a.rows, Remarks: append(x.remarks(), beforeFeeding...)}
	for _, name := range []string{"what", "value", "because"} {
		answer.Columns = append(answer.Columns, Column{Name: name})
	}
	answer.setUnits()
	return answer, nil
}

// beforeFeeding are the cautions that go with every injection.
var beforeFeeding = []string{
	"before: battery unplugged, capacitors discharged, wrist strap on, eyes",
	"protected; minus on ground; set volts and current limit with the leads apart,",
	"then clamp; never above what the rail is rated for.",
	"during: parts get hot, so draw off fumes, keep solvents and freezer spray away,",
	"stay beside it; other rails can be fed backwards through chips. The maker's",
	"instructions and the rules of the place come first; leave to trained people",
	"what is theirs",
}

func (a *advice) add(what string, v value.Value, because string) {
	a.rows = append(a.rows, Row{ID: board.None, Cells: []value.Value{value.OfText(what), v, value.OfText(because)}})
}

// amount is a number with a unit, in so many digits.
func amount(f float64, unit board.Unit) value.Value {
	const digits = 2
	if f == 0 || math.IsInf(f, 0) || math.IsNaN(f) {
		return value.Nothing()
	}
	exp := int(math.Floor(math.Log10(math.Abs(f)))) - digits + 1
	q, _ := board.NewQuantity(int64(math.Round(f*math.Pow10(-exp))), exp, unit)
	return value.OfQuantity(q)
}

// place finds where the plus lead goes: where it is said, else where it was before,
// else at the place that a clamp can reach and from which a current comes to most
// of what is suspected.
func (a *advice) place() error {
	if a.At != (board.Target{}) {
		return a.clampAt(a.At)
	}
	best := 0.0
	for i := range a.device.Probes {
		probe := &a.device.Probes[i]
		if !a.device.IsOpen(&probe.Spot, &a.state) {
			continue
		}
		if sum := a.share(a.isolation.at.Flows([]trace.Place{probe.At}, a.state)); sum > best {
			best, a.clamp, a.at = sum, a.probes[i], []trace.Place{probe.At}
		}
	}
	if a.at == nil {
		return ErrNoClamp
	}
	return nil
}

func (a *advice) clampAt(t board.Target) error {
	for _, x := range a.here(t) {
		for _, p := range placesOf(nil, a.supply, x) {
			if a.onRail(p) {
				a.at, a.clamp = append(a.at, p), x
			}
		}
	}
	if a.at == nil {
		return ErrNotFed
	}
	return nil
}

// share is the mean of something over what is suspected, as likely as it is.
func (a *advice) share(of []float64) (sum float64) {
	for f, p := range a.p {
		sum += p * of[f]
	}
	return sum
}

// set decides on volts and amps.
func (a *advice) set() error {
	a.feed = inject.Injection{Volts: a.safe.suggest(), Amps: usualLimit, Path: usualPath}
	a.limit = "enough to warm a short, and easy on leads and copper"
	if a.Leads.Known() {
		a.feed.Path = a.Leads.Float()
	}
	if a.Amps.Known() {
		a.feed.Amps, a.limit = a.Amps.Float(), "as you said"
	}
	if a.Volts.Known() {
		if most := a.safe.volts; most.Known() && a.Volts.Compare(most) > 0 {
			return &TooHighError{a.Volts, most, a.safe.of}
		}
		a.feed.Volts = a.Volts.Float()
	}
	return nil
}

// settings are what to set, and where to clamp.
func (a *advice) settings() {
	s := a.site(a.clamp.member)
	a.add("plus lead on", s.nameValue(a.clamp.noun, a.clamp.id), a.clamped())
	most := value.Nothing()
	if a.safe.volts.Known() {
		most = value.OfQuantity(a.safe.volts)
	}
	a.add("never above", most, a.safe.because())
	why := "too little for chips to conduct"
	switch {
	case a.Volts.Known():
		why = "as you said"
	case !a.safe.rail:
		why = "careful, because the volts of the rail are not stated"
	}
	a.add("set the volts to", amount(a.feed.Volts, board.Volt), why)
	a.add("limit the current to", amount(a.feed.Amps, board.Ampere), a.limit)
}

// clamped says what the place of the plus lead is good for.
func (a *advice) clamped() string {
	text := fmt.Sprintf("current fed there reaches %s of what is suspected", percent(a.share(a.flows)))
	l := logged{bench: a.bench}
	if spot, ok := l.spotOf(a.clamp); ok && spot.Cover != isolate.None && !slices.Contains(a.state.Lids, spot.Cover) {
		text += "; but " + a.coverName(spot.Cover) + " lies over it"
	}
	return text
}

// powers say what flows, and what becomes how warm, by what the short may have.
func (a *advice) powers() {
	least, most := isolate.LeastOhms, isolate.MostOhms
	if a.Short[0].Known() {
		least, most = a.Short[0].Float(), a.Short[1].Float()
	}
	const steps = 4
	for i := range steps {
		ohms := least * math.Pow(most/least, float64(i)/(steps-1))
		a.power(ohms)
		if most <= least {
			return
		}
	}
}

func (a *advice) power(ohms float64) {
	short, way := a.feed.InShort(ohms), a.feed.OnTheWay(ohms)
	what := "the short becomes some " + amount(short*isolate.KelvinWatt, board.One).String() + " K warmer, and shows"
	switch {
	case short*isolate.KelvinWatt < isolate.CommonPractice().Camera.Kelvin:
		what = "the short stays cold"
		if way > short {
			what += ": look at what leads to it"
		}
	case way > short:
		what += "; more of the heat is made on the way"
	}
	a.add(fmt.Sprintf("if the short has %s", amount(ohms, board.Ohm)), amount(a.feed.Current(ohms), board.Ampere),
		fmt.Sprintf("%s in it, %s in leads and copper: %s", amount(short, board.Watt), amount(way, board.Watt), what))
}

// stored is what the capacitors of the rail hold.
func (a *advice) stored() {
	farads, n := 0.0, 0
	for _, x := range a.parts {
		if p := &a.site(x.member).b.Parts[x.id]; p.Value.Known() && p.Value.Unit == board.Farad {
			farads += p.Value.Float()
			n++
		}
	}
	if n == 0 {
		return
	}
	text := fmt.Sprintf("of %s on the rail", plural(n, "capacitor"))
	if a.safe.volts.Known() {
		const bleeder, left = 100, .01
		text += fmt.Sprintf(": %s at %s; through 100 ohm it takes %s until 1%% of the volts are left", joules(inject.Energy(farads, a.safe.volts.Float())), a.safe.volts,
			amount(inject.Discharge(bleeder, farads, left), board.Second))
	}
	a.add("discharge first", amount(farads, board.Farad), text)
}

// joules is an energy in a form to read. No unit of the domain measures it.
func joules(j float64) string {
	if j < 1 {
		return fmt.Sprintf("%.2g mJ", j*1000)
	}
	return fmt.Sprintf("%.2g J", j)
}
