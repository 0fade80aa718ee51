// Package trace follows what can carry a supply: through coils, beads, fuses,
// 0 ohm links, and from board to board through joined pads. It is numbers and
// ids in, steps, paths and reasons out.
//
// A Graph has places, which are pieces of copper, and ties between them, which
// are parts and joins. Supply makes one from boards. What is not known of a
// board makes a tie that is not sure, and every search can be run on the sure
// ties alone or on all: the first finds what is certain, the second what is
// possible.
//
// A trace that meets ground ends there: ground ties everything to everything,
// so that going on would tell nothing. One that begins on ground leaves it. Where
// no net of a board is stated to be ground, each may be.
package trace

// Place is a piece of copper.
type Place int32

// TieID is one tie of a graph. Ties are numbered in the order in which they
// were added.
type TieID int32

// None is no place and no tie.
const None = -1

// Stop is whether a trace ends at a place, unless it begins there.
type Stop uint8

const (
	Goes    Stop = iota
	MayStop      // it is not known
	Stops
)

// Tie is what a trace can cross.
type Tie struct {
	Sure bool // it certainly carries
	Free bool // crossing it is no step: copper that may be one piece
	Ohms Ohms
}

// Ohms is what is known of the resistance of a tie. MicroOhm is a lower bound
// unless it is Exact. Of an Opaque tie nothing is known: a chip, a diode.
type Ohms struct {
	MicroOhm int64
	Exact    bool
	Opaque   bool
}

// end is a tie at a place; a tie can be left at some ends only.
type end struct {
	place Place
	tie   TieID
}

// Builder collects places and ties.
type Builder struct {
	stops  []Stop
	twins  []Place
	ties   []Tie
	leaves []end // a trace can leave the place by the tie
	enters []end // and come to the place by it
}

// Add adds a place.
func (b *Builder) Add(stop Stop) Place {
	b.stops = append(b.stops, stop)
	b.twins = append(b.twins, None)
	return Place(len(b.stops) - 1)
}

// AddLoose adds a place of which it is not known what copper it belongs to. The
// place is two in the graph, so that no trace comes from one piece of copper
// and goes on to another that the place may belong to as well: it belongs to
// one of them at most. See Copper.
func (b *Builder) AddLoose(stop Stop) Place {
	p := b.Add(stop)
	b.twins[p] = b.Add(stop)
	return p
}

// Tie ties all of the places to one another.
func (b *Builder) Tie(t Tie, places ...Place) TieID {
	id := b.tie(t)
	for _, p := range places {
		b.enters = append(b.enters, end{p, id})
		b.leaves = append(b.leaves, end{p, id})
		if twin := b.twins[p]; twin != None {
			b.leaves = append(b.leaves, end{twin, id})
		}
	}
	return id
}

func (b *Builder) tie(t Tie) TieID {
	b.ties = append(b.ties, t)
	return TieID(len(b.ties) - 1)
}

// Copper says that each of the loose places may belong to one of the pieces, or
// be of one piece with other loose places.
func (b *Builder) Copper(pieces, loose []Place) (toLoose, fromLoose TieID) {
	maybe := Tie{Free: true, Ohms: Ohms{Exact: true}}
	toLoose, fromLoose = b.tie(maybe), b.tie(maybe)
	for _, p := range pieces {
		b.leaves = append(b.leaves, end{p, toLoose})
		b.enters = append(b.enters, end{p, fromLoose})
	}
	for _, l := range loose {
		b.leaves = append(b.leaves, end{l, fromLoose})
		b.enters = append(b.enters, end{b.twins[l], toLoose}, end{b.twins[l], fromLoose})
	}
	return toLoose, fromLoose
}

// Graph is places and ties. It does not change, so any number of goroutines may
// search it.
type Graph struct {
	stops  []Stop
	twins  []Place
	ties   []Tie
	leaves lists // ties by place
	enters lists // places by tie
}

// Graph makes the graph of what was added.
func (b *Builder) Graph() *Graph {
	return &Graph{
		stops: b.stops, twins: b.twins, ties: b.ties,
		leaves: listsOf(len(b.stops), b.leaves, func(e end) (int32, int32) { return int32(e.place), int32(e.tie) }),
		enters: listsOf(len(b.ties), b.enters, func(e end) (int32, int32) { return int32(e.tie), int32(e.place) }),
	}
}

// Places is how many places there are.
func (g *Graph) Places() int { return len(g.stops) }

// Ties is how many ties there are.
func (g *Graph) Ties() int { return len(g.ties) }

// Tie is one tie.
func (g *Graph) Tie(id TieID) Tie { return g.ties[id] }

// Stop is whether a trace ends at the place.
func (g *Graph) Stop(p Place) Stop { return g.stops[p] }

// lists is a list of numbers for each key, all in one slice.
type lists struct {
	first []int32 // first[k]..first[k+1] are those of key k
	all   []int32
}

// listsOf sorts pairs by their key and keeps their order otherwise.
func listsOf[T any](keys int, pairs []T, split func(T) (key, item int32)) lists {
	l := lists{make([]int32, keys+1), make([]int32, len(pairs))}
	for _, p := range pairs {
		key, _ := split(p)
		l.first[key+1]++
	}
	for k := range keys {
		l.first[k+1] += l.first[k]
	}
	next := append([]int32(nil), l.first...)
	for _, p := range pairs {
		key, item := split(p)
		l.all[next[key]] = item
		next[key]++
	}
	return l
}

// of are the numbers of a key.
func (l lists) of(key int32) []int32 { return l.all[l.first[key]:l.first[key+1]] }
