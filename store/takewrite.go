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
			n += len(batch.Entries)
		}
	}
	return n
}

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
	added, err := t.keep(group)
	if err != nil {
		return err
	}
	for i, batch := range group {
		t.count(batch, added[i])
	}
	if t.opt.Look {
		return nil
	}
	return t.b.kv.update(func(w writer) error {
		for _, batch := range group {
			if err := putRecord(w, shopKey(batch.Signer.Shop), t.shops[batch.Signer.Shop]); err != nil {
				return err
			}
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
				if absent && !shunned[e.ID] {
					added[i]++
					t.look(s, batch, e)
				}
			}
		}
		return nil
	})
	return added, err
}

// look keeps in mind what would be new of a shop that is trusted in it.
func (t *taker) look(s Subject, batch *exchange.Batch, e exchange.Entry) {
	shop := t.shops[batch.Signer.Shop]
	if !shop.heeded(exchange.KindOf(e.Text)) {
		return
	}
	if t.kept++; t.kept > mostLooked {
		t.taken.Unsure = true
		return
	}
	t.looked[s] = append(t.looked[s], sharedEntry{id: e.ID, shop: batch.Signer.Shop, manifest: batch.Hash(), text: e.Text})
}

func (t *taker) count(batch *exchange.Batch, added int) {
	known := len(batch.Entries) - added
	t.taken.New, t.taken.Known = t.taken.New+added, t.taken.Known+known
	s := t.shops[batch.Signer.Shop]
	s.Entries += added
	if s.Stranger() {
		t.strangers += added
	}
	if s.Since.IsZero() {
		s.Since = t.b.now().UTC().Truncate(time.Second)
	}
	if batch.Signer.Name != "" {
		s.Name = batch.Signer.Name
	}
	i := slices.IndexFunc(t.taken.Shops, func(f TakenFrom) bool { return f.Signer.Key == batch.Signer.Key && f.Signer.Shop == batch.Signer.Shop })
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
	for _, s := range of {
		_, a, err := t.b.adopt(t.ctx, s, append([]sharedEntry{}, t.looked[s]...))
		if err != nil {
			return err
		}
		t.taken.Adoptions = append(t.taken.Adoptions, a)
	}
	return nil
}
