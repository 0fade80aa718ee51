package trace

import (
	"math/rand/v2"
	"testing"
)

// looseGraph has pieces of copper with loose places beside what randomGraph has.
func looseGraph(r *rand.Rand) *Graph {
	var b Builder
	var pieces, loose []Place
	for range 2 + r.IntN(4) {
		pieces = append(pieces, b.Add(Goes))
	}
	for range 1 + r.IntN(4) {
		loose = append(loose, b.AddLoose(Goes))
	}
	b.Copper(pieces, loose)
	ends := append(pieces, loose...)
	for range 5 {
		ends = append(ends, b.Add(Stop(r.IntN(3))))
	}
	for range r.IntN(15) {
		if x, y := ends[r.IntN(len(ends))], ends[r.IntN(len(ends))]; x != y {
			b.Tie(Tie{Sure: r.IntN(3) > 0}, x, y)
		}
	}
	return b.Graph()
}

// randomCuts are up to six cuts of up to two ties.
func randomCuts(r *rand.Rand, g *Graph) (cuts [][]TieID) {
	for range r.IntN(7) {
		var cut []TieID
		for range r.IntN(3) {
			if id := TieID(r.IntN(g.Ties())); !g.Tie(id).Free {
				cut = append(cut, id)
			}
		}
		cuts = append(cuts, cut)
	}
	return cuts
}

// What all cuts at once sever is what a search after each of them does not reach.
func TestSeveredIsWhatIsNotReached(t *testing.T) {
	check := func(t *testing.T, r *rand.Rand, g *Graph) {
		if g.Ties() == 0 {
			return
		}
		from := []Place{Place(r.IntN(g.Places()))}
		ties := Ties{All: r.IntN(2) == 0, Cut: map[TieID]bool{TieID(r.IntN(g.Ties())): true}}
		cuts := randomCuts(r, g)
		want := make([]int32, g.Places())
		cut := map[TieID]bool{}
		for id := range ties.Cut {
			cut[id] = true
		}
		for i := 0; ; i++ {
			reach := g.Reach(from, Ties{All: ties.All, Cut: cut})
			for p := range want {
				if reach.Has(Place(p)) {
					want[p] = int32(i + 1)
				}
			}
			if i == len(cuts) {
				break
			}
			for _, id := range cuts[i] {
				cut[id] = true
			}
		}
		for p, got := range g.Severed(from, ties, cuts) {
			if int(want[p]) == len(cuts)+1 {
				want[p] = Never
			}
			if got != want[p] {
				t.Fatalf("from %d with %+v, cuts %v: place %d is severed by %d, want %d", from, ties, cuts, p, got, want[p])
			}
		}
	}
	eachGraph(t, 400, check)
	for seed := range uint64(400) {
		r := rand.New(rand.NewPCG(seed, 9))
		check(t, r, looseGraph(r))
	}
}
