package table

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"netlore/importers/record"
	"netlore/store/board"
)

// benchText is a placement of many rows for few parts.
func benchText(rows int) string {
	var s strings.Builder
	s.WriteString("Designator,Value,Package,Mid X (mm),Mid Y (mm),Rotation,Layer\r\n")
	for i := range rows {
		n := i % 1000
		fmt.Fprintf(&s, "C%d,100nF,0402,%d.%03d,%d.5,90,top\r\n", n, n%60, n, n/20)
	}
	return s.String()
}

func BenchmarkRead(b *testing.B) {
	text := benchText(100_000)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read(context.Background(), strings.NewReader(text), record.Options{}, record.NewDraft(board.Ref{})); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkSplit measures the splitting into rows and cells alone.
func BenchmarkSplit(b *testing.B) {
	text := benchText(100_000)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		for in := newRows(strings.NewReader(text), ','); in.next(); {
		}
	}
}

// BenchmarkEncodingCSV is the baseline: the standard library splits the same
// text, and nothing is done with it.
func BenchmarkEncodingCSV(b *testing.B) {
	text := benchText(100_000)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		in := csv.NewReader(strings.NewReader(text))
		in.ReuseRecord = true
		for {
			if _, err := in.Read(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				b.Fatal(err)
			}
		}
	}
}

// BenchmarkSniff measures the judgement of one file.
func BenchmarkSniff(b *testing.B) {
	head := []byte(benchText(2000))[:record.HeadSize]
	for b.Loop() {
		if Sniff(head) != record.Likely {
			b.Fatal("not taken for a table")
		}
	}
}
