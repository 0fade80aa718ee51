package play

import (
	"netlore/query/isolate"
	"netlore/store/board"
)

// DownTheList is what it takes to lift the parts of the rail in their order until
// what is bad is found, and reports whether a list of parts leads to it: to a
// bridge of pads it does not. Bad copper is seen under the first part of it.
func DownTheList(d *isolate.Device, f *isolate.Fault, c isolate.Costs) (minutes float64, ok bool) {
	left, loose, off := len(f.Sites), false, map[int]bool{}
	for i := range d.Parts {
		part := &d.Parts[i]
		if part.Grounded == board.False {
			continue
		}
		if part.Spot.Inside && !loose {
			loose = true
			minutes += price(c, c.Unsolder)
		}
		if lid := part.Spot.Cover; lid != isolate.None && !off[lid] {
			off[lid] = true
			minutes += price(c, d.Covers[lid].Off)
		}
		minutes += price(c, c.Lift)
		for _, s := range f.Sites {
			if s.Part == i || f.Kind == isolate.Zone && s.At == part.At[0] && s.Spot.View() == part.Spot.View() {
				left--
			}
		}
		if left == 0 {
			return minutes, true
		}
	}
	return 0, false
}

// Free is a device whose covers come off for nothing: as one who ignores what
// tests cost sees it.
func Free(d *isolate.Device) *isolate.Device {
	free := *d
	free.Covers = make([]isolate.Cover, len(d.Covers))
	for i := range d.Covers {
		free.Covers[i].Stay = d.Covers[i].Stay
	}
	return &free
}
