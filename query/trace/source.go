package trace

import "netlore/store/board"

// Source is where a rail is fed from. There are none if that is not known. Parts
// are those by which it was found; with none it is the outside of a board that
// is asked alone.
type Source struct {
	Places []Place
	Parts  []SourcePart
}

// SourcePart is a part that feeds a rail, and the nearest place where it does.
type SourcePart struct {
	Member int
	Part   board.PartID
	At     Place
}

// feeders are the classes of parts that feed what they are on, the surest
// first. A power manager feeds many rails and draws from one; it is asked only
// where there is neither battery nor charger. Regulators and converters are not
// among them: which of their pins is the output is not known. (Common practice,
// no source.)
var feeders = [][]board.Class{{board.Battery, board.Charger}, {board.PowerManager}}

// SourceOf finds what feeds the rail that some places belong to: the batteries
// and chargers on it; else the power managers; else, for a board that is asked
// alone, what comes in by its frame pads. All that the places lead to is the
// rail.
func (s *Supply) SourceOf(rail []Place) Source {
	r := s.Reach(rail, Ties{All: true})
	for _, classes := range feeders {
		if src := s.partsOn(r, classes); src.Parts != nil {
			return src
		}
	}
	var src Source
	for _, p := range s.outside {
		if r.Has(p) {
			src.Places = append(src.Places, p)
		}
	}
	return src
}

// partsOn are the fitted parts of some classes on what is reached.
func (s *Supply) partsOn(r *Reach, classes []board.Class) Source {
	var src Source
	for i, m := range s.members {
		for k := range m.Board.Parts {
			if m.Board.Parts[k].Unfitted || !isOneOf(m.Board.Parts[k].Class, classes) {
				continue
			}
			nearest := SourcePart{i, board.PartID(k), None}
			for _, p := range s.Part(nil, i, board.PartID(k)) {
				if !r.Has(p) {
					continue
				}
				src.Places = append(src.Places, p)
				if nearest.At == None || r.Steps(p) < r.Steps(nearest.At) {
					nearest.At = p
				}
			}
			if nearest.At != None {
				src.Parts = append(src.Parts, nearest)
			}
		}
	}
	return src
}

func isOneOf(c board.Class, classes []board.Class) bool {
	for _, k := range classes {
		if c.Is(k) {
			return true
		}
	}
	return false
}
