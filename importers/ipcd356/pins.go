package ipcd356

import (
	"math/bits"

	"netlore/importers/record"
)

// pinTable keeps the pin records. A record that repeats another (same pin, net
// and place) is merged into it when it is read, so memory follows the board
// and not the file.
type pinTable struct {
	all   []pin    // from index 1 on
	first index    // the first record, by part and pin
	loose []symbol // parts named without a pin
}

func (t *pinTable) init() {
	t.all = make([]pin, 1, 1024)
	t.first.grow()
}

// maxPlaces is the most places that one pin of one part can have. More are a
// fault of the file, and would make reading slow.
const maxPlaces = 64

// addPin keeps the record just decoded as a pin and returns its index. Records
// that are merged are counted as used; the others when their net is settled.
func (r *reader) addPin(count *record.Count, through bool) int32 {
	f := &r.field
	name := f.pin
	if len(name) == 0 {
		name = []byte(anonymous)
	}
	p := pin{ref: r.names.of(f.ref), name: r.names.of(name), net: r.group.net,
		x: f.x, y: f.y, w: f.w, h: f.h, turn: f.turn,
		line: int32(r.number), access: f.access, code: r.codeOf(), through: through}
	first := r.pins.first.at(uint64(p.ref)<<32 | uint64(p.name))
	if *first == 0 {
		*first = r.keepPin(p)
		return *first
	}
	return r.pins.join(r, count, *first, p)
}

func (r *reader) keepPin(p pin) int32 {
	r.points++
	r.pins.all = append(r.pins.all, p)
	return int32(len(r.pins.all) - 1)
}

// join adds a record of a pin that there are records of already.
func (t *pinTable) join(r *reader, count *record.Count, first int32, p pin) int32 {
	at, places := first, 1
	for {
		q := &t.all[at]
		if q.net == p.net && q.x == p.x && q.y == p.y {
			q.merge(p)
			count.Use()
			return at
		}
		if q.next == 0 {
			break
		}
		at, places = q.next, places+1
	}
	if places == maxPlaces {
		count.Explain(r.number, "this pin has 64 places already")
		return at
	}
	next := r.keepPin(p)
	t.all[at].next = next
	return next
}

// merge takes a second record of the same pin at the same place: seen from the
// other side, it goes through the board.
func (p *pin) merge(q pin) {
	p.through = p.through || q.through || q.access != p.access && q.access != noAccess && p.access != noAccess
	if p.w == 0 {
		p.w, p.h, p.turn = q.w, q.h, q.turn
	}
}

// byPart links the pin records of each part, in order of the file, and
// returns the first of each by symbol of the part; 0 is none.
func (t *pinTable) byPart(symbols int) []int32 {
	first := make([]int32, symbols)
	for i := int32(len(t.all) - 1); i > 0; i-- {
		p := &t.all[i]
		p.nextOfRef = first[p.ref]
		first[p.ref] = i
	}
	return first
}

// index is a hash table from part and pin to the first record, with open
// addressing: one look finds a key or makes it. A value of 0 is a free place.
type index struct {
	slots []slot // a power of two of them, at most three quarters taken
	taken int
	shift uint
}

type slot struct {
	key   uint64
	value int32
}

// at returns where the value of a key is kept, 0 if it is new; the caller sets
// it to another number before the next call.
func (x *index) at(key uint64) *int32 {
	if x.taken >= len(x.slots)/4*3 {
		x.grow()
	}
	s := x.find(key)
	if s.value == 0 {
		s.key = key
		x.taken++
	}
	return &s.value
}

// find returns the slot of a key, or the free one where it belongs. The
// constant is 2 to the 64 over the golden ratio, which spreads keys that
// follow each other (Knuth, volume 3, 6.4).
func (x *index) find(key uint64) *slot {
	i := int(key * 0x9e3779b97f4a7c15 >> x.shift)
	for x.slots[i].value != 0 && x.slots[i].key != key {
		i = (i + 1) & (len(x.slots) - 1)
	}
	return &x.slots[i]
}

// grow doubles the table.
func (x *index) grow() {
	old := x.slots
	n := max(bits.Len(uint(len(old))), 10)
	x.slots, x.shift = make([]slot, 1<<n), uint(64-n)
	for _, s := range old {
		if s.value != 0 {
			*x.find(s.key) = s
		}
	}
}
