package photo

import (
	"bytes"
	"encoding/binary"
)

// Markers of JPEG (ISO/IEC 10918-1, table B.1).
const (
	markerSOF0 = 0xc0 // baseline
	markerSOF1 = 0xc1 // extended sequential
	markerRST0 = 0xd0 // the first without a length; the last such is EOI
	markerEOI  = 0xd9
	markerSOS  = 0xda
	markerAPP1 = 0xe1
)

// scan goes through the segments of a JPEG before its picture: how it is to be turned, and
// how many bytes a pixel takes to decode: as many as of a progressive one, unless it is seen to be
// none. What cannot be read is left to the decoder, which may find a picture behind it or complain.
func scan(data []byte) (orientation, each int) {
	orientation, each = 1, 4+3*4 // the decoder keeps 32 bits for each coefficient of each of three colours
	for at := 2; at+4 <= len(data) && data[at] == 0xff; {
		marker := data[at+1]
		if marker == 0xff { // fill
			at++
			continue
		}
		if marker < markerSOF0 || marker >= markerRST0 && marker <= markerEOI {
			break // no segment follows it, and the decoder looks on in another place
		}
		end := at + 2 + int(binary.BigEndian.Uint16(data[at+2:]))
		if marker == markerSOS || end < at+4 || end > len(data) {
			break
		}
		switch body := data[at+4 : end]; marker {
		case markerSOF0, markerSOF1:
			each = 4 // a second one the decoder refuses
		case markerAPP1:
			if exif, is := bytes.CutPrefix(body, []byte("Exif\x00\x00")); is {
				orientation = oriented(exif)
			}
		}
		at = end
	}
	return orientation, each
}

// oriented is the orientation in EXIF data, which is that of a TIFF file (TIFF 6.0, section 2); 1 if
// it says none.
func oriented(tiff []byte) int {
	var order binary.ByteOrder = binary.BigEndian
	switch {
	case bytes.HasPrefix(tiff, []byte("II*\x00")):
		order = binary.LittleEndian
	case !bytes.HasPrefix(tiff, []byte("MM\x00*")):
		return 1
	}
	if len(tiff) < 8 {
		return 1
	}
	at := int64(order.Uint32(tiff[4:]))
	if at+2 > int64(len(tiff)) {
		return 1
	}
	const entry, tag, short = 12, 0x112, 3
	count := int64(order.Uint16(tiff[at:]))
	for at += 2; count > 0 && at+entry <= int64(len(tiff)); at, count = at+entry, count-1 {
		e := tiff[at:]
		if order.Uint16(e) == tag && order.Uint16(e[2:]) == short && order.Uint32(e[4:]) == 1 {
			if v := order.Uint16(e[8:]); v >= 1 && v <= 8 {
				return int(v)
			}
		}
	}
	return 1
}
