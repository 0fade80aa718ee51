package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"netlore/store/exchange"
)

// Taking says how a pack is taken.
type Taking struct {
	From   string // what messages and the receipt call it
	Author string // who takes it
	Look   bool   // tell what would be taken, and take nothing
	// Progress, when set, is told how many entries have been read.
	Progress func(entries int)
}

// Taken is what a pack came to, or would come to.
type Taken struct {
	Receipt   uint64 // by which it can be undone; 0 if nothing was written
	Batches   int
	New       int // entries that were not known
	Known     int // entries that were
	Shops     []TakenFrom
	Said      []string // what shops say about their keys that was not known
	Refused   []error  // what was not taken, the first of it
	More      int      // how much else was not taken
	Adoptions []Adoption
	Unsure    bool // there was too much to tell beforehand what would count
}

// TakenFrom is what came from one bench of a shop.
type TakenFrom struct {
	Signer     exchange.Signer
	Shop       Shop
	New, Known int
}

const (
	// groupBytes is how much of a pack is written in one step.
	groupBytes = 2 << 20
	// mostRefusals is how many refusals are told one by one.
	mostRefusals = 20
	// mostUnknown is how many entries are kept of a shop that nobody here knows.
	mostUnknown = 20_000
	// mostLooked bounds what is held in memory to tell beforehand what would count.
	mostLooked = 200_000
)

// taker takes one pack.
type taker struct {
	b       *Base
	ctx     context.Context
	opt     Taking
	receipt Receipt
	taken   Taken
	group   []*exchange.Batch
	size    int
	read    int
	touched map[Subject]bool // on which a shop speaks that is trusted in something
	shops   map[exchange.Key]*Shop
	looked  map[Subject][]sharedEntry
	kept    int // of looked
}

// Take takes what a pack holds. Next gives its parts, then io.EOF; any other error
// ends it, and what came before stays, for each batch stands for itself. What
// is signed badly is left out and told. What counts of it is for the trust in the
// shops to say. All is on disk when it returns without an error.
func (b *Base) Take(ctx context.Context, next func() (exchange.Item, error), opt Taking) (*Taken, error) {
	b.changing.Lock()
	defer b.changing.Unlock()
	if b.readOnly && !opt.Look {
		return nil, errReadOnly
	}
	t := &taker{b: b, ctx: ctx, opt: opt, touched: map[Subject]bool{}, shops: map[exchange.Key]*Shop{}, looked: map[Subject][]sharedEntry{}}
	if !opt.Look {
		var err error
		if t.receipt, err = b.nextReceipt(Receipt{Author: opt.Author, From: opt.From}); err != nil {
			return nil, err
		}
		t.taken.Receipt = t.receipt.Number
	}
	broken := t.all(next)
	if err := t.finish(); err != nil {
		return nil, errors.Join(err, broken)
	}
	return &t.taken, broken
}

func (t *taker) all(next func() (exchange.Item, error)) error {
	for {
		if err := t.ctx.Err(); err != nil {
			return err
		}
		item, err := next()
		switch {
		case errors.Is(err, io.EOF):
			return t.flush()
		case err != nil:
			return errors.Join(err, t.flush())
		}
		if err := t.item(item); err != nil {
			return err
		}
	}
}

func (t *taker) item(item exchange.Item) error {
	switch {
	case item.Refused != nil:
		t.refuse(item.Refused)
		return nil
	case item.Word != nil:
		return t.word(item.Word)
	}
	batch := item.Batch
	shop, why, err := t.may(batch)
	if err != nil {
		return err
	}
	if why != nil {
		t.refuse(why)
		return nil
	}
	t.taken.Batches++
	t.read += len(batch.Entries)
	if t.opt.Progress != nil {
		t.opt.Progress(t.read)
	}
	if slices.ContainsFunc(shop.Levels[:], func(l Level) bool { return l >= Trusted }) {
		t.touched[subjectOfShared(batch.Of)] = true
	}
	t.group = append(t.group, batch)
	for _, e := range batch.Entries {
		t.size += len(e.Text) + sharedHead
	}
	if t.size < groupBytes {
		return nil
	}
	return t.flush()
}

func (t *taker) refuse(why error) {
	t.receipt.Refused++
	if len(t.taken.Refused) < mostRefusals {
		t.taken.Refused = append(t.taken.Refused, why)
	} else {
		t.taken.More++
	}
}

// word takes what a shop says about its keys, after all that came before it.
func (t *taker) word(w *exchange.Word) error {
	if t.opt.Look {
		return nil
	}
	if err := t.flush(); err != nil {
		return err
	}
	said, err := t.b.hear(w)
	if said != "" {
		t.taken.Said = append(t.taken.Said, said)
		t.shops = map[exchange.Key]*Shop{}
	}
	return err
}

// may tells whether a batch may be taken, and if not, why.
func (t *taker) may(batch *exchange.Batch) (*Shop, error, error) {
	if err := checkSubject(batch.Of); err != nil {
		return nil, exchange.Refuse("X206", t.opt.From, err.Error()), nil
	}
	s := t.shops[batch.Signer.Shop]
	var gone *Revocation
	if err := t.b.kv.view(func(r reader) (err error) {
		if s == nil {
			var found Shop
			if found, err = shop(r, batch.Signer.Shop); err != nil {
				return err
			}
			s = &found
			t.shops[batch.Signer.Shop] = s
		}
		for _, key := range []exchange.Key{batch.Signer.Key, batch.Signer.Shop} {
			if gone == nil && err == nil {
				gone, err = t.b.revoked(r, batch.Signer.Shop, key)
			}
		}
		return err
	}); err != nil {
		return nil, nil, err
	}
	unknown := !slices.ContainsFunc(s.Levels[:], func(l Level) bool { return l > Unknown })
	switch {
	case gone != nil:
		return nil, exchange.Refuse("X208", t.opt.From, fmt.Sprintf("a batch on %s was signed with the key %s of %s, which was revoked; we heard of that on %s",
			batch.Of, gone.Key, batch.Signer, gone.Heard.Format(time.DateOnly))), nil
	case unknown && s.Entries+t.waiting(s.Key)+len(batch.Entries) > mostUnknown:
		return nil, exchange.Refuse("X212", t.opt.From, fmt.Sprintf("of %s, a shop that nobody here knows, %d entries are kept already", batch.Signer, s.Entries)), nil
	}
	return s, nil, nil
}

// waiting is how many entries of a shop are gathered and not written yet.
func (t *taker) waiting(shop exchange.Key) (n int) {
	for _, batch := range t.group {
		if batch.Signer.Shop == shop {
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
		for i, batch := range group {
			s := subjectOfShared(batch.Of)
			for _, e := range batch.Entries {
				absent, err := isAbsent(r, sharedKey(s, e.ID))
				if err != nil {
					return err
				}
				if absent {
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
	if shop.Level(exchange.KindOf(e.Text)) < Trusted {
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
	if t.taken.Adoptions, err = t.b.adoptAll(t.ctx, of, t.opt.Author); err != nil {
		return err
	}
	t.receipt.New, t.receipt.Known = t.taken.New, t.taken.Known
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
