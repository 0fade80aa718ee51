package board

import (
	"slices"
	"sync"
)

// mostKept bounds what is kept with a board, so that it does not grow with the
// variety of what is asked of it.
const mostKept = 12

// kept is what others have worked out of a board and keep with it, the last used
// at the end.
type kept struct {
	mu   sync.Mutex
	list []*keptThing
}

type keptThing struct {
	key  any
	once sync.Once
	made any
}

// Equal reports true: boards do not differ by what was worked out of them.
func (*kept) Equal(*kept) bool { return true }

// Keep returns what is kept with the board under a key, and makes it first if
// nothing is: whatever follows from the board alone, takes long to work out, and
// does not change. It is made once however many goroutines ask, and dropped when
// too many other keys were asked for since. Keys compare as those of a map; each
// package uses keys of a type of its own.
func (b *Board) Keep(key any, make func() any) any {
	if b.kept == nil {
		return make() // no Builder made the board
	}
	t := b.kept.thing(key)
	t.once.Do(func() { t.made = make() })
	return t.made
}

// thing is what has a key. It is the last used from now on.
func (k *kept) thing(key any) *keptThing {
	k.mu.Lock()
	defer k.mu.Unlock()
	at := slices.IndexFunc(k.list, func(t *keptThing) bool { return t.key == key })
	switch {
	case at >= 0 && at == len(k.list)-1:
		return k.list[at]
	case at >= 0:
		t := k.list[at]
		k.list = append(slices.Delete(k.list, at, at+1), t)
		return t
	case len(k.list) == mostKept:
		k.list = slices.Delete(k.list, 0, 1)
	}
	t := &keptThing{key: key}
	k.list = append(k.list, t)
	return t
}
