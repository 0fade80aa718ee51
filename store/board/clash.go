package board

import "slices"

// ClashKind is how a touch does not fit what is known.
type ClashKind uint8

const (
	Contradicts ClashKind = iota // one of the statements is wrong
	Through                      // two nets ring: a part between them lets it ring
	Short                        // two nets ring on one device
	Break                        // one net does not ring on one device
)

var clashWords = [...]string{Contradicts: "contradiction", Through: "through a part", Short: "short on that device", Break: "break on that device"}

// String is the kind in words.
func (k ClashKind) String() string { return clashWords[k] }

// Clash is a touch between places of which other nets are known than it says.
// Touches are numbers into the touches that were asked.
type Clash struct {
	Kind    ClashKind
	Touch   int
	A, B    NetID    // of its ends; None where what contradicts it is touches alone
	Parts   []PartID // that let it ring
	Against []int    // touches that say otherwise, newest first
}

// Clashes are the touches that do not fit what is stated of the board and the
// other touches, in their order.
func (b *Board) Clashes(touches []Touch) []Clash {
	if len(touches) == 0 {
		return nil
	}
	r := newRinger(b, touches)
	var all []Clash
	odd := r.odds()
	for i := range touches {
		if c, ok := r.clash(i); ok {
			all = append(all, c)
		}
		if against := odd[i]; against != nil {
			all = append(all, Clash{Kind: Contradicts, Touch: i, A: None, B: None, Against: against})
		}
	}
	return all
}

// odds are the newest touches of each set that contradict each other, and the
// others of it.
func (r *ringer) odds() map[int][]int {
	all := map[int][]int{}
	for _, at := range r.loose {
		if odd := r.found(at).odd; len(odd) > 1 && all[odd[0]] == nil {
			all[odd[0]] = odd[1:]
		}
	}
	return all
}

// clash judges a touch by the nets of its ends.
func (r *ringer) clash(i int) (Clash, bool) {
	t := &r.touches[i]
	a, b := r.end(i, 0), r.end(i, 1)
	c := Clash{Touch: i, A: a.net, B: b.net, Against: slices.Concat(a.by, b.by)}
	switch {
	case a.net == None || b.net == None || t.Rings == (a.net == b.net), slices.Contains(c.Against, i):
		return c, false
	case !t.Rings && t.Job != "":
		c.Kind = Break
	case !t.Rings:
	case r.areGrounds(a.net, b.net):
		return c, false
	case t.Said:
	default:
		if c.Parts = r.b.RingsBetween(a.net, b.net); c.Parts != nil {
			c.Kind = Through
		} else if t.Job != "" {
			c.Kind = Short
		}
	}
	return c, true
}

// knownEnd is an end of a touch: its net, and the touches by which that is known.
type knownEnd struct {
	net NetID
	by  []int
}

// end is the net of an end of a touch, None if it is not surely known or one of
// several grounds.
func (r *ringer) end(touch, side int) knownEnd {
	nodes := r.ends[touch][side]
	if len(nodes) != 1 {
		return knownEnd{net: None}
	}
	if nodes[0] < len(r.b.Nets) {
		return knownEnd{net: NetID(nodes[0])}
	}
	if x := r.found(nodes[0]); x.nets != nil && x.why == "" {
		return knownEnd{x.nets[0], x.by}
	}
	return knownEnd{net: None}
}
