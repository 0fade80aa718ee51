package trace

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
)

// small is a graph of a few places, the last of which may be a stop, with at
// most one tie between two of them: 0 none, 1 not sure, 2 sure.
type small struct {
	places int
	stop   Stop
	ties   []int // by pair
}

func pairs(places int) [][2]int {
	var all [][2]int
	for a := range places {
		for b := a + 1; b < places; b++ {
			all = append(all, [2]int{a, b})
		}
	}
	return all
}

func (s small) graph() *Graph {
	var b Builder
	for p := range s.places {
		stop := Goes
		if p == s.places-1 {
			stop = s.stop
		}
		b.Add(stop)
	}
	for i, pair := range pairs(s.places) {
		if s.ties[i] > 0 {
			b.Tie(Tie{Sure: s.ties[i] == 2}, Place(pair[0]), Place(pair[1]))
		}
	}
	return b.Graph()
}

// world is which ties there really are, by pair.
type world uint

// fed is the places that a source leads to in a world, straight from the
// definition: a way is tried from every place over every tie, until nothing
// changes.
func (s small) fed(from int, w world, stop bool) (fed uint) {
	fed = 1 << from
	for {
		before := fed
		for i, pair := range pairs(s.places) {
			for _, way := range [][2]int{pair, {pair[1], pair[0]}} {
				ends := stop && way[0] == s.places-1 && way[0] != from
				if w>>i&1 == 1 && fed>>way[0]&1 == 1 && !ends {
					fed |= 1 << way[1]
				}
			}
		}
		if fed == before {
			return fed
		}
	}
}

// worlds are all that a graph may really be.
func (s small) worlds() []world {
	list := []world{0}
	for i, t := range s.ties {
		for _, w := range slices.Clone(list) {
			switch t {
			case 1:
				list = append(list, w|1<<i)
			case 2:
				list[slices.Index(list, w)] = w | 1<<i
			}
		}
	}
	return list
}

// TestFeedOnEverySmallGraph removes ties from every graph of up to four places
// and compares what is then dead with what really is in each world that may be.
func TestFeedOnEverySmallGraph(t *testing.T) {
	graphs, vague := 0, 0
	for places := 2; places <= 4; places++ {
		n := len(pairs(places))
		ties := make([]int, n)
		for code := range power(3, n) {
			for i := range ties {
				ties[i] = code / power(3, i) % 3
			}
			for _, stop := range []Stop{Goes, MayStop, Stops} {
				if testing.Short() && graphs%7 != 0 {
					graphs++
					continue
				}
				graphs++
				vague += checkFeed(t, small{places, stop, ties})
			}
		}
	}
	t.Logf("%d graphs; for %d places the upper bound is not exact", graphs, vague)
}

func power(b, n int) int {
	p := 1
	for range n {
		p *= b
	}
	return p
}

// checkFeed cuts every set of ties of a graph. It gives how often something may
// be lost of which no world knows.
func checkFeed(t *testing.T, s small) (vague int) {
	g, worlds := s.graph(), s.worlds()
	ids := map[int]TieID{}
	for i, tie := range s.ties {
		if tie > 0 {
			ids[i] = TieID(len(ids))
		}
	}
	for cut := range world(1 << len(s.ties)) {
		var list []TieID
		for i := range s.ties {
			if id, ok := ids[i]; ok && cut>>i&1 == 1 {
				list = append(list, id)
			} else if cut>>i&1 == 1 {
				list = nil
				break
			}
		}
		if list == nil {
			continue
		}
		feed := g.Feed(Exactly([]Place{0}), Exactly(list))
		for p := range s.places {
			if s.stop != Goes && p == s.places-1 {
				continue
			}
			always, ever := true, false
			for _, stop := range [][]bool{{false}, {false, true}, {true}}[s.stop] {
				for _, w := range worlds {
					lost := s.fed(0, w, stop)>>p&1 == 1 && s.fed(0, w&^cut, stop)>>p&1 == 0
					always, ever = always && lost, ever || lost
				}
			}
			fate := feed.Fate(Place(p))
			if fate.Lost != always || ever && !fate.MayBeLost {
				t.Fatalf("%+v, cut %b: place %d is lost always %v, ever %v; found %+v", s, cut, p, always, ever, fate)
			}
			if fate.MayBeLost && !ever {
				vague++
			}
		}
	}
	return vague
}

