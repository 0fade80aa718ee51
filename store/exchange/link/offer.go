package link

import (
	"bytes"
	"context"
	"errors"
	"math/rand/v2"
	"slices"
	"time"

	"github.com/nats-io/nats.go/jetstream"

	"netlore/store"
	"netlore/store/exchange"
)

// chunkBytes is how much is read out of the base before it is put on the log.
const chunkBytes = 8 << 20

// outgoing is a message that the log lacks.
type outgoing struct {
	mark    store.LinkMark // but for its place
	text    []byte
	entries int
}

// offer puts on the log what it lacks: what the bench has signed itself, and what was
// on the log before and is no more. Other benches may be at the same, so before each
// portion what they have put there is taken.
func (s *session) offer(ctx context.Context, in *incoming) error {
	if err := s.stillSame(ctx); err != nil {
		return err
	}
	o := offering{s: s, home: map[string]int{}}
	if err := s.change(ctx, func(base *store.Base) error { return o.begin(ctx, base) }); err != nil {
		return err
	}
	some, err := o.words()
	sent := Sent{}
	for err == nil && (len(some) > 0 || len(o.subjects) > 0) {
		n := ahead(some)
		if err = s.portion(ctx, in, some[:n], &sent); err != nil {
			break
		}
		if some = some[n:]; len(some) == 0 && len(o.subjects) > 0 {
			err = s.change(ctx, func(base *store.Base) (err error) {
				some, err = o.chunk(ctx, base)
				return err
			})
		}
	}
	if sent.Messages > 0 {
		s.bench.Tell(sent)
	}
	if err == nil && s.bench.Offer.Licence != "" {
		s.bench.Tell(Home{o.home})
	}
	return err
}

// portion puts on the log what of some messages it still lacks.
func (s *session) portion(ctx context.Context, in *incoming, some []outgoing, sent *Sent) error {
	if len(some) == 0 {
		return nil
	}
	if err := s.drain(ctx, in); err != nil {
		return err
	}
	if err := s.change(ctx, func(base *store.Base) (err error) {
		some = slices.DeleteFunc(some, func(out outgoing) bool {
			there, found, failed := base.Marked(s.opt.Log, out.mark.Batch, out.mark.Message)
			err = errors.Join(err, failed)
			return found && s.log.has(there, s.state.Round)
		})
		return err
	}); err != nil {
		return err
	}
	return s.put(ctx, some, sent)
}

// stillSame looks again what the log holds, and whether it is the same one.
func (s *session) stillSame(ctx context.Context) error {
	if _, err := s.look(ctx); err != nil {
		return err
	}
	same, err := s.sameLog(ctx)
	if err == nil && !same {
		err = jetstream.ErrStreamNotFound
	}
	return err
}

// offering finds what the log lacks.
type offering struct {
	s        *session
	marks    []store.LinkMark      // in order of the batches: there may be many
	known    map[exchange.Key]bool // shops
	subjects []store.Subject       // that were not looked through yet
	home     map[string]int        // see Home

	// Of the subject that is looked through: batches of which the log has all or not, what
	// the shop says that is on the log, or goes there, and what it says under another
	// licence.
	whole map[exchange.ID]bool
	there map[string]bool
	other map[string]string
}

func (o *offering) begin(ctx context.Context, base *store.Base) error {
	if sign := o.s.bench.Offer.Sign; sign != nil {
		if err := sign(ctx, base); err != nil {
			return err
		}
	}
	known, err := shopsKnown(ctx, base)
	if err == nil && o.s.due(known) {
		err = errBack
	}
	if err != nil {
		return err
	}
	if o.marks, err = base.LinkMarks(ctx, o.s.opt.Log); err != nil {
		return err
	}
	shops, err := base.Shops(ctx)
	if err != nil {
		return err
	}
	o.known = map[exchange.Key]bool{}
	for _, shop := range shops {
		o.known[shop.Key] = !shop.Stranger()
	}
	o.subjects, err = base.SharedSubjects(ctx)
	rand.Shuffle(len(o.subjects), func(i, j int) { o.subjects[i], o.subjects[j] = o.subjects[j], o.subjects[i] }) // not all benches the same first
	return err
}

// words are what the shop has said about its keys and the log lacks.
func (o *offering) words() (all []outgoing, err error) {
	for _, w := range o.s.bench.Offer.Words {
		text, err := encodeWord(w)
		if err != nil {
			return nil, err
		}
		out := outgoing{mark: store.LinkMark{Batch: sum(w.Text()), Message: sum(text), Whole: true}, text: text}
		if !o.has(out.mark) {
			all = append(all, out)
		}
	}
	return all, nil
}

