package query

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"golang.org/x/text/unicode/norm"

	"netlore/query/align"
	"netlore/query/diag"
	"netlore/store/board"
)

// Picked is a place that somebody has picked on a photo of a side of a board.
type Picked struct {
	X, Y float64 // pixels from the upper left corner
	Is   string  // what is there: a pad, part, pin or cover, a corner of the board, or a place in mm, "12.3,8.15"
}

// AlignPhoto finds how a photo lies on a board from what was picked on it. The form is the word of
// an align.Form, or empty for what the points allow. Complaints are a diag.List.
func AlignPhoto(b *board.Board, side board.Side, points []Picked, form string) (*align.Fit, error) {
	f, ok := photoForm(form)
	if !ok {
		return nil, complain("Q98", fmt.Sprintf("a photo is aligned as %s, not as %s", diag.OneOf(PhotoForms()...), diag.Quote(form)))
	}
	var pairs []align.Pair
	for _, p := range points {
		at, err := PhotoPlace(b, side, p.Is)
		if err != nil {
			return nil, err
		}
		pairs = append(pairs, align.Pair{Name: p.Is, Photo: align.Point{X: p.X, Y: p.Y}, Board: at})
	}
	return align.To(pairs, f, side == board.Bottom)
}

// PhotoForms are the words for what a photo may be distorted by.
func PhotoForms() []string {
	return []string{align.Similar.String(), align.Affine.String(), align.Perspective.String()}
}

func photoForm(word string) (align.Form, bool) {
	if word == "" {
		return align.Auto, true
	}
	i := slices.Index(PhotoForms(), word)
	return align.Similar + align.Form(i), i >= 0
}

// corners are the words for the corners of a board as one sees it looking at the side; 1 is right,
// and up.
var corners = []struct {
	word      string
	right, up bool
}{{"lower-left", false, false}, {"lower-right", true, false}, {"upper-right", true, true}, {"upper-left", false, true}}

// PhotoPlace is where on a board, in mm, something is that was picked on a photo of a side.
// Complaints are a diag.List.
func PhotoPlace(b *board.Board, side board.Side, is string) (align.Point, error) {
	if at, ok := placeInMM(is); ok {
		return at, nil
	}
	o, on, found := thingNamed(b, plainName(is))
	switch {
	case !found && slices.Contains(cornerWords(), is):
		return cornerOf(b, side, is)
	case !found:
		return align.Point{}, notOnPhoto(b, is)
	case o.Zero():
		return align.Point{}, complain("Q98", fmt.Sprintf("no place of %s is known, so it does not tell how the photo lies", is),
			"pick something with a place, a corner of the board, or say a place in mm: 12.3,8.15", "once the photo is aligned, the place of "+is+" can be picked on it")
	case on != side && on != board.BothSides && on != board.SideUnknown:
		return align.Point{}, complain("Q98", fmt.Sprintf("%s is on the %s, and the photo is of the %s", is, on, side), "pick something that is on the "+side.String())
	}
	box := o.Bounds()
	return align.Point{X: (float64(box.Min.X) + float64(box.Max.X)) / 2000, Y: (float64(box.Min.Y) + float64(box.Max.Y)) / 2000}, nil
}

// plainName is the name that was picked, as boards have it.
func plainName(is string) string { return norm.NFC.String(board.PlainName(is)) }

// placeInMM reads a place: "12.3,8.15".
func placeInMM(text string) (at align.Point, ok bool) {
	x, y, ok := strings.Cut(text, ",")
	if !ok {
		return at, false
	}
	var noX, noY error
	at.X, noX = strconv.ParseFloat(strings.TrimSpace(x), 64)
	at.Y, noY = strconv.ParseFloat(strings.TrimSpace(y), 64)
	return at, noX == nil && noY == nil && math.Abs(at.X) < 1e6 && math.Abs(at.Y) < 1e6
}

// thingNamed is the outline and side of a pad, part, pin or cover; its outline is none if its
// place is not known.
func thingNamed(b *board.Board, name string) (o board.Outline, on board.Side, found bool) {
	if id := b.FindPad(name); id != board.None {
		o, _ = b.PadOutline(id)
		return o, b.Pads[id].Side, true
	}
	if id := b.FindPart(name); id != board.None {
		o, _ = b.PartOutline(id)
		return o, b.PartSide(id), true
	}
	if id := pinOf(b, name); id != board.None {
		o, _ = b.PinOutline(id)
		return o, b.Pins[id].Side, true
	}
	if id := b.FindCover(name); id != board.None {
		o, on = b.CoverOutline(id)
		return o, on, true
	}
	return o, on, false
}

// cornerOf is a corner of a board of which the size or outline is known.
func cornerOf(b *board.Board, side board.Side, word string) (align.Point, error) {
	edge, known := b.Extent()
	if !known {
		return align.Point{}, complain("Q98", fmt.Sprintf("the size of %s is not known, so neither is where its corner is", b.Ref),
			"say the size in a sheet: size 62x38mm", "or say places in mm: two points that are 60mm apart are 0,0 and 60,0")
	}
	var at align.Point
	for _, c := range corners {
		if c.word != word {
			continue
		}
		at = align.Point{X: float64(edge.Min.X) / 1000, Y: float64(edge.Min.Y) / 1000}
		if c.right != (side == board.Bottom) {
			at.X = float64(edge.Max.X) / 1000
		}
		if c.up {
			at.Y = float64(edge.Max.Y) / 1000
		}
	}
	return at, nil
}

func notOnPhoto(b *board.Board, is string) error {
	list := complain("Q98", fmt.Sprintf("nothing on %s is called %s", b.Ref, diag.Quote(is)))
	list[0].Help = append(meant(is, append(photoNames(b), cornerWords()...)), "a point is a pad, part, pin or cover, a corner ("+diag.OneOf(cornerWords()...)+"), or a place in mm: 12.3,8.15")
	return list
}

// meant asks whether one of the names was meant that are nearly what was picked.
func meant(is string, names []string) (help []string) {
	for _, near := range diag.Closest(is, names) {
		help = append(help, "did you mean "+near+"?")
	}
	return help
}

func cornerWords() (all []string) {
	for _, c := range corners {
		all = append(all, c.word)
	}
	return all
}

// photoNames are the names of all pads, parts and covers.
func photoNames(b *board.Board) []string {
	all := placeableNames(b)
	for i := range b.Covers {
		all = append(all, b.Covers[i].Name)
	}
	return all
}

// PhotoPoints are what can be picked on a photo of a side to tell how it lies: the corners, if the
// size of the board is known, then pads and parts with a place; and what has none.
func PhotoPoints(b *board.Board, side board.Side) (known, placeless []string) {
	if _, sized := b.Extent(); sized {
		known = cornerWords()
	}
	add := func(name string, o board.Outline, on board.Side) {
		switch {
		case on != side && on != board.BothSides && on != board.SideUnknown:
		case o.Zero():
			placeless = append(placeless, board.QuoteName(name))
		default:
			known = append(known, board.QuoteName(name))
		}
	}
	for i := range b.Pads {
		o, _ := b.PadOutline(board.PadID(i))
		add(b.Pads[i].Name, o, b.Pads[i].Side)
	}
	for i := range b.Parts {
		o, _ := b.PartOutline(board.PartID(i))
		add(b.Parts[i].Name, o, b.PartSide(board.PartID(i)))
	}
	return known, placeless
}
