package photo

import (
	"bytes"
	"encoding/binary"
)

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
