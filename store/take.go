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
	// Own, while it is only looked, is the key of this shop: what it says is told of as if
	// it was trusted as such, unless it is trusted otherwise already.
	Own  exchange.Key
	Into uint64 // receipt to go on with, if it is of the same name and day and was not undone
	// Sparing leaves batches alone that are held already, whatever became of the
	// keys they were signed with, and writes nothing if nothing is new.
	Sparing bool
	// Again works out anew what counts of batches that are left alone, too: what a
	// run that was cut short has kept may not count yet.
	Again bool
	// Progress, when set, is told how many entries have been read.
	Progress func(entries int)
	// Refused, when set, is told of each batch that is not taken, and why.
	Refused func(*exchange.Batch, error)
}

// Taken is what a pack came to, or would come to.
type Taken struct {
	Receipt   uint64 // by which it can be undone; 0 if nothing was written
	Batches   int
	New       int // entries that were not known
	Known     int // entries that were
	Shops     []TakenFrom
	Further   int      // entries of shops for which there is no room in Shops
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
	groupBytes = 3 << 20
	// mostRefusals is how many refusals are told one by one.
	mostRefusals = 20
	// mostLooked bounds what is held in memory to tell beforehand what would count.
	mostLooked      = 200_000
	mostLookedBytes = 32 << 20
)

var (
	// mostUnknown is how many entries are kept of a shop that nobody here knows, or listed
	// by what is kept of its manifests: more than a large board has.
	mostUnknown = 100_000
	// mostOfStrangers is how many are kept of all such shops together: a key costs
	// nothing.
	mostOfStrangers = 500_000
	// mostSaid is how many shops are told of one by one, and how many things that they
	// say of their keys.
	mostSaid = 1000
	// mostWords is how many keys that shops that nobody here knows have revoked, or taken in
	// place of others, are kept in mind: each pack of a shop says it again.
	mostWords = 100_000
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
	touched map[Subject]bool // on which a shop speaks that can count in something
	shops   map[exchange.Key]*Shop
	looked  map[Subject][]sharedEntry
	kept    int                  // of looked
	bytes   int                  // of these
	seen    map[exchange.ID]bool // that would be new, while it is only looked at

	strangers int  // entries that are kept of shops that nobody here knows
	words     int  // keys that such shops have taken, and have revoked, or more
	revoked   bool // the latter are counted
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
	t := &taker{b: b, ctx: ctx, opt: opt, touched: map[Subject]bool{}, shops: map[exchange.Key]*Shop{}, looked: map[Subject][]sharedEntry{}, seen: map[exchange.ID]bool{}}
	if err := t.countStrangers(); err != nil {
		return nil, err
	}
	if !opt.Sparing {
		if err := t.begin(); err != nil {
			return nil, err
		}
	}
	broken := t.all(next)
	if err := t.finish(); err != nil {
		return nil, errors.Join(err, broken)
	}
	return &t.taken, broken
}

// begin begins the receipt.
func (t *taker) begin() (err error) {
	if t.opt.Look || t.receipt.Number > 0 {
		return nil
	}
	refused := t.receipt.Refused
	t.receipt, err = t.b.receiptFor(t.opt)
	t.receipt.Refused += refused
	t.taken.Receipt = t.receipt.Number
	return err
}

// spared reports whether a batch is left alone because it is held already.
func (t *taker) spared(batch *exchange.Batch) (held bool, err error) {
	if !t.opt.Sparing {
		return false, nil
	}
	err = t.b.kv.view(func(r reader) error {
		held, err = holdsAll(r, batch)
		return err
	})
	if held && err == nil {
		t.taken.Known += len(batch.Entries)
		if t.opt.Again {
			t.touched[subjectOfShared(batch.Of)] = true
		}
	}
	return held, err
}

// Stranger reports whether nobody here knows a shop.
func (s *Shop) Stranger() bool {
	return !slices.ContainsFunc(s.Levels[:], func(l Level) bool { return l > Unknown })
}

