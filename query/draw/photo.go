package draw

import (
	"slices"

	"netlore/store/board"
)

// Photo is a picture of a side of a board, from straight above, that lies under its plan.
type Photo struct {
	Side  board.Side
	Of    board.Bounds // the piece of the board that it shows, as one sees it looking at the side
	Href  string       // an address, or the picture itself as a data URL
	Later bool         // whoever shows the plan fetches it: data-href in place of href
}

// photographed reports whether a photo lies under the view at once.
func (v *view) photographed() bool {
	return slices.ContainsFunc(v.of().Photos, func(p Photo) bool { return p.Side == v.side && !p.Later })
}

// photos draws the photos of the side, paler, so that the plan is read over them.
func (v *view) photos(w *writer) {
	for _, p := range v.of().Photos {
		if p.Side != v.side {
			continue
		}
		b := v.ground.bounds(board.Box(p.Of.Min, p.Of.Max))
		href, opacity := "href", 0.6
		if p.Later {
			href, opacity = "data-href", 0
		}
		w.empty("image", "class", "photo", "x", b.x0, "y", b.y0, "width", b.width(), "height", b.height(), "preserveAspectRatio", "none", "opacity", opacity, href, p.Href)
	}
}
