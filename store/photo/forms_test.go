package photo

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"io"
	"slices"
	"strings"
	"testing"

	"netlore/query/diag"
)

// form is a way in which a picture can be written. Its pictures are of one colour, and small as
// files however many pixels they have: the worst that can be sent.
type form struct {
	name  string
	write func(wide, high int) []byte
	most  int // million pixels that are taken of it
}

var forms = []form{
	{"grey JPEG", plainJPEG(markerSOF0, -1, 0x11), 100},
	{"JPEG 4:2:0, as cameras write it", plainJPEG(markerSOF0, -1, 0x22, 0x11, 0x11), 66},
	{"JPEG 4:1:0", plainJPEG(markerSOF1, -1, 0x42, 0x11, 0x11), 80},
	{"JPEG 4:4:4", plainJPEG(markerSOF0, 1, 0x11, 0x11, 0x11), 33},
	{"JPEG in RGB", plainJPEG(markerSOF0, 0, 0x11, 0x11, 0x11), 14},
	{"JPEG in CMYK", plainJPEG(markerSOF0, 0, 0x11, 0x11, 0x11, 0x11), 13},
	{"JPEG in YCCK", plainJPEG(markerSOF0, 2, 0x22, 0x11, 0x11, 0x22), 15},
	{"progressive JPEG, grey", plainJPEG(markerSOF2, -1, 0x11), 20},
	{"progressive JPEG 4:2:0", plainJPEG(markerSOF2, -1, 0x22, 0x11, 0x11), 13},
	{"progressive JPEG in RGB", plainJPEG(markerSOF2, 0, 0x11, 0x11, 0x11), 5},
	{"progressive JPEG in CMYK", plainJPEG(markerSOF2, 0, 0x11, 0x11, 0x11, 0x11), 4},
	{"PNG", plainPNG(8, 6, 0), 26},
	{"PNG with a palette", plainPNG(1, 3, 0), 26},
	{"PNG of 16 bits", plainPNG(16, 6, 0), 13},
	{"PNG, interlaced", plainPNG(8, 2, 1), 13},
	{"PNG of 16 bits, interlaced", plainPNG(16, 6, 1), 6},
}

// plainJPEG writes JPEGs of one colour: each block is a bit or two that say that it is as the one before
// and has nothing more. Adobe is the byte that tells its colours, -1 for none.
func plainJPEG(sof byte, adobe int, sampling ...byte) func(wide, high int) []byte {
	return func(wide, high int) []byte {
		out := bytes.NewBufferString("\xff\xd8")
		if adobe >= 0 {
			out.Write(segment(markerAPP14, "Adobe\x00\x64\x00\x00\x00\x00"+string(rune(adobe))))
		}
		out.Write(segment(0xdb, "\x00"+string(bytes.Repeat([]byte{1}, 64))))
		one := "\x01" + string(make([]byte, 15)) // one code, of one bit
		out.Write(segment(0xc4, "\x00"+one+"\x00\x10"+one+"\x00"))
		frame := []byte{8, byte(high >> 8), byte(high), byte(wide >> 8), byte(wide), byte(len(sampling))}
		scan := []byte{byte(len(sampling))}
		across, down := int(sampling[0]>>4), int(sampling[0]&15)
		each := 0
		for i, s := range sampling {
			frame = append(frame, byte(i+1), s, 0)
			scan = append(scan, byte(i+1), 0)
			each += int(s>>4) * int(s&15)
		}
		out.Write(segment(sof, string(frame)))
		bits := each * ((wide + 8*across - 1) / (8 * across)) * ((high + 8*down - 1) / (8 * down))
		if sof == markerSOF2 {
			out.Write(segment(markerSOS, string(scan)+"\x00\x00\x00"))
		} else {
			out.Write(segment(markerSOS, string(scan)+"\x00\x3f\x00"))
			bits *= 2
		}
		out.Write(make([]byte, (bits+7)/8))
		out.WriteString("\xff\xd9")
		return out.Bytes()
	}
}

// layered is a progressive JPEG that goes over its picture n times more, to say nothing.
func layered(n, wide, high int) []byte {
	picture := plainJPEG(markerSOF2, -1, 0x11)(wide, high)
	out := bytes.NewBuffer(picture[:len(picture)-2])
	out.Write(segment(0xc4, "\x11\x01"+string(make([]byte, 15))+"\xe0")) // one code: in 16384 blocks and so many more as the next 14 bits say is nothing
	blocks := (wide + 7) / 8 * ((high + 7) / 8)
	for range n {
		out.Write(segment(markerSOS, "\x01\x01\x01\x01\x3f\x00"))
		out.Write(make([]byte, 2*(blocks/16384+1)))
	}
	out.WriteString("\xff\xd9")
	return out.Bytes()
}

