package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
)

// Markers of JPEG (ISO/IEC 10918-1, table B.1).
const (
	markerSOF0  = 0xc0 // baseline
	markerSOF1  = 0xc1 // extended sequential
	markerSOF2  = 0xc2 // progressive
	markerRST0  = 0xd0
	markerRST7  = 0xd7
	markerEOI   = 0xd9
	markerSOS   = 0xda
	markerAPP1  = 0xe1
	markerAPP14 = 0xee
)

// segments is what the segments of a JPEG say of its picture.
type segments struct {
	orientation int    // as EXIF has it, 1 to 8
	frame       []byte // how large it is, and its components
	progressive bool
	scans       int  // how often its decoder goes over all of the picture
	mixed       bool // its colours are not YCbCr
}

// readSegments goes through a JPEG as its decoder does, to the end. What cannot be read is left
// to that, which complains.
func readSegments(data []byte) segments {
	s := segments{orientation: 1}
	for at := nextMarker(data, 2); at+4 <= len(data); at = nextMarker(data, at) {
		marker, end := data[at+1], at+2+int(binary.BigEndian.Uint16(data[at+2:]))
		if marker == markerEOI || end < at+4 || end > len(data) {
			break
		}
		s.add(marker, data[at+4:end])
		at = end
	}
	return s
}

// nextMarker is where the next marker is that has a length, or the end; len(data) if there is none.
// Between segments lies what a scan is coded in, and whatever else a decoder passes over.
func nextMarker(data []byte, at int) int {
	for ; at+1 < len(data); at++ {
		if next := data[at+1]; data[at] == 0xff && next != 0 && next != 0xff && (next < markerRST0 || next > markerRST7) {
			return at
		}
	}
	return len(data)
}

func (s *segments) add(marker byte, body []byte) {
	switch marker {
	case markerSOF0, markerSOF1, markerSOF2:
		if s.frame == nil { // a second one is refused by the decoder
			s.frame, s.progressive = body, marker == markerSOF2
		}
	case markerSOS:
		s.scans++
	case markerAPP1:
		if exif, is := bytes.CutPrefix(body, []byte("Exif\x00\x00")); is && s.orientation == 1 {
			s.orientation = oriented(exif)
		}
	case markerAPP14: // of Adobe; its last byte is 0 for colours that are not YCbCr
		s.mixed = s.mixed || len(body) >= 12 && bytes.HasPrefix(body, []byte("Adobe")) && body[11] == 0
	}
}

var errNoFrame = errors.New("it does not say how its colours are coded")

// memory is how many bytes it takes to decode the picture. There is a plane for each component, as large as its sampling says, in whole blocks;
// of a progressive picture the coefficients, of 32 bits, as well; and colours that are not YCbCr
// are put together into a second picture.
func (s *segments) memory() (bytes int64, err error) {
	if len(s.frame) < 9 || len(s.frame) != 6+3*int(s.frame[5]) {
		return 0, errNoFrame
	}
	high, wide := int64(binary.BigEndian.Uint16(s.frame[1:])), int64(binary.BigEndian.Uint16(s.frame[3:]))
	components := s.frame[6:]
	n := len(components) / 3
	if n == 1 {
		components = []byte{0, 0x11, 0} // of one alone the sampling says nothing
	}
	across, down := sampling(components)
	if across == 0 || down == 0 {
		return 0, errNoFrame
	}
	for i := range n {
		h, v := sampling(components[3*i:])
		bytes += blocks(wide, across) * h * blocks(high, down) * v * 64
	}
	if s.progressive {
		bytes *= 1 + 4
	}
	if n == 4 || n == 3 && (s.mixed || components[0] == 'R' && components[3] == 'G' && components[6] == 'B') {
		bytes += 4 * wide * high
	}
	return bytes, nil
}

// sampling is how many blocks a component has in each unit, across and down.
func sampling(component []byte) (across, down int64) {
	return int64(component[1] >> 4), int64(component[1] & 15)
}

// blocks is how many units of so many blocks of 8 pixels cover a length.
func blocks(length, each int64) int64 { return (length + 8*each - 1) / (8 * each) }
