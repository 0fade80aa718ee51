package sheet

import "netlore/store/board"

func (w *writer) copper(b *board.Board) {
	w.s = subject{b: b, ref: &b.Ref}
	for i := range b.Vias {
		w.s.via = &b.Vias[i]
		w.keep(block{form: formVia, name: netName(b, b.Vias[i].Net), key: &key{}}, "")
	}
	w.flush(formVia)
	for i := range b.Holes {
		w.s.hole = &b.Holes[i]
		w.keep(block{form: formHole, key: &key{}}, "")
	}
	w.flush(formHole)
	for i := range b.Tracks {
		w.track(b, b.Tracks[i])
	}
	w.flush(formTrack)
}

// maxPath is how many places fit on a line with everything else.
const maxPath = board.MaxCorners

// track prints a track. A long one becomes several, which meet.
func (w *writer) track(b *board.Board, t board.Track) {
	for path := t.Path; ; path = path[maxPath-1:] {
		t.Path = path[:min(len(path), maxPath)]
		w.s.track = &t
		w.keep(block{form: formTrack, name: netName(b, t.Net), key: &key{}}, "")
		if len(path) <= maxPath {
			return
		}
	}
}
