package sheet

import "netlore/query/diag"

// checkEnds checks that the two ends of a join fit together.
func checkEnds(c *cursor) *problem {
	var role [2]string
	var pads [2]int
	for _, at := range c.f.lineAttrs(c.l) {
		if at.slot > 1 {
			continue
		}
		var v value
		d := *c
		d.i = int(at.token - c.l.token)
		readEnd(&d, &c.form.attributes[at.slot], &v)
		role[at.slot], pads[at.slot] = v.text, len(v.names)
	}
	second := c.toks[2]
	switch {
	case role[0] == role[1]:
		return c.fault(second, "S219", "both ends of the join are on "+diag.Quote(role[0]), "a join leads from one board of the stack to another")
	case pads[0] != pads[1]:
		return c.fault(second, "S219", "the two ranges of the join are not of one length", "join as many pads as there are on the other side")
	}
	return nil
}
