package isolate

import "netlore/store/board"

// Mode is how often parts of a kind fail, and how often that is a short.
type Mode struct {
	Kind string
	// Base is the failures of a million hours on the ground, in a benign place.
	// Only ratios of it mean anything: editions differ by a factor of 20 and more.
	Base   float64
	Short  float64 // share of failures that are shorts
	Source string
}

// PerMillionHours is how many shorts are expected in a million hours.
func (m Mode) PerMillionHours() float64 { return m.Base * m.Short }

const (
	parts = "MIL-HDBK-217F, parts count" // as transcribed in a public reliability tool
	modes = "MIL-HDBK-338B"              // as transcribed in the same tool
)

// The modes that are used. The figures were read from a public tool's copy
// of the two handbooks, not from the handbooks.
var (
	Ceramic         = Mode{"ceramic chip capacitor", .00078, .49, parts + "; " + modes}
	Tantalum        = Mode{"tantalum capacitor", .0018, .69, parts + "; " + modes}
	FilmResistor    = Mode{"film resistor", .0012, .05, parts + "; " + modes}
	FixedInductor   = Mode{"fixed inductor", .0017, .42, parts + "; " + modes}
	SwitchingDiode  = Mode{"switching diode", .00094, .49, parts + "; " + modes}
	FieldEffect     = Mode{"field-effect transistor", .014, .51, parts + "; " + modes}
	PluggedContact  = Mode{"connector", .011, .16, parts + "; " + modes}
	LightEmitter    = Mode{"light-emitting diode", .00094, .30, "as a switching diode; " + modes}
	SupplyPinOfChip = Mode{"supply pin of a chip", .0036, .26, "a diode of " + parts + ", that is, the clamp at the pin; a memory circuit of " + modes + "; that these stand for any chip is common practice, no source"}
	Other           = Mode{"other part", .0012, .05, "as a film resistor: common practice, no source"}
)

// byClass is the mode of each class; the first that a class is a kind of counts.
var byClass = []struct {
	class board.Class
	mode  Mode
}{
	{board.Capacitor, Ceramic}, // the usual one where nothing else is said
	{board.Varistor, Ceramic},
	{board.Resistor, FilmResistor},
	{board.Inductor, FixedInductor},
	{board.Bead, FixedInductor},
	{board.LED, LightEmitter},
	{board.DiodePart, SwitchingDiode},
	{board.Transistor, FieldEffect},
	{board.Chip, SupplyPinOfChip},
	{board.ModulePart, SupplyPinOfChip},
	{board.ConnectorPart, PluggedContact},
}

// ModeOf is how parts of a class fail.
func ModeOf(c board.Class) Mode {
	for _, row := range byClass {
		if c.Is(row.class) {
			return row.mode
		}
	}
	return Other
}

// History is what happened to the device, as far as that shifts what is likely.
type History uint8

// The histories.
const (
	NoHistory History = iota
	Liquid
	Drop
)

// Priors say how likely what is, before anything is seen.
type Priors struct {
	// Shares are how much weight faults of each kind have together. Kinds of
	// which there is nothing leave theirs to the others.
	Shares [kinds]float64
	// Ceramic is how much likelier a ceramic capacitor is bad than its mode says.
	Ceramic float64
	// Strength is how many closed jobs the modes count for beside the shop's own.
	Strength float64
	// Second is how likely something else is shorted, too, if a part is; NewBad, how
	// likely the new part in the place of a bad one is. See Seconds.
	Second, NewBad float64
}

// newBad is how likely a new part in the place of a bad one is bad, or what is under
// it, or soldered so: common practice, without a source.
const newBad = .02

// PriorsFor are the priors for a history. All of it is common practice, without
// a source: liquid leaves zones and bridges, and often more than one short; a drop
// cracks ceramic capacitors.
func PriorsFor(h History) Priors {
	switch h {
	case Liquid:
		return Priors{[kinds]float64{Single: .52, Bridge: .08, Zone: .2, Several: .15, Elsewhere: .05}, 1, 20, .15, newBad}
	case Drop:
		return Priors{[kinds]float64{Single: .85, Bridge: .05, Zone: .02, Several: .03, Elsewhere: .05}, 3, 20, .05, newBad}
	}
	return Priors{[kinds]float64{Single: .83, Bridge: .05, Zone: .04, Several: .03, Elsewhere: .05}, 1, 20, .03, newBad}
}

// Smooth is how likely each of some things is after it was the culprit so many
// times: the mean of the Dirichlet distribution whose mean was the prior and whose
// weight is that of strength jobs,
//
//	p(i) = (strength · prior(i) + counts(i)) / (strength + Σ counts)
//
// with the prior brought to the sum of 1. Counts may be broken numbers: a job
// that counts half.
func Smooth(prior, counts []float64, strength float64) []float64 {
	sum, jobs := 0.0, 0.0
	for i := range prior {
		sum += prior[i]
		jobs += counts[i]
	}
	p := make([]float64, len(prior))
	for i := range prior {
		if sum > 0 && strength+jobs > 0 {
			p[i] = (strength*prior[i]/sum + counts[i]) / (strength + jobs)
		}
	}
	return p
}
