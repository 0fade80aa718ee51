package link

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"netlore/store"
	"netlore/store/exchange"
)

// chunkBytes is how much is read out of the base before it is put on the log.
const chunkBytes = 8 << 20

// aheadBytes is how much is put on the log before the server has said that it has it: a
// slow network must carry it within a server's patience.
const aheadBytes = 1 << 20

// ahead is how many of the first messages are sent ahead.
func ahead(all []outgoing) (n int) {
	for size := 0; n < len(all); n++ {
		if size += len(all[n].text); n > 0 && size > aheadBytes {
			break
		}
	}
	return n
}

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
	o := offering{s: s}
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
	marks    map[exchange.ID][]store.LinkMark // by batch
	whole    map[exchange.ID]bool             // batches of which the log has all
	known    map[exchange.Key]bool            // shops
	subjects []store.Subject                  // that were not looked through yet
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
	marks, err := base.LinkMarks(ctx, o.s.opt.Log)
	if err != nil {
		return err
	}
	o.marks, o.whole, o.known = map[exchange.ID][]store.LinkMark{}, map[exchange.ID]bool{}, map[exchange.Key]bool{}
	for _, m := range marks {
		o.marks[m.Batch] = append(o.marks[m.Batch], m)
		o.whole[m.Batch] = o.whole[m.Batch] || m.Whole && o.s.log.has(m, o.s.state.Round)
	}
	shops, err := base.Shops(ctx)
	if err != nil {
		return err
	}
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
		switch {
		case e.Withdrawn, o.whole[e.Batch]:
			return false
		case slices.Contains(offer.Keys, e.Shop):
			return mine && (e.Text == "" || slices.Contains(offer.Kinds, exchange.KindOf(e.Text)))
		}
		return others && o.known[e.Shop] && o.marks[e.Batch] != nil
	}
}

// out is a batch as a message, nil if it need not or may not be put on the log.
func (o *offering) out(b *exchange.Batch) (*outgoing, error) {
	offer := &o.s.bench.Offer
	own := slices.Contains(offer.Keys, b.Signer.Shop)
	if len(b.Entries)+len(b.Retracts) == 0 || own && b.Licence != offer.Licence {
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

// was reports whether the log once had what a message says: the very message, or all of
// its batch. Whoever holds more of a batch than was there holds it from its shop alone.
func (o *offering) was(m store.LinkMark) bool {
	return slices.ContainsFunc(o.marks[m.Batch], func(there store.LinkMark) bool { return there.Whole || there.Message == m.Message })
}

// has reports whether the log has a message.
func (o *offering) has(m store.LinkMark) bool {
	return slices.ContainsFunc(o.marks[m.Batch], func(there store.LinkMark) bool {
		return there.Message == m.Message && o.s.log.has(there, o.s.state.Round)
	})
}

// put puts messages on the log, and keeps in mind those of which the server says that it
// has them.
func (s *session) put(ctx context.Context, all []outgoing, sent *Sent) error {
	var marks []store.LinkMark
	acks := make([]jetstream.PubAckFuture, len(all))
	var failed error
	for i := range all {
		if acks[i], failed = s.publish(&all[i], true); failed != nil {
			break
		}
	}
	for i, ack := range acks {
		if ack == nil {
			break
		}
		seq, err := s.stored(ctx, &all[i], ack)
		if err != nil {
			failed = errors.Join(failed, err)
			continue
		}
		all[i].mark.Round, all[i].mark.Seq = s.state.Round, seq
		marks = append(marks, all[i].mark)
		s.log.last = max(s.log.last, seq)
		sent.Messages, sent.Entries = sent.Messages+1, sent.Entries+all[i].entries
	}
	if len(marks) == 0 {
		return failed
	}
	s.state.Sent += len(marks)
	kept := s.change(ctx, func(base *store.Base) error { return base.KeepLink(s.state, marks...) })
	return errors.Join(kept, failed)
}

// publish sends a message. Named says that the server may leave it out if one of the
// same hash was put there just before.
func (s *session) publish(out *outgoing, named bool) (jetstream.PubAckFuture, error) {
	m := nats.NewMsg(subjectOf(s.opt.Log))
	m.Data = out.text
	if int64(len(out.text)) > s.nc.MaxPayload() {
		return nil, nats.ErrMaxPayload
	}
	opts := []jetstream.PublishOpt{jetstream.WithExpectStream(streamOf(s.opt.Log)), jetstream.WithStallWait(s.opt.Patience)}
	if named {
		opts = append(opts, jetstream.WithMsgID(out.mark.Message.String()))
	}
	return s.js.PublishMsgAsync(m, opts...)
}

// stored waits for the word of the server that it has a message, and is the place of it.
// If it says that it had it before, that is looked at: anybody may have put something
// else there in its name.
func (s *session) stored(ctx context.Context, out *outgoing, ack jetstream.PubAckFuture) (uint64, error) {
	for again := false; ; again = true {
		var got *jetstream.PubAck
		select {
		case <-ctx.Done():
			return 0, ctx.Err()
		case err := <-ack.Err():
			return 0, err
		case got = <-ack.Ok():
		}
		if !got.Duplicate {
			return got.Sequence, nil
		}
		id, err := s.messageAt(ctx, got.Sequence)
		if err != nil || id == out.mark.Message {
			return got.Sequence, err
		}
		if again {
			return 0, fmt.Errorf("message %s was not kept", out.mark.Message)
		}
		if ack, err = s.publish(out, false); err != nil {
			return 0, err
		}
	}
}
