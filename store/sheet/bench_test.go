package sheet

import (
	"bufio"
	"bytes"
	"fmt"
	"math/rand"
	"strings"
	"testing"
)

// Values as they are bought: steps of E6 and E24 (IEC 60063).
var (
	e6  = strings.Fields("1uF 2.2uF 4.7uF 10uF 22uF 47uF 100nF 10nF 1nF 33pF 15pF 68pF 220nF 470nF")
	e24 = strings.Fields("1 1.1 1.2 1.3 1.5 1.6 1.8 2 2.2 2.4 2.7 3 3.3 3.6 3.9 4.3 4.7 5.1 5.6 6.2 6.8 7.5 8.2 9.1 10 22 47 100")
)

// boardSheet makes a canonical sheet of a board with so many parts, with four
// pins a part on average, like a board of a handheld.
func boardSheet(parts int) []byte {
	r := rand.New(rand.NewSource(1))
	var s bytes.Buffer
	fmt.Fprintf(&s, "netlore 1\nboard Bench rev 1 layers 10 size 120x80mm \"a generated board\"\n\noutline box 0,0 120,80\n\n")
	for i := range 12 {
		x, y := i%4*30, i/4*26
		fmt.Fprintf(&s, "cover SH%d shield top box %d,%d %d,%d lift hot-air 12min risk medium\n", i+1, x, y, x+20, y+20)
	}
	s.WriteString("\n")
	for i := range parts {
		writePart(&s, r, i)
	}
	for i := range parts * 3 / 2 {
		writeNet(&s, r, i, parts)
	}
	s.WriteString("\n")
	for i := range parts / 10 {
		fmt.Fprintf(&s, "pad P%d on N%d bottom at %.1f,%.1f round 0.7mm in IP1\n", i+1, r.Intn(parts), r.Float64()*120, r.Float64()*80)
	}
	f, found := Parse("bench", s.Bytes())
	if len(found) > 0 {
		panic(found)
	}
	return f.Canonical()
}

func writePart(s *bytes.Buffer, r *rand.Rand, i int) {
	x, y := float64(r.Intn(12000))/100, float64(r.Intn(8000))/100
	switch {
	case i%50 == 0:
		fmt.Fprintf(s, "part U%d regulator package QFN-32 5x5mm top at %.2f,%.2f for power \"buck %d\"\n", i, x, y, i)
	case i%3 == 0:
		fmt.Fprintf(s, "part R%d %skohm ±1%% 0201 bottom at %.2f,%.2f turned 90\n", i, e24[r.Intn(len(e24))], x, y)
	default:
		fmt.Fprintf(s, "part C%d %s 6.3V 0402 top at %.2f,%.2f\n", i, e6[r.Intn(len(e6))], x, y)
	}
}

func writeNet(s *bytes.Buffer, r *rand.Rand, i, parts int) {
	if i == 0 {
		s.WriteString("\nnet GND ground\n")
		for p := range parts {
			fmt.Fprintf(s, "  %s 2\n", partNameOf(p))
		}
		return
	}
	fmt.Fprintf(s, "net N%d signal 1.8V\n", i)
	for n := range 2 {
		p := (i*2 + n) % parts
		if p%50 == 0 {
			fmt.Fprintf(s, "  %s A%d B%d\n", partNameOf(p), i, i)
		} else if i*2+n < parts {
			fmt.Fprintf(s, "  %s 1\n", partNameOf(p))
		}
	}
}

func partNameOf(i int) string {
	switch {
	case i%50 == 0:
		return fmt.Sprintf("U%d", i)
	case i%3 == 0:
		return fmt.Sprintf("R%d", i)
	}
	return fmt.Sprintf("C%d", i)
}

// BenchmarkLines is the baseline: the file cut into lines and no more.
func BenchmarkLines(b *testing.B) {
	src := boardSheet(5000)
	b.SetBytes(int64(len(src)))
	b.ReportAllocs()
	for b.Loop() {
		lines := bufio.NewScanner(bytes.NewReader(src))
		n := 0
		for lines.Scan() {
			n += len(lines.Bytes())
		}
		if n == 0 {
			b.Fatal("no lines")
		}
	}
}

func BenchmarkParse(b *testing.B) {
	src := boardSheet(5000)
	b.SetBytes(int64(len(src)))
	b.ReportAllocs()
	lines := bytes.Count(src, []byte("\n"))
	for b.Loop() {
		if _, found := Parse("bench", src); len(found) > 0 {
			b.Fatal(found)
		}
	}
	b.ReportMetric(float64(lines), "lines")
}

func BenchmarkCanonical(b *testing.B) {
	src := boardSheet(5000)
	f, _ := Parse("bench", src)
	b.SetBytes(int64(len(src)))
	b.ReportAllocs()
	for b.Loop() {
		if !bytes.Equal(f.Canonical(), src) {
			b.Fatal("canonical text changed")
		}
	}
}

func BenchmarkRead(b *testing.B) {
	src := boardSheet(5000)
	f, _ := Parse("bench", src)
	b.SetBytes(int64(len(src)))
	b.ReportAllocs()
	for b.Loop() {
		if _, found := Read(f); len(found) > 0 {
			b.Fatal(found)
		}
	}
}

func BenchmarkWrite(b *testing.B) {
	src := boardSheet(5000)
	f, _ := Parse("bench", src)
	c, _ := Read(f)
	b.SetBytes(int64(len(src)))
	b.ReportAllocs()
	for b.Loop() {
		if !bytes.Equal(Write(c), src) {
			b.Fatal("canonical text changed")
		}
	}
}
