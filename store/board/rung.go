package board

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Rung is a pad or pin of which no net is stated, and what touches say of it.
type Rung struct {
	Pad  PadID // None of a pin
	Pin  PinID // None of a pad
	Nets []NetID
	Sure bool    // it is on the one net; else it may be on each
	Why  string  // if it is not sure
	By   []Touch // that lead from it to a place whose net is stated, or contradict each other
}

// Why a place is only possibly on a net.
const (
	whyContradiction = "continuity contradicts itself"
	whyGrounds       = "which ground is not known"
	whyThrough       = "may ring through "
	whyJob           = "rings in job %s only"
)

// rungs is what is known of a board by touches alone.
type rungs struct {
	stated    *Board
	all       []Rung
	ofPad     map[PadID]int
	ofPin     map[PinID]int
	maybePads map[NetID][]PadID
	maybePins map[NetID][]PinID
}

// Ringing is the board with the pads and pins of which no net is stated on the
// nets that touches say: surely, or as far as RungPad and RungPin tell. It is the
// board itself if they say nothing, and kept with it.
//
// What is stated to be on one net is; what rings is, too, unless a part may let
// it ring from another net, and silence does not keep it off that. What rings on
// one device, in a job, only may be. No touch takes a place off its stated net.
func (b *Board) Ringing(touches []Touch) *Board {
	if len(touches) == 0 || b.kept == nil {
		return b
	}
	return b.Keep(keyOf(touches), func() any {
		rung := newRinger(b, touches).judge()
		if len(rung) == 0 {
			return b
		}
		return b.withRungs(rung)
	}).(*Board)
}

type ringingKey string

// keyOf is the same for touches that say the same.
func keyOf(touches []Touch) ringingKey {
	var key []byte
	for i := range touches {
		t := &touches[i]
		for _, text := range []string{t.A.Role, t.A.Name, t.A.Pin, t.B.Role, t.B.Name, t.B.Pin, t.Job, t.By, t.Line.Head, t.Line.Member} {
			key = append(strconv.AppendInt(key, int64(len(text)), 10), ':')
			key = append(key, text...)
		}
		key = strconv.AppendInt(key, t.When.Unix(), 10)
		key = append(key, byte(t.A.Kind), byte(t.B.Kind), oneIf(t.Rings), oneIf(t.Said))
	}
	return ringingKey(key)
}

func oneIf(holds bool) byte {
	if holds {
		return 1
	}
	return 0
}

// Stated is the board as it is stated, without what Ringing has made of it.
func (b *Board) Stated() *Board {
	if b.rung == nil {
		return b
	}
	return b.rung.stated
}

// withRungs is a board on which places are on the nets that they ring on.
func (b *Board) withRungs(all []Rung) *Board {
	x := *b
	x.Pins, x.Pads = slices.Clone(b.Pins), slices.Clone(b.Pads)
	x.rung = &rungs{stated: b, all: all, ofPad: map[PadID]int{}, ofPin: map[PinID]int{}, maybePads: map[NetID][]PadID{}, maybePins: map[NetID][]PinID{}}
	for i := range all {
		x.enter(i, &all[i])
	}
	x.partPins, x.netPins, x.netFirst, x.netPads, x.padFirst = nil, nil, nil, nil, nil
	x.index()
	return &x
}

func (b *Board) enter(i int, r *Rung) {
	if r.Pad != None {
		b.rung.ofPad[r.Pad] = i
	} else {
		b.rung.ofPin[r.Pin] = i
	}
	switch {
	case r.Sure && r.Pad != None:
		b.Pads[r.Pad].Net = r.Nets[0]
	case r.Sure:
		b.Pins[r.Pin].Net = r.Nets[0]
	default:
		for _, net := range r.Nets {
			if r.Pad != None {
				b.rung.maybePads[net] = append(b.rung.maybePads[net], r.Pad)
			} else {
				b.rung.maybePins[net] = append(b.rung.maybePins[net], r.Pin)
			}
		}
	}
}

// Rungs are all pads, then pins, of which touches alone tell the net.
func (b *Board) Rungs() []Rung {
	if b.rung == nil {
		return nil
	}
	return b.rung.all
}

// RungPad is what touches alone say of the net of a pad; nil if nothing.
func (b *Board) RungPad(id PadID) *Rung {
	if b.rung != nil {
		if i, ok := b.rung.ofPad[id]; ok {
			return &b.rung.all[i]
		}
	}
	return nil
}

// RungPin is what touches alone say of the net of a pin; nil if nothing.
func (b *Board) RungPin(id PinID) *Rung {
	if b.rung != nil {
		if i, ok := b.rung.ofPin[id]; ok {
			return &b.rung.all[i]
		}
	}
	return nil
}

// PadsMaybeOn are the pads that ring so that they may be on a net, and
// PinsMaybeOn the pins. They are in order.
func (b *Board) PadsMaybeOn(net NetID) []PadID {
	if b.rung == nil {
		return nil
	}
	return b.rung.maybePads[net]
}

// PinsMaybeOn: see PadsMaybeOn.
func (b *Board) PinsMaybeOn(net NetID) []PinID {
	if b.rung == nil {
		return nil
	}
	return b.rung.maybePins[net]
}