// chunk is some of what the log lacks, of the subjects that are left.
func (o *offering) chunk(ctx context.Context, base *store.Base) (all []outgoing, err error) {
	for size := 0; len(o.subjects) > 0 && size < chunkBytes; o.subjects = o.subjects[1:] {
		of := o.subjects[0]
		o.whole, o.there, o.other = map[exchange.ID]bool{}, map[string]bool{}, map[string]string{}
		if err := base.Signed(ctx, of, o.may(of), func(b *exchange.Batch) error {
			out, err := o.out(b)
			if err == nil && out != nil {
				all = append(all, *out)
				size += len(out.text)
			}
			return err
		}); err != nil {
			return nil, err
		}
		for text, licence := range o.other {
			if !o.there[text] {
				o.home[licence]++
			}
		}
	}
	return all, nil
}

// may says which entries on a subject may be put on the log: what this bench shares
// of its own, and what was there before, of shops that are known here, unless its shop
// has withdrawn it. What others have said waits until they have had time to put it there
// again themselves. What is shared of its own it says anew each time: that some of a
// batch is on the log does not say that all of it may be.
func (o *offering) may(of store.Subject) func(store.SignedEntry) bool {
	offer := &o.s.bench.Offer
	others := !time.Now().Before(o.s.others)
	mine := offer.Licence != "" && (offer.Of == nil || offer.Of(of))
	return func(e store.SignedEntry) bool {
		own := slices.Contains(offer.Keys, e.Shop)
		switch {
		case e.Withdrawn || e.Lapsed:
			return false
		case o.hasAll(e.Batch):
			if own {
				o.there[e.Text] = true
			}
			return false
		case own:
			return mine && (e.Text == "" || slices.Contains(offer.Kinds, exchange.KindOf(e.Text)))
		}
		return others && o.known[e.Shop] && len(o.marksOf(e.Batch)) > 0
	}
}

// out is a batch as a message, nil if it need not or may not be put on the log.
func (o *offering) out(b *exchange.Batch) (*outgoing, error) {
	own := slices.Contains(o.s.bench.Offer.Keys, b.Signer.Shop)
	if own && !o.licensed(b) || len(b.Entries)+len(b.Retracts) == 0 {
		return nil, nil
	}
	text, err := encode(b)
	if err != nil {
		return nil, err
	}
	out := &outgoing{store.LinkMark{Batch: b.Hash(), Message: sum(text), Whole: b.Whole()}, text, len(b.Entries)}
	if o.has(out.mark) || !own && !o.was(out.mark) {
		return nil, nil
	}
	return out, nil
}

// licensed reports whether a batch of one's own is shared under the licence that the bench
// is linked under, and notes what is in it.
func (o *offering) licensed(b *exchange.Batch) bool {
	licensed := b.Licence == o.s.bench.Offer.Licence
	for _, e := range b.Entries {
		if licensed {
			o.there[e.Text] = true
		} else {
			o.other[e.Text] = b.Licence
		}
	}
	return licensed
}

// was reports whether the log once had what a message says: the very message, or all of
// its batch. Whoever holds more of a batch than was there holds it from its shop alone.
func (o *offering) was(m store.LinkMark) bool {
	return slices.ContainsFunc(o.marksOf(m.Batch), func(there store.LinkMark) bool { return there.Whole || there.Message == m.Message })
}

// marksOf are the messages that carry a batch, or some of it.
func (o *offering) marksOf(batch exchange.ID) []store.LinkMark {
	from, _ := slices.BinarySearchFunc(o.marks, batch, func(m store.LinkMark, id exchange.ID) int { return bytes.Compare(m.Batch[:], id[:]) })
	to := from
	for to < len(o.marks) && o.marks[to].Batch == batch {
		to++
	}
	return o.marks[from:to]
}

// hasAll reports whether the log has all of a batch.
func (o *offering) hasAll(batch exchange.ID) bool {
	whole, looked := o.whole[batch]
	if !looked {
		whole = slices.ContainsFunc(o.marksOf(batch), func(m store.LinkMark) bool { return m.Whole && o.s.log.has(m, o.s.state.Round) })
		o.whole[batch] = whole
	}
	return whole
}

// has reports whether the log has a message.
func (o *offering) has(m store.LinkMark) bool {
	return slices.ContainsFunc(o.marksOf(m.Batch), func(there store.LinkMark) bool {
		return there.Message == m.Message && o.s.log.has(there, o.s.state.Round)
	})
}
