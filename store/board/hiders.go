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

// Hidden is a part that a cover hides, or may.
type Hidden struct {
	Part PartID
	Truth
}

// lazyHiders are the covers over every part of a board, worked out when they
// are first asked for, and the same by cover.
type lazyHiders struct {
	once  sync.Once
	ready atomic.Bool
	first []int32 // of each part, its first in all
	all   []Hider
	under [][]Hidden // of each cover
}

// Equal reports true: boards do not differ by what was worked out of them.
func (*lazyHiders) Equal(*lazyHiders) bool { return true }

// Hiders returns the covers that hide a part or may, in natural order. It must
// not be changed. The first call works them out for all parts, in time that
// grows with parts times covers; later ones only look them up.
func (b *Board) Hiders(p PartID) []Hider {
	h := b.readyHiders()
	return h.all[h.first[p]:h.first[p+1]]
}

func (b *Board) readyHiders() *lazyHiders {
	h := b.hiders
	h.once.Do(func() {
		h.find(b)
		h.ready.Store(true)
	})
	return h
}

// HiddenBy returns the parts that a cover hides or may, in natural order, as
// Hiders has them. It must not be changed.
func (b *Board) HiddenBy(c CoverID) []Hidden {
	return b.readyHiders().under[c]
}

// HidersReady reports whether the hiders of the board are worked out already.
func (b *Board) HidersReady() bool { return b.hiders.ready.Load() }

func (h *lazyHiders) find(b *Board) {
	lids := make([]*Lid, len(b.Covers))
	for c := range lids {
		lids[c] = b.Lid(CoverID(c))
	}
	h.first, h.under = make([]int32, len(b.Parts)+1), make([][]Hidden, len(b.Covers))
	for p := range b.Parts {
		for c, lid := range lids {
			if hiding := lid.OverPart(PartID(p)); hiding.Truth != False {
				h.all = append(h.all, Hider{CoverID(c), hiding})
				h.under[c] = append(h.under[c], Hidden{PartID(p), hiding.Truth})
			}
		}
		h.first[p+1] = int32(len(h.all))
	}
}
