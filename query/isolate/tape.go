package isolate

import (
	"encoding/binary"
	"iter"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"netlore/query/isolate/sequence"
	"netlore/query/trace"
)

// frame is what runs of tape along the frame do. The pads that carry the rail are
// numbered in the order of the frame; tape over pads that do not changes nothing,
// so a run begins and ends at one that does.
type frame struct {
	carry  []int     // pads that carry the rail
	surely [][]int32 // of each first pad of a run and each site: after how many no sure way leads to the site
	maybe  [][]int32 // and after how many no way at all
	sites  [][]int32 // of each group of faults, its sites
	group  []int32   // of each fault, its group; None for one that lies elsewhere
	unsure float64
	err    Error
}

// newFrame works out each run: one search for all that begin at the same pad, on
// whichever processor is free.
func (c *Case) newFrame(s *State) *frame {
	d := c.device
	fr := &frame{unsure: c.rates.Unsure, err: c.rates.Tape}
	for i := range d.Pads {
		if len(d.Pads[i].At) > 0 && len(d.Pads[i].Ties) > 0 {
			fr.carry = append(fr.carry, i)
		}
	}
	c.groupSites(fr, s)
	joined := *s
	joined.Apart = false
	cut, unsure := d.cut(&joined), hasUnsure(d.Graph)
	fr.surely, fr.maybe = make([][]int32, len(fr.carry)), make([][]int32, len(fr.carry))
	inParallel(len(fr.carry), func(first int) {
		cuts := fr.cuts(d, first)
		fr.surely[first] = fr.atSites(d.Graph.Severed(d.Source, trace.Ties{Cut: cut}, cuts), c.places)
		if fr.maybe[first] = fr.surely[first]; unsure {
			fr.maybe[first] = fr.atSites(d.Graph.Severed(d.Source, trace.Ties{Cut: cut, All: true}, cuts), c.places)
		}
	})
	return fr
}

func hasUnsure(g *trace.Graph) bool {
	for t := range g.Ties() {
		if !g.Tie(trace.TieID(t)).Sure {
			return true
		}
	}
	return false
}

// cuts are the ties that a run from a pad opens, pad by pad.
func (fr *frame) cuts(d *Device, first int) [][]trace.TieID {
	n := len(fr.carry)
	if !d.Ring {
		n -= first
	}
	cuts := make([][]trace.TieID, n)
	for k := range cuts {
		cuts[k] = d.Pads[fr.carry[(first+k)%len(fr.carry)]].Ties
	}
	return cuts
}

// groupSites groups the faults that no run can tell apart: those of the same sites.
func (c *Case) groupSites(fr *frame, s *State) {
	groups := map[string]int32{}
	fr.group = make([]int32, len(c.faults))
	var sites []int32
	var key []byte
	for f := range c.faults {
		if fr.group[f] = None; c.faults[f].Kind == Elsewhere {
			continue
		}
		sites, key = sites[:0], key[:0]
		for i, at := range c.sites[f] {
			if c.faults[f].Sites[i].there(s) {
				sites = append(sites, at)
			}
		}
		slices.Sort(sites)
		sites = slices.Compact(sites)
		for _, at := range sites {
			key = binary.LittleEndian.AppendUint32(key, uint32(at))
		}
		g, ok := groups[string(key)]
		if !ok {
			g = int32(len(groups))
			groups[string(key)] = g
			fr.sites = append(fr.sites, slices.Clone(sites))
		}
		fr.group[f] = g
	}
}

func (fr *frame) atSites(severed []int32, places []trace.Place) []int32 {
	at := make([]int32, len(places))
	for i, p := range places {
		at[i] = severed[p]
	}
	return at
}

// run is tape over some of the pads that carry the rail, one beside the other.
type run struct {
	first, pads int
	bits        float64
}

// severed is after how many pads of a run a group is cut off.
func (fr *frame) severed(by []int32, group int) (most int32) {
	for _, s := range fr.sites[group] {
		most = max(most, by[s])
	}
	return most
}

// flows is how likely a current still flows into a group under a run.
func (fr *frame) flows(r run, group int) float64 {
	switch {
	case int32(r.pads) < fr.severed(fr.surely[r.first], group):
		return 1
	case int32(r.pads) < fr.severed(fr.maybe[r.first], group):
		return fr.unsure
	}
	return 0
}

// runs gives the runs that do something different, by how likely each fault is.
// What a run does changes only where it cuts off one more group, so the shortest of
// those that do the same is taken.
func (fr *frame) runs(p []float64) iter.Seq[run] {
	weights, elsewhere := make([]float64, len(fr.sites)), 0.0
	for f, g := range fr.group {
		if g == None {
			elsewhere += p[f]
		} else {
			weights[g] += p[f]
		}
	}
	n := len(fr.carry) + 2
	w := sweep{fr: fr, sure: make([]float64, n), may: make([]float64, n), elsewhere: elsewhere}
	w.yes, w.no, w.maybe = answerOf(fr.err.chance(1)), answerOf(fr.err.chance(0)), answerOf(fr.err.chance(fr.unsure))
	return func(yield func(run) bool) {
		for first := range fr.carry {
			if !w.from(first, weights, yield) {
				return
			}
		}
	}
}

