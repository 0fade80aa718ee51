package isolate

// Cost is what is paid for a step.
type Cost struct {
	Minutes float64
	Risk    float64 // chance that it does harm
}

// Costs are what steps cost beside what covers say.
type Costs struct {
	Harm     float64 // minutes that harm costs
	Unsolder Cost    // the boards of a stack
	Feed     Cost    // a board or all, and read the draw
	Tape     Cost    // over a straight run of pads, the boards put together, and feed
	Read     Cost    // one place with a meter
	Measure  Cost    // milliohms at some places of a piece of copper
	Inject   Cost    // and look with a camera
	Freeze   Cost    // inject, and look where frost melts first
	Look     Cost    // for corrosion, with a microscope
	Lift     Cost    // a part, and see whether the short is gone
	Mend     Cost    // a suspect, in the end: lift a part, clean copper or pads
}

// UsualCosts are common practice, without a source.
func UsualCosts() Costs {
	return Costs{
		Harm:     240,
		Unsolder: Cost{25, .04},
		Feed:     Cost{1.5, 0},
		Tape:     Cost{6, .002},
		Read:     Cost{.5, 0},
		Measure:  Cost{3, 0},
		Inject:   Cost{4, .002},
		Freeze:   Cost{6, .004},
		Look:     Cost{2, 0},
		Lift:     Cost{6, .03},
		Mend:     Cost{6, .03},
	}
}

// Of is what a test of some kind costs.
func (c *Costs) Of(k TestKind) Cost {
	return [...]Cost{FeedIt: c.Feed, TapeIt: c.Tape, ReadIt: c.Read, InjectIt: c.Inject, LookAtIt: c.Look, LiftIt: c.Lift, MeasureIt: c.Measure}[k]
}

// price is what a step costs in minutes, harm included.
func (c *Costs) price(x Cost) float64 { return x.Minutes + x.Risk*c.Harm }