// plainPNG writes PNGs in which all is 0.
func plainPNG(depth, colours, interlaced byte) func(wide, high int) []byte {
	return func(wide, high int) []byte {
		var lines bytes.Buffer
		to, _ := zlib.NewWriterLevel(&lines, zlib.BestSpeed)
		passes := [][4]int{{0, 0, 1, 1}}
		if interlaced != 0 {
			passes = [][4]int{{0, 0, 8, 8}, {4, 0, 8, 8}, {0, 4, 4, 8}, {2, 0, 4, 4}, {0, 2, 2, 4}, {1, 0, 2, 2}, {0, 1, 1, 2}}
		}
		channels := map[byte]int{0: 1, 2: 3, 3: 1, 4: 2, 6: 4}[colours]
		for _, p := range passes {
			w, h := (wide-p[0]+p[2]-1)/p[2], (high-p[1]+p[3]-1)/p[3]
			io.CopyN(to, zeros{}, int64(h)*int64(1+(w*channels*int(depth)+7)/8))
		}
		to.Close()
		header := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, uint32(wide)), uint32(high))
		return chunked("IHDR", string(header)+string([]byte{depth, colours, 0, 0, interlaced}), "PLTE", "\x10\x60\x20", "IDAT", lines.String(), "IEND", "")
	}
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) { clear(p); return len(p), nil }

// chunked is a PNG of chunks: the type of each, and what is in it.
func chunked(parts ...string) []byte {
	out := []byte("\x89PNG\r\n\x1a\n")
	for i := 0; i < len(parts); i += 2 {
		out = binary.BigEndian.AppendUint32(out, uint32(len(parts[i+1])))
		body := parts[i] + parts[i+1]
		out = binary.BigEndian.AppendUint32(append(out, body...), crc32.ChecksumIEEE([]byte(body)))
	}
	return out
}

// TestForms takes every form, and none that is larger than the comment on the limits says.
func TestForms(t *testing.T) {
	for _, f := range forms {
		p, err := Clean(f.write(200, 120))
		if err != nil {
			t.Errorf("%s: %v", f.name, err)
			continue
		}
		if w, h := p.Size(); w != 200 || h != 120 {
			t.Errorf("%s: %d by %d", f.name, w, h)
		}
		const wide = 8000
		if _, err := look(f.write(wide, f.most*1e6/wide)); err != nil {
			t.Errorf("%s of %d million pixels: %v", f.name, f.most, err)
		}
		if _, err := look(f.write(wide, (f.most+6)*1e6/wide)); err == nil {
			t.Errorf("%s of %d million pixels is taken", f.name, f.most+6)
		}
	}
}

// TestRareKinds says of what is no ordinary JPEG that it is none, and not that it is damaged.
func TestRareKinds(t *testing.T) {
	plain := plainJPEG(markerSOF0, -1, 0x11, 0x11, 0x11)(200, 120)
	frame := bytes.Index(plain, []byte{0xff, markerSOF0})
	for name, change := range map[string]func(b []byte){
		"12 bits":         func(b []byte) { b[frame+4] = 12 },
		"without loss":    func(b []byte) { b[frame+1] = 0xc3 },
		"arithmetic":      func(b []byte) { b[frame+1] = 0xc9 },
		"an odd sampling": func(b []byte) { b[frame+11] = 0x33 },
	} {
		data := slices.Clone(plain)
		change(data)
		var list diag.List
		if _, err := Clean(data); !errors.As(err, &list) || list[0].Code != "P201" || !strings.Contains(list[0].Message, "of a rare kind") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestLayers refuses a small file that would be decoded for hours: each layer is a few bytes, and goes
// over all of the picture.
func TestLayers(t *testing.T) {
	if _, err := Clean(layered(mostLayers-1, 200, 120)); err != nil {
		t.Error(err)
	}
	var list diag.List
	if _, err := Clean(layered(mostLayers, 200, 120)); !errors.As(err, &list) || list[0].Code != "P203" || !strings.Contains(list[0].Message, "in 101 layers") {
		t.Errorf("one layer too many: %v", err)
	}
	twice := plainJPEG(markerSOF0, -1, 0x11)(200, 120)
	scan := twice[bytes.Index(twice, []byte{0xff, markerSOS}) : len(twice)-2]
	for range mostScans {
		twice = slices.Insert(twice, len(twice)-2, scan...)
	}
	if _, err := Clean(twice); !errors.As(err, &list) || !strings.Contains(list[0].Message, "in 5 layers") {
		t.Errorf("five scans: %v", err)
	}
}