func (t *taker) countStrangers() error {
	shops, err := t.b.Shops(t.ctx)
	for i := range shops {
		if shops[i].Stranger() {
			t.strangers += shops[i].kept()
			if shops[i].Was.Known() {
				t.words++
			}
		}
	}
	return err
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
	if len(batch.Entries)+len(batch.Retracts) == 0 {
		return nil // a manifest alone says nothing
	}
	if held, err := t.spared(batch); err != nil || held {
		return err
	}
	shop, why, err := t.may(batch)
	if err != nil {
		return err
	}
	if why != nil {
		t.refuse(why)
		if t.opt.Refused != nil {
			t.opt.Refused(batch, why)
		}
		return nil
	}
	t.taken.Batches++
	t.read += len(batch.Entries)
	if t.opt.Progress != nil {
		t.opt.Progress(t.read)
	}
	if slices.ContainsFunc(exchange.Kinds(), shop.heeded) {
		t.touched[subjectOfShared(batch.Of)] = true
	}
	return t.gather(batch)
}

// gather puts a batch to those that are written together.
func (t *taker) gather(batch *exchange.Batch) error {
	t.group = append(t.group, batch)
	t.size += len(batch.Signed) + len(batch.Signature)
	for _, e := range batch.Entries {
		t.size += len(e.Text) + sharedHead
	}
	if t.size < groupBytes {
		return nil
	}
	return t.flush()
}

// refuse notes what is not taken. The same complaint about many batches is told once.
func (t *taker) refuse(why error) {
	t.receipt.Refused++
	told := slices.ContainsFunc(t.taken.Refused, func(before error) bool { return before.Error() == why.Error() })
	if !told && len(t.taken.Refused) < mostRefusals {
		t.taken.Refused = append(t.taken.Refused, why)
	} else {
		t.taken.More++
	}
}

// may tells whether a batch may be taken, and if not, why.
func (t *taker) may(batch *exchange.Batch) (*Shop, error, error) {
	if err := checkSubject(batch.Of); err != nil {
		return nil, exchange.Refuse("X206", t.opt.From, err.Error()), nil
	}
	s := t.shops[batch.Signer.Shop]
	var gone *Revocation
	unheard := false
	if err := t.b.kv.view(func(r reader) (err error) {
		if s == nil {
			var found Shop
			if found, err = shop(r, batch.Signer.Shop); err != nil {
				return err
			}
			if t.opt.Look && found.Key == t.opt.Own && found.Stranger() {
				found.believe(Own)
			}
			s = &found
			t.shops[batch.Signer.Shop] = s
		}
		if unheard, err = isAbsent(r, manifestKey(batch.Hash())); err != nil {
			return err
		}
		gone, err = revokedSigner(r, batch.Signer)
		return err
	}); err != nil {
		return nil, nil, err
	}
	switch {
	case gone != nil:
		return nil, exchange.Refuse("X208", t.opt.From, fmt.Sprintf("a batch on %s was signed with the key %s of %s, which was revoked; we heard of that on %s",
			batch.Of, gone.Key, batch.Signer, gone.Heard.Format(time.DateOnly))), nil
	case !unheard || !s.Stranger():
	case s.kept()+t.waiting(s)+listedBy(batch) > mostUnknown:
		return nil, exchange.Refuse("X212", t.opt.From, fmt.Sprintf("of %s, a shop that nobody here knows, no more than %d entries are kept; trust it first, then take the pack again", batch.Signer, mostUnknown)), nil
	case t.strangers+t.waiting(nil)+listedBy(batch) > mostOfStrangers:
		return nil, exchange.Refuse("X212", t.opt.From, fmt.Sprintf("of all shops that nobody here knows, no more than %d entries are kept, so not all of %s", mostOfStrangers, batch.Signer)), nil
	}
	return s, nil, nil
}
