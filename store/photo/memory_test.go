//go:build !race

package photo

import (
	"bytes"
	"math"
	"runtime/metrics"
	"slices"
	"testing"
)

// slack is for what does not grow with the picture.
const slack = 400 << 10

// TestMemory holds what look says of each form: no more is allocated while it is decoded. All that
// is allocated counts, whether it is in use or not, so nothing depends on when the garbage is
// collected.
func TestMemory(t *testing.T) {
	for _, f := range forms {
		for _, size := range [][2]int{{1200, 1000}, {65, 20000}, {20000, 65}} {
			data := f.write(size[0], size[1])
			h, err := look(data)
			if err != nil {
				t.Fatalf("%s: %v", f.name, err)
			}
			took := allocated(func() { _, err = h.decode(bytes.NewReader(data)) })
			if err != nil {
				t.Errorf("%s: %v", f.name, err)
			}
			if took > h.memory+slack {
				t.Errorf("%s of %d by %d pixels takes %d KB, not %d", f.name, size[0], size[1], took>>10, h.memory>>10)
			}
			t.Logf("%s of %d by %d pixels takes %d KB, at most %d", f.name, size[0], size[1], took>>10, h.memory>>10)
		}
	}
}

// TestMemoryOfAll holds what the comment on the limits says of all that is done with a picture.
func TestMemoryOfAll(t *testing.T) {
	if testing.Short() {
		t.Skip("large pictures take seconds")
	}
	for _, f := range forms {
		if !slices.Contains([]string{"JPEG in RGB", "JPEG in YCCK", "PNG of 16 bits"}, f.name) {
			continue // the others are no larger in memory, and slower
		}
		side := int(1000 * math.Sqrt(float64(f.most)))
		data := f.write(side, side)
		var p *Photo
		var err error
		took := allocated(func() { p, err = Clean(data) })
		if err != nil {
			t.Fatalf("%s: %v", f.name, err)
		}
		if most := int64(mostMemory + 4*mostSide*mostSide + 4*len(p.JPEG())); took > most || took < most/2 {
			t.Errorf("%s of %d by %d pixels takes %d MB, said are up to %d", f.name, side, side, took>>20, most>>20)
		}
		t.Logf("%s of %d by %d pixels takes %d MB", f.name, side, side, took>>20)
	}
}

// allocated is how many bytes are allocated while something is done.
func allocated(do func()) int64 {
	sample := []metrics.Sample{{Name: "/gc/heap/allocs:bytes"}}
	read := func() int64 { metrics.Read(sample); return int64(sample[0].Value.Uint64()) }
	before := read()
	do()
	return read() - before
}

// FuzzMemory decodes whatever look lets through: it takes no more memory than look has said, and no
// more layers.
func FuzzMemory(f *testing.F) {
	for _, form := range forms {
		f.Add(form.write(66, 70))
	}
	f.Add(layered(3, 70, 66))
	f.Fuzz(func(t *testing.T, data []byte) {
		h, err := look(data)
		if err != nil || h.memory > 8<<20 {
			t.Skip()
		}
		if took := allocated(func() { _, err = h.decode(bytes.NewReader(data)) }); took > h.memory+5*slack { // the engine allocates, too
			t.Errorf("takes %d KB, not %d: %v", took>>10, h.memory>>10, err)
		}
	})
}