// best are the runs that tell most, and no two of them that tell as much.
func (fr *frame) best(p []float64, most int) (best []run) {
	for r := range fr.runs(p) {
		if len(best) == most && r.bits <= best[most-1].bits {
			continue
		}
		at := 0
		for at < len(best) && best[at].bits > r.bits+tiny {
			at++
		}
		if at < len(best) && best[at].bits > r.bits-tiny {
			continue
		}
		best = slices.Insert(best, at, r)
		best = best[:min(most, len(best))]
	}
	return best
}

// tiny is no difference, in bits.
const tiny = 1e-9

// sweep goes along the runs from one pad.
type sweep struct {
	fr        *frame
	sure, may []float64 // weight that is surely, and that may be cut off, by length
	elsewhere float64
	yes, no   answer // of a site that is on, and of one that is off
	maybe     answer
}

// from gives the runs from one pad that do something different.
func (w *sweep) from(first int, weights []float64, yield func(run) bool) bool {
	clear(w.sure)
	clear(w.may)
	total := 0.0
	for g, x := range weights {
		total += x
		if n := w.fr.severed(w.fr.surely[first], g); n != trace.Never {
			w.sure[n] += x
		}
		if n := w.fr.severed(w.fr.maybe[first], g); n != trace.Never {
			w.may[n] += x
		}
	}
	// What is surely cut off counts from sure on as unsure, from may on as off.
	on, off := total-w.sure[0], w.may[0]
	for pads := 1; pads <= len(w.fr.carry); pads++ {
		if w.sure[pads] == 0 && w.may[pads] == 0 {
			continue
		}
		on -= w.sure[pads]
		off += w.may[pads]
		if !yield(run{first, pads, w.bits(on, off, total)}) {
			return false
		}
	}
	return true
}

// bits is what a run tells that leaves some weight on and cuts some off.
func (w *sweep) bits(on, off, total float64) float64 {
	unsure := max(total-on-off, 0)
	seen := on*w.yes.p + off*w.no.p + unsure*w.maybe.p + w.elsewhere/2
	noise := on*w.yes.bits + off*w.no.bits + unsure*w.maybe.bits + w.elsewhere
	all := total + w.elsewhere
	return answerOf(seen/all).bits - noise/all
}

// answer is how likely a short is seen, and how much that leaves open.
type answer struct{ p, bits float64 }

func answerOf(p float64) answer { return answer{p, sequence.Entropy([]float64{p, 1 - p})} }

// inParallel does something n times, on all processors.
func inParallel(n int, do func(i int)) {
	var next atomic.Int64
	var all sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		all.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	all.Wait()
}

// after is how likely each fault is after a run, if the short is still seen or
// gone, not brought to the sum of 1; and how likely that is.
func (fr *frame) after(p []float64, r run, seen bool) (q []float64, sum float64) {
	like := make([]float64, len(fr.sites))
	for g := range like {
		if like[g] = fr.err.chance(fr.flows(r, g)); !seen {
			like[g] = 1 - like[g]
		}
	}
	q = make([]float64, len(p))
	for f, g := range fr.group {
		if q[f] = p[f] / 2; g != None {
			q[f] = p[f] * like[g]
		}
		sum += q[f]
	}
	return q, sum
}

// shortlist are the runs that are worth a thought now, or after one or two of
// them: the best ones as things are, and after each outcome of the two best, after
// the best with one step less to go, after the other at once.
func (fr *frame) shortlist(p []float64, most, steps int) []run {
	all := fr.best(p, most)
	if steps == 0 {
		return all
	}
	for i, r := range all[:min(2, len(all))] {
		if i == 1 {
			steps = 1
		}
		for _, seen := range []bool{false, true} {
			if q, sum := fr.after(p, r, seen); sum > 0.02 {
				for i := range q {
					q[i] /= sum
				}
				all = append(all, fr.shortlist(q, most/2, steps-1)...)
			}
		}
	}
	return all
}

// worth are the runs to plan with: all that do something different if those are
// few, else a shortlist.
func (fr *frame) worth(p []float64) []run {
	const few, wide, steps = 50000, 12, 2
	var all []run
	for r := range fr.runs(p) {
		if all = append(all, r); len(all)*len(fr.sites) > few {
			return fr.shortlist(p, wide, steps)
		}
	}
	return all
}

// flowsByFault is how likely a current still flows into each fault under a run.
func (fr *frame) flowsByFault(r run) []float64 {
	l := make([]float64, len(fr.group))
	for f, g := range fr.group {
		if g != None {
			l[f] = fr.flows(r, int(g))
		}
	}
	return l
}
