package sheet

import (
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
			if why := j.Steps[n].Impossible(); why != "" {
				k.report(k.spot(formJob, j.ID, ""), diag.Warning, "S420", fmt.Sprintf("step %d of job %s cannot be: %s", j.Steps[n].Number, j.ID, why), "look at the unit and the decimal point")
			}
		}
		if !j.Opened.IsZero() && !j.Closed.IsZero() && j.Closed.Before(j.Opened) {
			k.report(k.spot(formJob, j.ID, "closed"), diag.Warning, "S418", "job "+j.ID+" was closed before it was opened")
		}
	}
}

// readings finds readings that no meter shows.
func (k *checker) readings() {
	for _, b := range k.g.of(formReading) {
		mode := board.Mode(k.g.decode(b, knownMode).word)
		for slot := range formOf(formReading).attributes {
			at, ok := b.attribute(slot)
			if !ok || formOf(formReading).attributes[slot].shape != measuredShape {
				continue
			}
			if v := k.g.read(b.f, b.line(), at); v.word == 0 {
				if why := board.Impossible(mode, v.q); why != "" {
					k.report(spot{b.f, b.line(), said{f: b.f, l: b.line(), at: at}.span()}, diag.Warning, "S420", "this reading cannot be: "+why, "look at the unit and the decimal point")
				}
			}
		}
	}
}
