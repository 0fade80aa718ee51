package link

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/nats-io/nats.go/jetstream"
)

const (
	// windowBytes is how much is read before it is taken: the base is open for that
	// long, and what is taken is put together with what is held once for each.
	windowBytes = 4 << 20
	// pulledBytes is how much the server sends ahead.
	pulledBytes = 4 << 20
)

// received is one message as it came.
type received struct {
	seq  uint64
	text []byte
}

// incoming reads the log from one place on.
type incoming struct {
	from  jetstream.MessagesContext
	count uint64 // of messages, by which one that got lost is found out
	next  uint64 // the place that has not been read yet
}

// open begins to read the log after what was read last. The server keeps nothing in mind
// of who reads beyond the connection: the place is in our own base.
func (s *session) open(ctx context.Context) (*incoming, error) {
	asked, stop := s.asked(ctx)
	defer stop()
	consumer, err := s.stream.CreateConsumer(asked, jetstream.ConsumerConfig{AckPolicy: jetstream.AckNonePolicy, MemoryStorage: true, Replicas: 1,
		DeliverPolicy: jetstream.DeliverByStartSequencePolicy, OptStartSeq: s.state.Last + 1, InactiveThreshold: 5 * time.Minute})
	if err != nil {
		return nil, err
	}
	from, err := consumer.Messages(jetstream.PullMaxBytes(pulledBytes), jetstream.PullExpiry(max(time.Second, 2*s.opt.Patience)), jetstream.PullHeartbeat(max(500*time.Millisecond, s.opt.Patience/2)))
	return &incoming{from: from, next: s.state.Last + 1}, err
}

func (in *incoming) close() { in.from.Stop() }

// window reads messages until there are none left, or so many bytes at most. For the first one
// it waits until the time is over: then there are none. What was read comes with an error, too.
func (in *incoming) window(ctx context.Context, first time.Duration, most int) (all []received, err error) {
	waiting, stop := context.WithTimeout(ctx, first)
	defer stop()
	for size := 0; size < most; {
		m, err := in.from.Next(jetstream.NextContext(waiting))
		if errors.Is(err, context.DeadlineExceeded) && ctx.Err() == nil && len(all) == 0 {
			return nil, nil
		}
		if err != nil {
			return all, err
		}
		meta, err := m.Metadata()
		if err != nil {
			return all, err
		}
		if in.count++; meta.Sequence.Consumer != in.count {
			return all, fmt.Errorf("a message was lost on the way: %w", context.DeadlineExceeded)
		}
		all = append(all, received{meta.Sequence.Stream, m.Data()})
		in.next = meta.Sequence.Stream + 1
		if size += len(m.Data()); meta.NumPending == 0 {
			break
		}
		if len(all) == 1 {
			stop()
			waiting, stop = context.WithCancel(ctx)
			defer stop()
		}
	}
	return all, nil
}

// next takes a window of messages, and is how many there were.
func (s *session) next(ctx context.Context, in *incoming, first time.Duration) (int, error) {
	some, err := in.window(ctx, first, s.opt.window)
	if len(some) > 0 {
		err = errors.Join(s.take(ctx, some), err)
	}
	return len(some), err
}

// catchUp reads the log to the end that it had when it was last looked at.
func (s *session) catchUp(ctx context.Context, in *incoming) error {
	from, end := s.state.Last, s.log.last
	all := s.log.between(from, end)
	for s.log.between(in.next-1, end) > 0 {
		n, err := s.next(ctx, in, s.opt.Patience)
		if err == nil && n == 0 {
			err = s.nothingCame(ctx, in.next, end)
		}
		if err != nil {
			return err
		}
		s.bench.Tell(Progress{all - s.log.between(s.state.Last, end), all})
	}
	return nil
}

// nothingCame looks why no message came of some that are wanted: they may have been
// taken out of the log meanwhile. If they are there still, whoever was to send them is
// not: in a cluster that can be another server than the one that tells of the log.
func (s *session) nothingCame(ctx context.Context, next, end uint64) error {
	if _, err := s.look(ctx); err != nil {
		return err
	}
	if n := s.log.between(next-1, end); n > 0 {
		return fmt.Errorf("%d messages of the log do not come: %w", n, context.DeadlineExceeded)
	}
	return nil
}

// drain takes what has come in already.
func (s *session) drain(ctx context.Context, in *incoming) error {
	for {
		if n, err := s.next(ctx, in, time.Millisecond); err != nil || n == 0 {
			return err
		}
	}
}

// listen takes what comes in, for some time.
func (s *session) listen(ctx context.Context, in *incoming, long time.Duration) error {
	for end := time.Now().Add(long); ; {
		left := time.Until(end)
		if left <= 0 {
			return nil
		}
		if _, err := s.next(ctx, in, left); err != nil {
			return err
		}
	}
}
