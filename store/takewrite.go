package store

import (
	"slices"
	"time"

	"netlore/store/exchange"
)

// waiting is how many entries of a shop are gathered and not written yet; nil means
// those of all strangers.
func (t *taker) waiting(of *Shop) (n int) {
	for _, batch := range t.group {
		if by := t.shops[batch.Signer.Shop]; by == of || of == nil && by.Stranger() {
			n += listedBy(batch)
		}
	}
	return n
}

// listedBy is how many entries and withdrawals the manifest of a batch lists: it is kept as
// a whole, however little of it is at hand.
func listedBy(b *exchange.Batch) int { return len(b.Manifest.Entries) + len(b.Retracts) }

// flush writes what has been gathered.
func (t *taker) flush() error {
	group := t.group
	t.group, t.size = nil, 0
	if len(group) == 0 {
		return nil
	}
	if err := t.begin(); err != nil {
		return err
	}
	fresh, err := t.fresh(group)
	if err != nil {
		return err
	}
	added, err := t.keep(group)
	if err != nil {
		return err
	}
	for i, batch := range group {
		t.count(batch, added[i], fresh[i])
	}
	if t.opt.Look {
		return nil
	}
	if err := t.b.kv.update(func(w writer) error {
		for _, batch := range group {
			if err := putRecord(w, shopKey(batch.Signer.Shop), t.shops[batch.Signer.Shop]); err != nil {
				return err
			}
		}
		return nil
	}); err != nil {
		return err
	}
	if len(t.shops) > mostSaid {
		t.shops = map[exchange.Key]*Shop{} // they are on disk
	}
	return nil
}

// fresh tells which batches of a group are not known yet.
func (t *taker) fresh(group []*exchange.Batch) ([]bool, error) {
	fresh, seen := make([]bool, len(group)), map[exchange.ID]bool{}
	return fresh, t.b.kv.view(func(r reader) error {
		for i, batch := range group {
			hash := batch.Hash()
			absent, err := isAbsent(r, manifestKey(hash))
			if err != nil {
				return err
			}
			fresh[i], seen[hash] = absent && !seen[hash], true
		}
		return nil
	})
}

// keep writes a group of batches, or if it is only looked at, counts what is new.
func (t *taker) keep(group []*exchange.Batch) ([]int, error) {
	if !t.opt.Look {
		size := 0
		for _, b := range group {
			size += len(b.Signed) + len(b.Entries)*sharedHead
		}
		if t.b.dir != "" {
			if err := checkSpace(t.b.dir, openSpace+rewriteSpace(t.b.dir)+4*uint64(size+groupBytes)); err != nil {
				return nil, err
			}
		}
		return t.b.keepBatches(t.ctx, t.receipt, group)
	}
	added := make([]int, len(group))
	err := t.b.kv.view(func(r reader) error {
		shunned, err := shunnedIDs(r)
		if err != nil {
			return err
		}
		for i, batch := range group {
			s := subjectOfShared(batch.Of)
			for _, e := range batch.Entries {
				absent, err := isAbsent(r, sharedKey(s, e.ID))
				if err != nil {
					return err
				}
				if absent && !shunned[e.ID] && t.look(s, batch, e) {
					added[i]++
				}
			}
		}
		return nil
	})
	return added, err
}

// look keeps in mind what would be new, and of a shop that is trusted in it, what it says.
// It reports whether it is seen for the first time, as far as can be told.
func (t *taker) look(s Subject, batch *exchange.Batch, e exchange.Entry) bool {
	if t.seen[e.ID] {
		return false
	}
	if len(t.seen) < mostLooked {
		t.seen[e.ID] = true
	}
	shop := t.shops[batch.Signer.Shop]
	if t.taken.Unsure || !shop.heeded(exchange.KindOf(e.Text)) {
		return true
	}
	t.kept++
	t.bytes += len(e.Text)
	if t.kept > mostLooked || t.bytes > mostLookedBytes {
		t.taken.Unsure, t.looked = true, nil
		return true
	}
	t.looked[s] = append(t.looked[s], sharedEntry{id: e.ID, shop: batch.Signer.Shop, manifest: batch.Hash(), text: e.Text})
	return true
}

func (t *taker) count(batch *exchange.Batch, added int, fresh bool) {
	known := len(batch.Entries) - added
	t.taken.New, t.taken.Known = t.taken.New+added, t.taken.Known+known
	s := t.shops[batch.Signer.Shop]
	before := s.kept()
	s.Entries += added
	if fresh {
		s.Listed += listedBy(batch)
	}
	if s.Stranger() {
		t.strangers += s.kept() - before
	}
	if s.Since.IsZero() {
		s.Since = t.b.now().UTC().Truncate(time.Second)
	}
	if batch.Signer.Name != "" {
		s.Name = batch.Signer.Name
	}
	i := slices.IndexFunc(t.taken.Shops, func(f TakenFrom) bool { return f.Signer.Key == batch.Signer.Key && f.Signer.Shop == batch.Signer.Shop })
	if i < 0 && len(t.taken.Shops) == mostSaid {
		t.taken.Further += len(batch.Entries)
		return
	}
	if i < 0 {
		i = len(t.taken.Shops)
		t.taken.Shops = append(t.taken.Shops, TakenFrom{Signer: batch.Signer})
	}
	from := &t.taken.Shops[i]
	from.Shop, from.New, from.Known = *s, from.New+added, from.Known+known
}

// finish makes count what is to count, and ends the receipt.
func (t *taker) finish() error {
	var of []Subject
	for s := range t.touched {
		of = append(of, s)
	}
	slices.SortFunc(of, compareSubjects)
	if t.opt.Look {
		return t.foresee(of)
	}
	var err error
	if t.taken.Adoptions, err = t.b.adoptAll(t.ctx, of, t.opt.Author); err != nil || t.receipt.Number == 0 {
		return err
	}
	t.receipt.New, t.receipt.Known = t.receipt.New+t.taken.New, t.receipt.Known+t.taken.Known
	return t.b.kv.update(func(w writer) error { return putRecord(w, receiptKey(t.receipt.Number), t.receipt) })
}

// foresee tells what would count.
func (t *taker) foresee(of []Subject) error {
	if t.taken.Unsure {
		return nil
	}
	known := map[exchange.Key]Shop{}
	if own := t.shops[t.opt.Own]; own != nil {
		known[own.Key] = *own
	}
	for _, s := range of {
		_, a, err := t.b.adopt(t.ctx, s, append([]sharedEntry{}, t.looked[s]...), known)
		if err != nil {
			return err
		}
		t.taken.Adoptions = append(t.taken.Adoptions, a)
	}
	return nil
}
