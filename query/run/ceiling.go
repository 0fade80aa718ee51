package run

import (
	"fmt"

	"netlore/query/isolate/inject"
	"netlore/query/trace"
	"netlore/query/words"
	"netlore/store/board"
)

// ceiling is the lowest of what a rail and the parts on it are rated for: more must
// never be put on the rail.
type ceiling struct {
	volts board.Quantity // not known if none is stated
	of    string         // the net or part that it is stated of
	among int            // how many are stated
	rail  bool           // one of them is that of a net
}

func (c *ceiling) lower(volts board.Quantity, of string) {
	if !volts.Known() || volts.Coef <= 0 {
		return
	}
	if c.among++; !c.volts.Known() || volts.Compare(c.volts) < 0 {
		c.volts, c.of = volts, of
	}
}

// ceiling looks at all that the rail possibly leads to.
func (x *bench) ceiling() (c ceiling) {
	seen := map[memberNet]bool{}
	for p := range trace.Place(x.supply.Places()) {
		at := x.supply.Copper(p)
		if !x.onRail(p) || at.Net == board.None || seen[memberNet{at.Member, at.Net}] {
			continue
		}
		seen[memberNet{at.Member, at.Net}] = true
		s := x.site(at.Member)
		c.lower(s.b.Nets[at.Net].Volts, s.nameValue(words.Nets, int32(at.Net)).String())
		c.rail = c.rail || s.b.Nets[at.Net].Volts.Known()
	}
	for _, part := range x.parts {
		s := x.site(part.member)
		c.lower(s.b.Parts[part.id].Volts, s.nameValue(words.Parts, part.id).String())
	}
	return c
}

// What is put on a shorted rail to make the short warm, in volts: common practice,
// without a source. Junctions hardly conduct at the first; where no sheet says what
// the rail is rated for, it is the second, which is below what any rail has in use.
const (
	usualVolts   = 1.0
	carefulVolts = 0.5
)

// usualPath is the ohms of leads and copper where nothing is known of them: common
// practice, without a source.
const usualPath = .05

// usualFeed is how a rail is fed to look for what becomes warm, where no step says.
var usualFeed = inject.Injection{Volts: usualVolts, Amps: usualLimit, Path: usualPath}

// suggest is what to set a supply to.
func (c *ceiling) suggest() float64 {
	volts := usualVolts
	if !c.rail {
		volts = carefulVolts
	}
	if c.volts.Known() {
		volts = min(volts, c.volts.Float())
	}
	return volts
}

// because says why the ceiling is what it is.
func (c *ceiling) because() string {
	switch {
	case !c.volts.Known():
		return "no sheet says what the rail is rated for, nor a part on it: find out before more is put on it"
	case !c.rail:
		return fmt.Sprintf("what %s is rated for; what the rail is rated for no sheet says, and it can be less", c.of)
	case c.among > 1:
		return fmt.Sprintf("what %s is rated for, the lowest of %d that are stated on the rail", c.of, c.among)
	}
	return "what " + c.of + " is rated for"
}

// feeding is in short what there is to say of feeding the rail.
func (x *isolation) feeding() string {
	safe := x.ceiling()
	most := "what " + x.rail + " is rated for is not stated"
	if safe.volts.Known() {
		most = fmt.Sprintf("never above %s, what %s is rated for", safe.volts, safe.of)
	}
	return most + "; netlore inject " + board.QuoteName(x.job.ID) + " tells where to clamp, and what would show"
}
