package link

import (
	"context"
	"errors"
	"fmt"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"netlore/store"
)

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
