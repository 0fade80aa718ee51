package link

import (
	"math/rand/v2"
	"time"
)

// waits are the pauses between tries: each about twice as long as the one before,
// and by chance not the same on all benches that a server has lost at once.
type waits struct{ least, most, last time.Duration }

func (w *waits) next() time.Duration {
	w.last = min(max(w.least, 2*w.last), w.most)
	return w.last/2 + rand.N(w.last/2+1)
}
