package sheet

import (
	"cmp"
	"fmt"

	"netlore/query/diag"
	"netlore/store/board"
)

// jobs finds jobs that were closed before they were opened, and steps whose
// values cannot be.
func (k *checker) jobs() {
	if k.c.Knowledge == nil {
		return
	}
	for i := range k.c.Knowledge.Jobs {
		j := &k.c.Knowledge.Jobs[i]
		for n := range j.Steps {
			if why := k.cannotBe(&j.Steps[n]); why != "" {
				k.report(k.spot(formJob, j.ID, ""), diag.Warning, "S420", fmt.Sprintf("step %d of job %s cannot be: %s", j.Steps[n].Number, j.ID, why), "look at the unit and the decimal point")
			}
		}
		if !j.Opened.IsZero() && !j.Closed.IsZero() && j.Closed.Before(j.Opened) {
			k.report(k.spot(formJob, j.ID, "closed"), diag.Warning, "S418", "job "+j.ID+" was closed before it was opened")
		}
	}
}

// chances finds chances that cannot be.
func (k *checker) chances() {
	if k.c.Knowledge == nil {
		return
	}
	for i := range k.c.Knowledge.Chances {
		c := &k.c.Knowledge.Chances[i]
		if why := c.Impossible(); why != "" {
			k.report(k.spot(formChance, c.Of, ""), diag.Error, "S422", "the chance of "+c.Of+" cannot be: "+why, "look at the decimal points")
		}
	}
}

// cannotBe says why the values of a step cannot be, its meter's word included.
func (k *checker) cannotBe(s *board.Step) string {
	meter := board.FindMeter(k.meters, s.Meter)
	return cmp.Or(s.Impossible(), meter.Above(s.Mode, s.Value))
}

// readings finds readings that no meter shows, or not the one that it was.
func (k *checker) readings() {
	for _, b := range k.g.of(formReading) {
		meter := board.FindMeter(k.meters, k.g.decode(b, formOf(formReading).slotOf("meter")).text)
		mode := board.Mode(k.g.decode(b, knownMode).word)
		for slot := range formOf(formReading).attributes {
			at, ok := b.attribute(slot)
			if !ok || formOf(formReading).attributes[slot].shape != measuredShape {
				continue
			}
			if v := k.g.read(b.f, b.line(), at); v.word == 0 {
				if why := cmp.Or(board.Impossible(mode, v.q), meter.Above(mode, v.q)); why != "" {
					k.report(spot{b.f, b.line(), said{f: b.f, l: b.line(), at: at}.span()}, diag.Warning, "S420", "this reading cannot be: "+why, "look at the unit and the decimal point")
				}
			}
		}
	}
}
