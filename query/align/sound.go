package align

import (
	"fmt"
	"math"

	"netlore/query/diag"
)

// farthest is beyond all pixels of a photo, and all millimetres of a board.
const farthest = 1e6

func complain(code, message string, help ...string) diag.List {
	return diag.List{{Code: code, Message: message, Help: help}}
}

// sound complains of points that no map can be made of.
func sound(pairs []Pair, form Form) error {
	for _, p := range pairs {
		if v := []float64{p.Photo.X, p.Photo.Y, p.Board.X, p.Board.Y}; !finite(v...) || math.Abs(v[0]) > farthest || math.Abs(v[1]) > farthest || math.Abs(v[2]) > farthest || math.Abs(v[3]) > farthest {
			return complain("P101", fmt.Sprintf("%s lies beyond any photo or board", p.Name))
		}
	}
	if n := form.least(); len(pairs) < n {
		picked := fmt.Sprintf("%d points were picked", len(pairs))
		switch len(pairs) {
		case 0:
			picked = "no point was picked"
		case 1:
			picked = "one point was picked"
		}
		return complain("P102", fmt.Sprintf("%s, and %d are needed", picked, n), "two give the scale, three fit a photo from straight above, four one at a slant; one more shows how well they fit")
	}
	for i, p := range pairs {
		for _, q := range pairs[:i] {
			if same(p.Photo, q.Photo, 2) {
				return complain("P103", fmt.Sprintf("%s and %s were picked at the same spot of the photo", q.Name, p.Name), "pick one of them again")
			}
			if same(p.Board, q.Board, 0.01) {
				return complain("P103", fmt.Sprintf("%s and %s are at the same place of the board", q.Name, p.Name), "leave one of them out")
			}
		}
	}
	return nil
}

func same(a, b Point, near float64) bool { return math.Hypot(a.X-b.X, a.Y-b.Y) < near }

// onLine says that the points lie too much on a line, or three of four do.
func onLine(pairs []Pair) error {
	if len(pairs) == Perspective.least() {
		return complain("P104", "three of the four points, or all of them, lie on a line, so how the photo lies across it cannot be told", "pick points near the corners of the board")
	}
	return complain("P104", "the points lie on a line, so how the photo lies across it cannot be told", "pick one more, far from that line")
}

// believable complains of a map that no photo of this side can have.
func (f *Fit) believable(pairs []Pair, bottom bool) error {
	mirrored, plain := 0, 0
	for _, p := range pairs {
		if f.to.turn(p.Photo) < 0 {
			mirrored++
		} else {
			plain++
		}
	}
	// Seen from above the photo's y runs down and the board's up: that mirrors. Seen from
	// below x runs the other way as well.
	wrong, this, other := plain, "top", "bottom"
	if bottom {
		wrong, this, other = mirrored, other, this
	}
	switch {
	case mirrored > 0 && plain > 0:
		return complain("P106", "the points contradict each other: no photo shows them like this", "look for one that was picked at the place of another, or has the wrong name")
	case wrong > 0:
		return complain("P105", fmt.Sprintf("this looks like the other side: on a photo of the %s these points would lie the other way round", this),
			"if the photo is of the "+other+", keep it as one of the "+other, "if it is not, two points have changed places, or the picture was mirrored")
	}
	return nil
}
