package run

import (
	"strings"

	"netlore/query/isolate"
)

// mostMarks is how many marks the frame between two boards is drawn with.
const mostMarks = 60

// frameBar draws where along the frame a run of tape goes, as tape goes round it.
func (x *isolation) frameBar(p *isolate.Proposal) string {
	name := func(pad int) string {
		end := x.frame[pad].a
		return x.site(end.Member).b.Pads[end.ID].Name
	}
	last := len(x.frame) - 1
	text := "tape on the frame: " + name(0) + " [" + drawn(len(x.frame), p.First, p.Pads) + "] " + name(last)
	if x.device.Ring {
		text += ", and round to " + name(0)
	}
	return text
}

// drawn draws n pads as one mark each, or as one for several side by side, if there
// are many: # where tape is on one of them. A run goes on at the beginning where it
// comes to the end.
func drawn(n, first, pads int) string {
	signs := []byte(strings.Repeat("-", min(n, mostMarks)))
	for i := range pads {
		signs[(first+i)%n*len(signs)/n] = '#'
	}
	return string(signs)
}