// judge says on which nets the places without a net are, or may be.
func (r *ringer) judge() []Rung {
	var all []Rung
	for _, at := range r.loose {
		x := r.found(at)
		if x.nets == nil {
			continue
		}
		rung := Rung{Pad: None, Pin: None, Nets: x.nets, Sure: x.why == "", Why: x.why}
		if pad := at - len(r.b.Nets); pad < len(r.b.Pads) {
			rung.Pad = PadID(pad)
		} else {
			rung.Pin = PinID(pad - len(r.b.Pads))
		}
		rung.By = r.turned(at, x.by, x.odd == nil)
		all = append(all, rung)
	}
	return all
}

// found is what is found out of a place without a net.
type found struct {
	nets []NetID // nil if it rings to none
	why  string  // "" if it is sure
	by   []int   // touches on the way to the first of the nets that it rings to, or odd
	odd  []int   // touches that contradict each other
}

// found asks what is stated before what is measured, and that before what is
// measured on one device.
func (r *ringer) found(at int) found {
	said := r.walk(at, isSaid)
	w, off := said, r.silent(said)
	if len(w.nets) == 0 {
		w = r.walk(at, func(t *Touch) bool { return t.Job == "" })
	}
	if len(w.nets) == 0 {
		return r.inJobs(at, off)
	}
	x := found{by: w.way(int(w.nets[0])), odd: r.odd(w)}
	kept := slices.DeleteFunc(slices.Clone(w.nets), func(net NetID) bool { return off.nets[net] })
	switch {
	case len(kept) == 0:
		x.nets, x.why = w.nets, whyContradiction
	case len(said.nets) > 0:
		x.nets, x.why = kept, r.several(kept)
	default:
		x.nets, x.why = r.byMeter(kept, off.nets)
	}
	if x.odd != nil {
		x.why, x.by = whyContradiction, x.odd
	}
	slices.Sort(x.nets)
	return x
}

// byMeter are the nets that may have rung, if these did, and why it is not sure.
func (r *ringer) byMeter(rang []NetID, off map[NetID]bool) ([]NetID, string) {
	parts, nets := around(r.b.bridgesKept(), rang, off)
	if len(nets) > len(rang) {
		return nets, whyThrough + r.b.Parts[parts[nets[len(rang)]].part].Name
	}
	return nets, r.several(nets)
}

// several is why it is not sure which of some nets a place is on.
func (r *ringer) several(nets []NetID) string {
	switch {
	case len(nets) == 1:
		return ""
	case !slices.ContainsFunc(nets, func(net NetID) bool { return r.b.Nets[net].Kind != Ground }):
		return whyGrounds
	}
	if parts := r.b.RingsBetween(nets[0], nets[1]); parts != nil {
		return whyThrough + r.b.Parts[parts[0]].Name
	}
	return whyContradiction
}

// inJobs is what rang on devices on the bench.
func (r *ringer) inJobs(at int, off silences) found {
	w := r.walk(at, func(t *Touch) bool { return true })
	kept := slices.DeleteFunc(slices.Clone(w.nets), func(net NetID) bool { return off.nets[net] })
	if len(kept) == 0 {
		return found{}
	}
	x := found{by: w.way(int(kept[0]))}
	var jobs []string
	for _, i := range w.by {
		if job := r.touches[i].Job; job != "" && !slices.Contains(jobs, job) {
			jobs = append(jobs, job)
		}
	}
	slices.SortFunc(jobs, CompareNatural)
	_, x.nets = around(r.b.bridgesKept(), kept, off.nets)
	slices.Sort(x.nets)
	x.why = fmt.Sprintf(whyJob, strings.Join(jobs, ", "))
	return x
}

// odd are the touches by which a place rings to nets that cannot be one, or to one
// that it does not ring to; nil if there are none. Newest first.
func (r *ringer) odd(w *walk) []int {
	off := r.silent(w)
	all := off.within
	for i, net := range w.nets {
		if off.nets[net] && !r.otherGround(w.last[int(net)], off.nets) {
			all = append(append(all, off.by[net]), w.way(int(net))...)
		}
		if i > 0 && !r.mayBeOne(w.nets[0], net) {
			all = append(append(all, w.way(int(w.nets[0]))...), w.way(int(net))...)
		}
	}
	slices.SortFunc(all, func(i, j int) int {
		return cmp.Or(r.touches[j].When.Compare(r.touches[i].When), cmp.Compare(j, i))
	})
	return slices.Compact(all)
}

// otherGround reports whether a touch was against ground without saying which, and
// may have been another one than those that are kept off.
func (r *ringer) otherGround(touch int, off map[NetID]bool) bool {
	return slices.ContainsFunc(r.ends[touch][:], func(nodes []int) bool {
		return len(nodes) > 1 && slices.ContainsFunc(nodes, func(n int) bool { return !off[NetID(n)] })
	})
}

// mayBeOne reports whether two nets may ring: through parts, or as grounds.
func (r *ringer) mayBeOne(a, b NetID) bool {
	return r.areGrounds(a, b) || r.b.RingsBetween(a, b) != nil
}

func (r *ringer) areGrounds(a, b NetID) bool {
	return r.b.Nets[a].Kind == Ground && r.b.Nets[b].Kind == Ground
}

// turned are the touches of a way, each with the place first that is nearer to
// where the way begins. Touches that contradict each other are no way.
func (r *ringer) turned(from int, touches []int, isWay bool) []Touch {
	all := make([]Touch, len(touches))
	for k, i := range touches {
		t, e := r.touches[i], r.ends[i]
		if !slices.Contains(e[0], from) && slices.Contains(e[1], from) {
			t.A, t.B = t.B, t.A
		}
		if all[k] = t; isWay {
			from = r.other(i, from)[0]
		}
	}
	return all
}
