package photo

import "testing"

// BenchmarkClean takes a photo of 12 million pixels, and BenchmarkFlat lays it flat.
func BenchmarkClean(b *testing.B) {
	data := asJPEG(b, corners(4000, 3000))
	for b.Loop() {
		if _, err := Clean(data); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFlat(b *testing.B) {
	p, err := Clean(asJPEG(b, corners(4000, 3000)))
	if err != nil {
		b.Fatal(err)
	}
	at := func(x, y float64) (float64, float64) { w := 1 + x/9000; return 2.4 * x / w, 2.4 * y / w }
	for b.Loop() {
		if _, err := p.Flat(at, 1600, 1000); err != nil {
			b.Fatal(err)
		}
	}
}
