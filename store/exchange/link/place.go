package link

import (
	"context"
	"crypto/sha256"
	"errors"
	"math/rand/v2"
	"slices"
	"time"

	"github.com/nats-io/nats.go/jetstream"

	"netlore/store"
	"netlore/store/exchange"
)

// place works out from where on the log is to be read: where it was left, if it is the
// log that it was, and else from its beginning.
func (s *session) place(ctx context.Context) error {
	known := exchange.ID{}
	if err := s.change(ctx, func(base *store.Base) (err error) {
		if s.state, err = base.Link(s.opt.Log); err == nil {
			known, err = shopsKnown(ctx, base)
		}
		return err
	}); err != nil {
		return err
	}
	same, err := s.sameLog(ctx)
	if err != nil {
		return err
	}
	s.state.Server = s.nc.ConnectedUrlRedacted()
	if !same {
		if s.lost = !s.state.Made.IsZero(); s.lost && !s.opt.Once {
			s.others = time.Now().Add(rand.N(s.opt.Every))
		}
		s.state.Round++
		s.state.Made, s.state.Last, s.state.LastID = s.log.made, 0, exchange.ID{}
		s.state.Unread, s.state.UnreadBy = 0, ""
		s.leaveNothing()
	}
	if s.due(known) {
		s.goBack(s.state.Left)
		s.leaveNothing()
	}
	if s.state.Unread > 0 && s.state.UnreadBy != s.bench.Program {
		s.goBack(s.state.Unread)
		s.state.Unread, s.state.UnreadBy = 0, ""
	}
	return s.lookAgain(ctx)
}

// goBack has a message read again, and what comes after it.
func (s *session) goBack(seq uint64) {
	s.state.Last, s.state.LastID = min(s.state.Last, seq-1), exchange.ID{}
}

// leaveNothing forgets what was left for later: it is read again.
func (s *session) leaveNothing() {
	s.state.Left, s.state.LeftFor, s.state.LeftUntil = 0, exchange.ID{}, time.Time{}
}

// lookAgain goes back to what was taken out of the base since it was read.
func (s *session) lookAgain(ctx context.Context) error {
	if !s.again {
		return nil
	}
	s.again = false
	return s.change(ctx, func(base *store.Base) (err error) {
		s.state, err = base.LookAgain(ctx, s.state)
		return err
	})
}

// sameLog reports whether the log is the one that was read, and what was read last
// is still there. A server may have been set back to an older copy of the log, and
// others may have written there since.
func (s *session) sameLog(ctx context.Context) (bool, error) {
	st := s.state
	switch {
	case !st.Made.Equal(s.log.made) || st.Last > s.log.last:
		return false, nil
	case st.LastID == exchange.ID{} || st.Last < s.log.first:
		return true, nil
	}
	id, err := s.messageAt(ctx, st.Last)
	return id == st.LastID, err
}

// messageAt is the hash of the message at a place of the log, nothing if there is none.
func (s *session) messageAt(ctx context.Context, seq uint64) (exchange.ID, error) {
	asked, stop := s.asked(ctx)
	defer stop()
	m, err := s.stream.GetMsg(asked, seq)
	if errors.Is(err, jetstream.ErrMsgNotFound) {
		return exchange.ID{}, nil
	}
	if err != nil {
		return exchange.ID{}, err
	}
	return sum(m.Data), nil
}

// due reports whether what was left for later can be taken now: another shop is known,
// or the clock has gone on.
func (s *session) due(known exchange.ID) bool {
	st := s.state
	later := !st.LeftUntil.IsZero() && !s.bench.Now().Before(st.LeftUntil)
	return st.Left > 0 && (later || st.LeftFor != exchange.ID{} && st.LeftFor != known)
}

// errBack ends a session because it is time to go back to what was left for later.
var errBack = errors.New("what was left for later can be taken now")

// shopsKnown is a hash of which shops are known here.
func shopsKnown(ctx context.Context, base *store.Base) (exchange.ID, error) {
	shops, err := base.Shops(ctx)
	if err != nil {
		return exchange.ID{}, err
	}
	var keys []string
	for _, s := range shops {
		if !s.Stranger() {
			keys = append(keys, string(s.Key[:]))
		}
	}
	slices.Sort(keys)
	hash := sha256.New()
	for _, k := range keys {
		hash.Write([]byte(k))
	}
	return exchange.ID(hash.Sum(nil)), nil
}