// randomGraph has ties of two to four places; some places are stops.
func randomGraph(r *rand.Rand, places, ties int) *Graph {
	var b Builder
	for range places {
		stop := Goes
		if r.IntN(8) == 0 {
			stop = Stops
		}
		b.Add(stop)
	}
	for range ties {
		var ends []Place
		for range 2 + r.IntN(8)/5*(1+r.IntN(2)) {
			ends = append(ends, Place(r.IntN(places)))
		}
		slices.Sort(ends)
		b.Tie(Tie{Sure: r.IntN(3) > 0, Ohms: Ohms{MicroOhm: int64(r.IntN(900)), Exact: true, Opaque: r.IntN(4) == 0}}, slices.Compact(ends)...)
	}
	return b.Graph()
}

func eachGraph(t *testing.T, n int, f func(t *testing.T, r *rand.Rand, g *Graph)) {
	t.Helper()
	if testing.Short() {
		n /= 5
	}
	for seed := range uint64(n) {
		r := rand.New(rand.NewPCG(seed, 5))
		places := 2 + r.IntN(30)
		g := randomGraph(r, places, r.IntN(2*places))
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) { f(t, r, g) })
		if t.Failed() {
			return
		}
	}
}

// What is reached reaches back, and what is reached from there is reached, save
// through a stop.
func TestReachIsSymmetricAndTransitive(t *testing.T) {
	eachGraph(t, 200, func(t *testing.T, _ *rand.Rand, g *Graph) {
		for _, all := range []bool{false, true} {
			var from []*Reach
			for p := range g.Places() {
				from = append(from, g.Reach([]Place{Place(p)}, Ties{All: all}))
			}
			for p := range Place(g.Places()) {
				for q := range Place(g.Places()) {
					if from[p].Steps(q) != from[q].Steps(p) {
						t.Fatalf("%d is %d steps from %d, and %d back", q, from[p].Steps(q), p, from[q].Steps(p))
					}
					for o := range Place(g.Places()) {
						if from[p].Has(q) && from[q].Has(o) && g.Stop(q) == Goes && !from[p].Has(o) {
							t.Fatalf("%d leads to %d, and that to %d, but %d does not", p, q, o, p)
						}
					}
				}
			}
		}
	})
}

// More ties cut never feed more, and lose no less.
func TestMoreCutsNeverFeedMore(t *testing.T) {
	eachGraph(t, 200, func(t *testing.T, r *rand.Rand, g *Graph) {
		if g.Ties() == 0 {
			return
		}
		var cut []TieID
		before := g.Feed(Exactly([]Place{0}), Exactly(cut))
		for range 6 {
			cut = append(cut, TieID(r.IntN(g.Ties())))
			after := g.Feed(Exactly([]Place{0}), Exactly(cut))
			for p := range Place(g.Places()) {
				was, is := before.Fate(p), after.Fate(p)
				if is.Stays && !was.Stays || is.MayStay && !was.MayStay || was.Lost && !is.Lost {
					t.Fatalf("cut %v: place %d was %+v, is %+v", cut, p, was, is)
				}
				if is.Lost && !is.MayBeLost || is.Stays && !is.MayStay || is.Lost && is.MayStay {
					t.Fatalf("cut %v: place %d is %+v", cut, p, is)
				}
			}
			before = after
		}
	})
}

// A loose place belongs to one piece of copper at most: it never joins two, yet
// a part at it can.
func TestLoosePlaces(t *testing.T) {
	var b Builder
	left, right := b.Add(Goes), b.Add(Goes)
	one, two := b.AddLoose(Goes), b.AddLoose(Goes)
	b.Copper([]Place{left, right}, []Place{one, two})
	g := b.Graph()
	r := g.Reach([]Place{left}, Ties{All: true})
	if r.Has(right) || !r.Has(one) || !r.Has(two) || r.Steps(one) != 0 {
		t.Errorf("from the left: right %v, loose %v %v", r.Has(right), r.Has(one), r.Has(two))
	}
	if r := g.Reach([]Place{one}, Ties{All: true}); !r.Has(left) || !r.Has(right) || !r.Has(two) {
		t.Error("a loose place may belong to either piece, or be one with another")
	}
	if r := g.Reach([]Place{left}, Ties{}); r.Has(one) {
		t.Error("a loose place is surely on no piece")
	}
	b.Tie(Tie{Sure: true}, one, two)
	if r := b.Graph().Reach([]Place{left}, Ties{All: true}); !r.Has(right) || r.Steps(right) != 1 {
		t.Error("a part between two loose places may join two pieces")
	}
}
