package board

import (
	"sync"
	"sync/atomic"
)

// Hider is a cover that hides a part, or may.
type Hider struct {
	Cover CoverID
	Hiding
}

// lazyHiders are the covers over every part of a board, worked out when they
// are first asked for.
type lazyHiders struct {
	once  sync.Once
	ready atomic.Bool
	first []int32 // of each part, its first in all
	all   []Hider
}

// Equal reports true: boards do not differ by what was worked out of them.
func (*lazyHiders) Equal(*lazyHiders) bool { return true }

// Hiders returns the covers that hide a part or may, in natural order. It must
// not be changed. The first call works them out for all parts, in time that
// grows with parts times covers; later ones only look them up.
func (b *Board) Hiders(p PartID) []Hider {
	h := b.hiders
	h.once.Do(func() {
		h.find(b)
		h.ready.Store(true)
	})
	return h.all[h.first[p]:h.first[p+1]]
}

// HidersReady reports whether the hiders of the board are worked out already.
func (b *Board) HidersReady() bool { return b.hiders.ready.Load() }

func (h *lazyHiders) find(b *Board) {
	lids := make([]*Lid, len(b.Covers))
	for c := range lids {
		lids[c] = b.Lid(CoverID(c))
	}
	h.first = make([]int32, len(b.Parts)+1)
	for p := range b.Parts {
		for c, lid := range lids {
			if hiding := lid.OverPart(PartID(p)); hiding.Truth != False {
				h.all = append(h.all, Hider{CoverID(c), hiding})
			}
		}
		h.first[p+1] = int32(len(h.all))
	}
}
