package photo

import "encoding/binary"

// chunks is what the chunks of a PNG say of its picture.
type chunks struct {
	orientation int
	each        int64 // bytes that a pixel takes while it is decoded, at most
}

// firstChunk is where the chunks of a PNG begin, behind its signature. The first is its header, of
// 13 bytes (PNG third edition, W3C 2025, section 11.2.1).
const firstChunk = 8

// readChunks goes through a PNG of which the header can be read. A pixel is kept in four channels
// of 8 or 16 bits at most, and an interlaced picture is put together from seven that are as large
// as the whole.
func readChunks(data []byte) chunks {
	header := data[firstChunk+8:]
	c := chunks{orientation: 1, each: 4}
	if header[8] == 16 {
		c.each = 8
	}
	if header[12] != 0 {
		c.each *= 2
	}
	for at := firstChunk; at+12 <= len(data); {
		length := int64(binary.BigEndian.Uint32(data[at:]))
		if int64(at)+12+length > int64(len(data)) {
			break // it is cut short, which the decoder tells
		}
		if string(data[at+4:at+8]) == "eXIf" && c.orientation == 1 {
			c.orientation = oriented(data[at+8 : at+8+int(length)])
		}
		at += 12 + int(length)
	}
	return c
}
