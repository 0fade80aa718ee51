package board

import (
	"math/rand/v2"
	"testing"
)

func BenchmarkParseQuantity(b *testing.B) {
	for _, test := range []struct {
		text string
		want Unit
	}{{"10uF", NoUnit}, {"4k7", Ohm}, {"0.412V", Volt}, {"12.30mm", Metre}} {
		b.Run(test.text, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := ParseQuantity(test.text, test.want); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkQuantityString(b *testing.B) {
	q := MustQuantity("4.7kohm")
	b.ReportAllocs()
	for b.Loop() {
		_ = q.String()
	}
}

func BenchmarkCompareNatural(b *testing.B) {
	for b.Loop() {
		CompareNatural("C1201", "C1202")
	}
}

// BenchmarkCoversPart asks ten covers about every part of a board of 5,000.
func BenchmarkCoversPart(b *testing.B) {
	board := randomBoard(rand.New(rand.NewPCG(1, 1)), 5000).Build()
	for b.Loop() {
		for c := range board.Covers {
			for p := range board.Parts {
				board.CoversPart(CoverID(c), PartID(p))
			}
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(board.Covers)*len(board.Parts)), "ns/part")
}

func BenchmarkNewSpace(b *testing.B) {
	board := scattered(rand.New(rand.NewPCG(1, 1)), 5000)
	b.ReportAllocs()
	for b.Loop() {
		NewSpace(board)
	}
}

func BenchmarkSpacePartsIn(b *testing.B) {
	s := NewSpace(scattered(rand.New(rand.NewPCG(1, 1)), 5000))
	in := Bounds{Point{30000, 30000}, Point{36000, 36000}}
	b.ReportAllocs()
	for b.Loop() {
		s.PartsIn(in)
	}
}

func BenchmarkOverlap(b *testing.B) {
	rnd := rand.New(rand.NewPCG(1, 1))
	box, turned, star, circle := Box(Point{}, Point{9000, 9000}), TurnedBox(Point{}, Size{9000, 5000}, 30_000), star(rnd, Point{}, 9000, 24), Circle(Point{}, 5000)
	for _, test := range []struct {
		name string
		a, b Outline
	}{{"boxes", box, turned}, {"box and star", box, star}, {"circle and star", circle, star}} {
		b.Run(test.name, func(b *testing.B) {
			for b.Loop() {
				Overlap(test.a, test.b)
			}
		})
	}
}

func BenchmarkDistance(b *testing.B) {
	box, turned := Box(Point{}, Point{9000, 9000}), TurnedBox(Point{20000, 20000}, Size{9000, 5000}, 30_000)
	for b.Loop() {
		Distance(box, turned)
	}
}

// BenchmarkBuild makes a board of 2,500 parts with 10,000 pins on 1,000 nets,
// said in random order.
func BenchmarkBuild(b *testing.B) {
	type pin struct{ part, name, net string }
	var pins []pin
	for i := range 10000 {
		pins = append(pins, pin{"C" + plainText(int64(i/4), 0), plainText(int64(i%4+1), 0), "N" + plainText(int64(i*7%1000), 0)})
	}
	rand.New(rand.NewPCG(1, 1)).Shuffle(len(pins), func(i, j int) { pins[i], pins[j] = pins[j], pins[i] })
	b.ReportAllocs()
	for b.Loop() {
		bu := NewBuilder(Ref{})
		for _, p := range pins {
			bu.Connect(bu.Pin(bu.Part(p.part), p.name), bu.Net(p.net))
		}
		bu.Build()
	}
}
