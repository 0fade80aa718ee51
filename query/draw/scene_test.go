package draw

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"netlore/store/board"
)

func mm(x, y float64) board.Point { return board.Point{X: int32(x * 1000), Y: int32(y * 1000)} }

// boardOf is a board of n capacitors and chips in rows, some under a can, w by h millimetres.
func boardOf(n int, w, h float64, rng *rand.Rand) *board.Board {
	bu := board.NewBuilder(board.Ref{Name: "Bench", Revision: "1"})
	bu.Board().Size = board.Size{W: int32(w * 1000), H: int32(h * 1000)}
	can := bu.CoverAt(bu.Cover("SH1"))
	can.Side, can.Outline = board.Top, board.Box(mm(0.2*w, 0.2*h), mm(0.5*w, 0.6*h))
	rail, earth := bu.Net("VMAIN"), bu.Net("GND")
	for i := range n {
		name, pack := fmt.Sprintf("C%d", i+1), "0402"
		if i%17 == 0 {
			name, pack = fmt.Sprintf("U%d", i+1), "QFN50P500X500X80-33"
		}
		id := bu.Part(name)
		part := bu.PartAt(id)
		part.Package, part.Placed, part.Side = pack, i%23 != 22, board.Top
		part.At = mm(1+rng.Float64()*(w-2), 1+rng.Float64()*(h-2))
		if i%5 == 4 {
			part.Side = board.Bottom
		}
		bu.Connect(bu.Pin(id, "1"), rail)
		bu.Connect(bu.Pin(id, "2"), earth)
	}
	for i := range 8 {
		pad := bu.PadAt(bu.Pad(fmt.Sprintf("P%d", i+1)))
		pad.Net, pad.Side, pad.Placed, pad.At, pad.Shape = rail, board.Top, true, mm(0.08*w*float64(i+1), 0.5), board.PadShape{W: 700}
	}
	return bu.Build()
}

// asking is a picture of the first of the parts of a board, and of its pads.
func asking(b *board.Board, parts int) *Picture {
	m := Member{Name: "Bench rev 1", Board: b}
	for i := range min(parts, len(b.Parts)) {
		m.Marks = append(m.Marks, Mark{Kind: Part, ID: int32(i)})
	}
	for i := range b.Pads {
		m.Marks = append(m.Marks, Mark{Kind: Pad, ID: int32(i)})
	}
	return &Picture{Title: "parts on VMAIN", Members: []Member{m}}
}

// smallPlan has one of each sign.
func smallPlan() *Picture {
	p := asking(boardOf(12, 20, 12, rand.New(rand.NewPCG(1, 1))), 6)
	m := &p.Members[0]
	m.Role, m.Name = "lower", "lower: Bench rev 1"
	m.Marks[0].Weight = 0.8
	m.Marks[1].Text = "0.412V"
	m.Marks[2].Groups, p.Groups = []int{0}, []Group{{Name: "VMAIN.a"}}
	m.Marks[3].Maybe = true
	m.Marks[4].Order = 2
	m.Bands = []Band{{Pads: []board.PadID{0, 1, 2}, Text: "tape P1..P3"}}
	m.Zones = []Zone{{Side: board.Top, At: []board.Point{mm(3, 1), mm(1, 4), mm(5, 5), mm(2, 2)}, Text: "copper VMAIN.b 5%", Weight: 0.5}}
	m.Lines = []Line{{Side: board.Top, Path: []board.Point{mm(2, 2), mm(5, 2), mm(6, 3)}}}
	other := *m
	other.Role, other.Name, other.Marks, other.Bands, other.Lines, other.Zones = "upper", "upper: Bench rev 1", nil, nil, nil, nil
	p.Members = append(p.Members, other)
	p.Joins = []Join{{A: 0, B: 1, PadA: 3, PadB: 4}}
	return p
}

// smallDiagram is of a board of which no place is known.
func smallDiagram() *Picture {
	bu := board.NewBuilder(board.Ref{Name: "Bare"})
	rail := bu.Net("VMAIN")
	m := Member{Name: "Bare"}
	for i, name := range []string{"C1", "C2", "D1", "F1", "L1", "R1", "U1"} {
		bu.Connect(bu.Pin(bu.Part(name), "1"), rail)
		m.Marks = append(m.Marks, Mark{Kind: Part, ID: int32(i)})
	}
	for i, name := range []string{"P1", "P2"} {
		bu.PadAt(bu.Pad(name)).Net = rail
		m.Marks = append(m.Marks, Mark{Kind: Pad, ID: int32(i), Text: "3mV"})
	}
	m.Board = bu.Build()
	return &Picture{Title: "parts on VMAIN", Members: []Member{m}}
}

func randomPicture(seed uint64) *Picture {
	rng := rand.New(rand.NewPCG(seed, 3))
	w, h := 2+rng.Float64()*80, 2+rng.Float64()*60
	n := 1 + rng.IntN(150)
	p := asking(boardOf(n, w, h, rng), 1+rng.IntN(n))
	m := &p.Members[0]
	p.Groups = []Group{{Name: "VMAIN.a"}, {Name: "VMAIN.b", Texts: []string{"0.4V"}}}
	for i := range m.Marks {
		mark := &m.Marks[i]
		switch rng.IntN(5) {
		case 0:
			mark.Groups = []int{rng.IntN(2)}
		case 1:
			mark.Text = "0.412V"
		case 2:
			mark.Weight = rng.Float64()
		}
	}
	return p
}

// BenchmarkPlan draws a board of 5,000 parts of which 300 are asked for. The baseline
// finds the outlines and no more.
func BenchmarkPlan(b *testing.B) {
	on := boardOf(5000, 120, 90, rand.New(rand.NewPCG(5, 5)))
	for name, asked := range map[string]int{"asked=300": 300, "asked=5000": 5000} {
		p := asking(on, asked)
		svgOf(b, p)
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				svgOf(b, p)
			}
			b.ReportMetric(float64(len(svgOf(b, p))), "svg-bytes")
		})
	}
	b.Run("outlines", func(b *testing.B) {
		for b.Loop() {
			eachOutline(on, func(board.Outline) {})
		}
	})
}
