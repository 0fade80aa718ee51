package bench

import (
	"fmt"
	"strings"

	goqr "github.com/piglig/go-qr"
)

// scanned is an address as a picture that a tablet's camera reads: a QR code.
type scanned struct {
	Address string
	Dark    string // the dark squares, as the path of an SVG in which a square is 1 wide
	Side    int    // of the picture, with the quiet zone of 4 squares round it
}

// scan makes the picture of an address. If none can be made, the address is to be
// typed.
func scan(address string) scanned {
	code, err := goqr.EncodeText(address, goqr.Medium)
	if err != nil {
		return scanned{Address: address}
	}
	const quiet = 4 // ISO/IEC 18004
	var dark strings.Builder
	for y := range code.Size() {
		for x := range code.Size() {
			if code.Module(x, y) {
				fmt.Fprintf(&dark, "M%d %dh1v1h-1z", x+quiet, y+quiet)
			}
		}
	}
	return scanned{address, dark.String(), code.Size() + 2*quiet}
}
