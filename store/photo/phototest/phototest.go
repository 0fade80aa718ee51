// Package phototest makes pictures for tests.
package phototest

import (
	"bytes"
	"image"
	"image/png"
	"math/rand/v2"
	"testing"

	"netlore/store/photo"
)

// Noise is a photo of so many pixels each way that shows nothing, another one for each seed.
func Noise(t testing.TB, size int, seed uint64) *photo.Photo {
	t.Helper()
	r, to := rand.New(rand.NewPCG(seed, 1)), image.NewGray(image.Rect(0, 0, size, size))
	for i := range to.Pix {
		to.Pix[i] = byte(r.Uint32())
	}
	var out bytes.Buffer
	if err := png.Encode(&out, to); err != nil {
		t.Fatal(err)
	}
	p, err := photo.Clean(out.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	return p
}
