package ipcd356

import (
	"bufio"
	"bytes"
	"fmt"
	"testing"

	"netlore/importers/record"
	"netlore/store/board"
)

// largeNetlist is an invented board of many parts: of each net a few two-pin
// parts, two pins of a chip, and vias, as files of the trade have them.
func largeNetlist(nets int) []byte {
	var s bytes.Buffer
	s.WriteString("P  UNITS CUST 0\r\nP  VER IPC-D-356A\r\n")
	row := func(code, net, ref, pin, hole string, n, side int) {
		fmt.Fprintf(&s, "%s%-14s   %-6s-%-4s %6sA%02dX%+07dY%+07dX0210Y0210R090 S1      \r\n",
			code, net, ref, pin, hole, side, n*37%400000, n*91%300000)
	}
	for n := range nets {
		net := fmt.Sprintf("N%08d", n)
		for k := range 3 {
			row("327", net, fmt.Sprintf("C%d", n*3/2+k), fmt.Sprint(1+n%2), "", n*8+k, 1)
		}
		for k := range 2 {
			row("327", net, fmt.Sprintf("U%d", n/200), fmt.Sprintf("A%d", n%200*2+k), "", n*8+k+3, 6)
		}
		for k := range 3 {
			row("317", net, "VIA", "", "D0080P", n*8+k+5, 0)
		}
	}
	s.WriteString("999\r\n")
	return s.Bytes()
}

func BenchmarkRead(b *testing.B) {
	text := largeNetlist(25_000)
	b.Run("Read", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		b.ReportAllocs()
		for b.Loop() {
			if _, err := Read(b.Context(), bytes.NewReader(text), record.Options{}, record.NewDraft(board.Ref{})); err != nil {
				b.Fatal(err)
			}
		}
		b.ReportMetric(float64(bytes.Count(text, []byte("\n"))), "lines/op")
	})
	b.Run("CountLines", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		for b.Loop() {
			lines := 0
			for in := bufio.NewScanner(bytes.NewReader(text)); in.Scan(); {
				lines++
			}
			if lines == 0 {
				b.Fatal("no lines")
			}
		}
	})
}
