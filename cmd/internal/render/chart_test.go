package render

import (
	"bytes"
	"encoding/xml"
	"io"
	"math"
	"strings"
	"testing"

	"netlore/query/run"
	"netlore/store/board"
)

func point(name string, read, value, low, high float64) run.Point {
	return run.Point{Name: name, Mode: board.Diode, Read: read, Value: value, Low: low, High: high}
}

var open, none = math.Inf(1), math.NaN()

func TestChart(t *testing.T) {
	points := []run.Point{
		point("P1 <b>&", 0.003, 0.412, 0.38, 0.44),
		point("P2", open, 0.5, none, none),
		point("P3", 0.4, none, none, none),
		point("P4", open, open, none, none),
		{Name: "P5", Mode: board.Resistance, Read: 3},
		point("P6", none, 0.4, none, none),
	}
	svg, err := Chart(points)
	if err != nil {
		t.Fatal(err)
	}
	texts := svgTexts(t, svg)
	for _, want := range []string{"P1 <b>&", "P2", "P3", "P4", "V", "diode: dots were read, triangles read open, bars are expected; 4 of 6"} {
		if !strings.Contains(texts, "\n"+want+"\n") {
			t.Errorf("%q is not in the chart:%s", want, texts)
		}
	}
	for _, unwanted := range []string{"P5", "P6", "NaN", "Inf"} {
		if strings.Contains(string(svg), unwanted) {
			t.Errorf("%s is in the chart", unwanted)
		}
	}
	if again, _ := Chart(points); !bytes.Equal(svg, again) {
		t.Error("the same points make another picture")
	}
}

// svgTexts are the texts of a picture, which has to be well-formed, a line each.
func svgTexts(t *testing.T, svg []byte) string {
	t.Helper()
	texts := "\n"
	for d := xml.NewDecoder(bytes.NewReader(svg)); ; {
		token, err := d.Token()
		if err == io.EOF {
			return texts
		}
		if err != nil {
			t.Fatalf("%v in %s", err, svg)
		}
		if s, ok := token.(xml.CharData); ok && len(bytes.TrimSpace(s)) > 0 {
			texts += string(bytes.TrimSpace(s)) + "\n"
		}
	}
}

func TestChartOfNothing(t *testing.T) {
	for _, points := range [][]run.Point{nil, {point("P1", none, 0.4, none, none)}} {
		if _, err := Chart(points); err == nil {
			t.Errorf("%v is drawn", points)
		}
	}
	if _, err := Chart([]run.Point{point("P1", 0, none, none, none), point("P2", open, open, none, none)}); err != nil {
		t.Errorf("nothing but zero and open: %v", err)
	}
}

// More places than a page has room for: the most surprising are drawn.
func TestChartOfMany(t *testing.T) {
	points := make([]run.Point, 500)
	for i := range points {
		points[i] = point("P", 0.4, 0.4, none, none)
	}
	svg, err := Chart(points)
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(svgTexts(t, svg), "\nP"); n != mostCharted {
		t.Errorf("%d places are drawn", n)
	}
}
