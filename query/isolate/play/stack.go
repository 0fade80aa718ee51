package play

import (
	"math"
	"math/rand/v2"

	"netlore/query/isolate"
	"netlore/query/trace"
	"netlore/store/board"
)

// Size is how large a stack is.
type Size struct {
	Parts, Pads, Branches int
}

// The boards of a stack.
const (
	upper = iota
	lower
)

// Stack is a random device of two boards, its rail fed on the upper one. On the
// lower one it is in branches, each fed by pads that lie side by side; one pad in
// five is on ground. Behind a coil for every two branches there is more of it; one
// coil in four may be none. Parts lie where 4 mm² are for each, in cells of one
// piece of the rail, of which two in three are under covers and one in three faces
// the other board.
func Stack(r *rand.Rand, s Size) *isolate.Device {
	k := &stacker{Device: &isolate.Device{}, r: r}
	k.build.Add(trace.Stops) // ground
	k.rail = []trace.Place{k.build.Add(trace.Goes)}
	k.Source = k.rail
	k.Halves = []isolate.Half{{Feed: k.rail[:1:1]}, {}}
	k.pads(s)
	k.coils(s.Branches / 2)
	k.parts(s.Parts)
	k.Graph = k.build.Graph()
	return k.Device
}

type stacker struct {
	*isolate.Device
	r     *rand.Rand
	build trace.Builder
	rail  []trace.Place // the first is on the upper board
}

// pads adds the frame, and the branches that its pads feed.
func (k *stacker) pads(s Size) {
	branch := trace.Place(trace.None)
	begin := map[int]bool{0: true}
	for len(begin) < min(s.Branches, s.Pads) {
		begin[k.r.IntN(s.Pads)] = true
	}
	for i := range s.Pads {
		if begin[i] {
			branch = k.build.Add(trace.Goes)
			k.rail = append(k.rail, branch)
			k.Halves[lower].Feed = append(k.Halves[lower].Feed, branch)
		}
		spot := around(i, s.Pads)
		if !begin[i] && k.r.IntN(5) == 0 {
			k.Pads = append(k.Pads, isolate.Pad{Grounded: true, Spot: spot})
			continue
		}
		tie := k.build.Tie(trace.Tie{Sure: true}, k.rail[0], branch)
		k.Pads = append(k.Pads, isolate.Pad{Ties: []trace.TieID{tie}, At: []trace.Place{k.rail[0], branch}, Spot: spot})
		tip := spot
		tip.Board = lower
		k.Probes = append(k.Probes, isolate.Probe{At: branch, Half: lower, Spot: tip})
	}
	k.Ring = true
}

// around is the place of a pad of a square frame, a millimetre from the next.
func around(i, n int) isolate.Spot {
	side := max((n+3)/4, 1)
	at, end := float64(i%side), float64(side)
	xy := [4][2]float64{{at, 0}, {end, at}, {end - at, end}, {0, end - at}}[i/side]
	return isolate.Spot{Board: upper, Side: board.Bottom, Cover: isolate.None, Placed: true, X: xy[0], Y: xy[1], Inside: true}
}

func (k *stacker) coils(n int) {
	for range n {
		from, to := k.rail[1+k.r.IntN(len(k.rail)-1)], k.build.Add(trace.Goes)
		tie := k.build.Tie(trace.Tie{Sure: k.r.IntN(4) > 0}, from, to)
		k.Parts = append(k.Parts, isolate.Part{Class: board.Inductor, At: []trace.Place{from, to}, Grounded: board.False, Tie: tie,
			Spot: isolate.Spot{Board: lower, Side: board.Top, Cover: isolate.None}})
		k.rail = append(k.rail, to)
	}
}

// parts adds parts in cells of a dozen or so.
func (k *stacker) parts(n int) {
	const room = 4 // mm² for a part
	in := min(max(12, n/40), n)
	wide := math.Sqrt(room * float64(in))
	for cell := 0; n > 0; cell++ {
		at, spot := k.rail[k.r.IntN(len(k.rail))], isolate.Spot{Board: lower, Side: board.Top, Cover: isolate.None, Placed: true, Inside: k.r.IntN(3) == 0}
		if at == k.rail[0] {
			spot.Board = upper
		}
		if spot.Inside == (spot.Board == upper) {
			spot.Side = board.Bottom
		}
		if k.r.IntN(3) > 0 && len(k.Covers) < 63 {
			spot.Cover = len(k.Covers)
			k.Covers = append(k.Covers, isolate.Cover{Off: isolate.Cost{Minutes: float64(6 + k.r.IntN(12)), Risk: .01 + .1*k.r.Float64()*k.r.Float64()}})
		}
		for range min(in, n) {
			n--
			spot.X, spot.Y = wide*(float64(cell)+k.r.Float64()), wide*k.r.Float64()
			k.Parts = append(k.Parts, isolate.Part{Class: classes[k.r.IntN(len(classes))], At: []trace.Place{at}, Grounded: board.True, Tie: trace.None, Spot: spot})
		}
	}
}

// classes are those of parts on a rail and ground: of three in five it is a
// capacitor.
var classes = []board.Class{board.Capacitor, board.Capacitor, board.Capacitor, board.DiodePart, board.Chip}
