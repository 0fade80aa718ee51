package query

import (
	"errors"
	"math"
	"strings"
	"testing"

	"netlore/query/align"
	"netlore/query/diag"
	"netlore/store/board"
)

// shotBoard is a board of 60 by 40 mm with a pad that has a place, a part and a pad that have
// none, and a part with an odd name on the bottom.
func shotBoard() *board.Board {
	bu := board.NewBuilder(board.Ref{Name: "Wren"})
	for _, pad := range []string{"P1", "P2"} {
		bu.Pad(pad)
	}
	for _, part := range []string{"C12", `a "b"`, "lower-left", "Käfer"} {
		bu.Part(part)
	}
	bu.Cover("SH1")
	pin := bu.PinAt(bu.Pin(bu.Part("J1"), "1"))
	pin.Placed, pin.At, pin.Shape = true, board.Point{X: 3000, Y: 3000}, board.PadShape{W: 500}
	b := bu.Build()
	b.Size = board.Size{W: 60000, H: 40000}
	p, q := &b.Pads[b.FindPad("P1")], &b.Parts[b.FindPart(`a "b"`)]
	p.Side, p.Placed, p.At = board.Top, true, board.Point{X: 5000, Y: 7000}
	q.Side, q.Placed, q.At = board.Bottom, true, board.Point{X: 12340, Y: 500}
	return b
}

func TestPhotoPlace(t *testing.T) {
	b := shotBoard()
	for _, c := range []struct {
		side board.Side
		is   string
		at   align.Point
		says string // what is complained of; empty if nothing is
	}{
		{board.Top, "P1", align.Point{X: 5, Y: 7}, ""},
		{board.Bottom, "P1", align.Point{}, "P1 is on the top, and the photo is of the bottom"},
		{board.Bottom, `"a \"b\""`, align.Point{X: 12.34, Y: 0.5}, ""},
		{board.Top, "12.3, -8.15", align.Point{X: 12.3, Y: -8.15}, ""},
		{board.Top, "upper-right", align.Point{X: 60, Y: 40}, ""},
		{board.Bottom, "upper-right", align.Point{X: 0, Y: 40}, ""}, // seen from below, x runs to the left
		{board.Bottom, "lower-right", align.Point{}, ""},
		{board.Top, "lower-left", align.Point{}, "no place of lower-left is known"}, // a part of that name goes first
		{board.Top, "C12", align.Point{}, "no place of C12 is known"},
		{board.Top, "C13", align.Point{}, `nothing on Wren is called "C13"`},
		{board.Top, "1,2,3", align.Point{}, `nothing on Wren is called "1,2,3"`},
		{board.Top, "nan,1e999", align.Point{}, "nothing on Wren is called"},
		{board.Top, "", align.Point{}, "nothing on Wren is called"},
	} {
		at, err := PhotoPlace(b, c.side, c.is)
		var list diag.List
		switch {
		case c.says == "" && (err != nil || at != c.at):
			t.Errorf("%s of the %s is at %v, %v; want %v", c.is, c.side, at, err, c.at)
		case c.says != "" && (!errors.As(err, &list) || list[0].Code != "Q98" || len(list[0].Help) == 0 || !strings.Contains(list[0].Message, c.says)):
			t.Errorf("%s of the %s: %v, want %s", c.is, c.side, err, c.says)
		}
	}
	b.Size = board.Size{}
	if _, err := PhotoPlace(b, board.Top, "upper-left"); err == nil || !strings.Contains(err.Error(), "the size of Wren is not known") {
		t.Errorf("the corner of a board without a size: %v", err)
	}
}

func TestPlaced(t *testing.T) {
	b := shotBoard()
	for _, c := range []struct {
		is   string
		at   align.Point
		want string // or what is complained of
		code string
	}{
		{"C12", align.Point{X: 1.2345, Y: 0}, "part C12 top at 1.23,0", ""},
		{"P2", align.Point{X: 10, Y: -0.001}, "pad P2 top at 10,0", ""},
		{"lower-left", align.Point{X: 1, Y: 2}, "part lower-left top at 1,2", ""}, // a part of that name goes first
		{"Ka\u0308fer", align.Point{X: 1, Y: 2}, `part Käfer top at 1,2`, ""},     // as some keyboards write it
		{"P1", align.Point{}, "P1 has a place already", "Q98"},
		{`"a \"b\""`, align.Point{}, `"a \"b\"" has a place already`, "Q98"},
		{"J1", align.Point{}, "J1 has a place already", "Q98"}, // that of its pins
		{"J1.1", align.Point{}, "J1.1 is no part or pad", "Q98"},
		{"SH1", align.Point{}, "SH1 is no part or pad", "Q98"},
		{"upper-left", align.Point{}, "upper-left is no part or pad", "Q98"},
		{"C13", align.Point{}, `no part or pad on Wren is called "C13"`, "Q98"},
		{"C12", align.Point{X: 61, Y: 10}, "C12 would be at 61,10, beside the board", "P101"},
		{"C12", align.Point{X: 1e9}, "beside the board", "P101"},
		{"C12", align.Point{X: math.NaN()}, "beside the board", "P101"},
	} {
		got, err := Placed(b, board.Top, c.is, c.at)
		var list diag.List
		switch {
		case c.code == "" && (err != nil || got != c.want):
			t.Errorf("%s at %v: %q, %v", c.is, c.at, got, err)
		case c.code != "" && (!errors.As(err, &list) || list[0].Code != c.code || len(list[0].Help) == 0 || !strings.Contains(list[0].Message, c.want)):
			t.Errorf("%s at %v: %v, want %s", c.is, c.at, err, c.want)
		}
	}
	if _, err := Placed(b, board.Top, "C13", align.Point{}); !strings.Contains(strings.Join(err.(diag.List)[0].Help, " "), "did you mean C12?") {
		t.Errorf("nothing near C13 is named: %v", err)
	}
	b.Size = board.Size{}
	if got, err := Placed(b, board.Top, "C12", align.Point{X: 61, Y: 10}); got != "part C12 top at 61,10" {
		t.Errorf("on a board of unknown size: %q, %v", got, err)
	}
}

func TestPlacing(t *testing.T) {
	b := shotBoard()
	for name, want := range map[string]string{"P1": "pad P1 top at 5,7", `"a \"b\""`: `part "a \"b\"" bottom at 12.34,0.5`, "C12": "", "U1": ""} {
		if got := Placing(b, name); got != want {
			t.Errorf("%s is placed as %q, want %q", name, got, want)
		}
	}
	known, placeless := PhotoPoints(b, board.Top)
	if strings.Join(known, " ") != "lower-left lower-right upper-right upper-left P1 J1" || strings.Join(placeless, " ") != "P2 C12 Käfer lower-left" {
		t.Errorf("known %q, without a place %q", known, placeless)
	}
}

func TestPhotoForms(t *testing.T) {
	b := shotBoard()
	points := []Picked{{100, 900, "0,0"}, {1300, 900, "60,0"}, {1300, 100, "60,40"}, {100, 100, "0,40"}}
	for form, want := range map[string]align.Form{"": align.Perspective, "similarity": align.Similar, "affine": align.Affine, "perspective": align.Perspective} {
		if fit, err := AlignPhoto(b, board.Top, points, form); err != nil || fit.Form != want || fit.RMS > 1e-6 {
			t.Errorf("%q: %+v, %v", form, fit, err)
		}
	}
	if _, err := AlignPhoto(b, board.Top, points, "bent"); err == nil || !strings.Contains(err.Error(), "similarity, affine or perspective") {
		t.Errorf("bent: %v", err)
	}
}
