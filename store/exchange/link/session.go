package link

import (
	"context"
	"errors"
	"slices"
	"sync/atomic"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"netlore/query/diag"
	"netlore/store"
)

// session is one connection to the log, from its beginning to a cut.
type session struct {
	server *Server
	bench  Bench
	opt    Options

	nc     *nats.Conn
	js     jetstream.JetStream
	stream jetstream.Stream
	denied atomic.Pointer[error] // what the server has said apart from any answer
	state  store.LinkState
	lost   bool
	log    logState
	others time.Time // when what others have said is put there again
	gotOn  bool      // something came of it
	again  bool      // what was taken out of the base since is to be taken again
}

// logState is what the server said last of the log.
type logState struct {
	made        time.Time
	first, last uint64
	gone        []uint64 // places between of messages that were taken out, in order
}

// has reports whether a message is still where it was.
func (l *logState) has(m store.LinkMark, round uint64) bool {
	_, gone := slices.BinarySearch(l.gone, m.Seq)
	return m.Round == round && m.Seq >= l.first && m.Seq <= l.last && !gone
}

// between is how many messages there are after one place, up to another.
func (l *logState) between(after, last uint64) uint64 {
	after, last = max(after+1, l.first)-1, min(last, l.last)
	if after >= last {
		return 0
	}
	upTo := func(place uint64) int {
		n, _ := slices.BinarySearch(l.gone, place+1)
		return n
	}
	return last - after - uint64(upTo(last)-upTo(after))
}

// run is the whole of a session. It returns nil once all is done that was to be done
// once, and else what cut it short.
func (s *session) run(ctx context.Context) error { return s.connected(ctx, s.linked) }

// connected connects, and does something for as long as the connection holds.
func (s *session) connected(ctx context.Context, do func(context.Context) error) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	nc, err := s.server.connect(ctx, s.opt.Patience, func(err error) {
		if errors.Is(err, nats.ErrPermissionViolation) { // no answer will come
			s.denied.Store(&err)
			stop()
		}
	})
	if err != nil {
		return err
	}
	defer nc.Close()
	s.nc = nc
	if s.js, err = jetstream.New(nc, jetstream.WithDefaultTimeout(s.opt.Patience), jetstream.WithPublishAsyncTimeout(s.opt.Patience)); err != nil {
		return err
	}
	return s.worded(do(ctx))
}

// worded words an error of the server, if it is one.
func (s *session) worded(err error) error {
	var denied error
	if p := s.denied.Load(); p != nil {
		denied = *p
	}
	return s.server.failed(s.opt.Log, err, denied)
}

// isOurs reports whether an error is none of the server's.
func isOurs(err error) bool {
	var d diag.Diagnostic
	var ours baseError
	return errors.As(err, &d) || errors.As(err, &ours) || errors.Is(err, context.Canceled)
}

// baseError is an error of our own base, and no news of the server.
type baseError struct{ error }

func (e baseError) Unwrap() error { return e.error }

// change opens the base.
func (s *session) change(ctx context.Context, do func(*store.Base) error) error {
	if err := s.bench.Change(ctx, do); err != nil {
		return baseError{err}
	}
	return nil
}

// asked is a context for one question to the server.
func (s *session) asked(ctx context.Context) (context.Context, context.CancelFunc) {
	return context.WithTimeout(ctx, s.opt.Patience)
}

func (s *session) linked(ctx context.Context) error {
	if err := s.begin(ctx); err != nil {
		return err
	}
	in, err := s.open(ctx)
	if err != nil {
		return err
	}
	defer in.close()
	for {
		err := s.exchange(ctx, in)
		if CodeOf(err) == codeFull && !s.opt.Once { // what comes in is read all the same
			s.bench.Tell(Trouble{err, s.opt.Every})
			err = nil
		}
		if err != nil || s.opt.Once {
			return err
		}
		if err := s.listen(ctx, in, s.opt.Every); err != nil {
			return err
		}
	}
}

// exchange takes what is new on the log, and gives what it lacks.
func (s *session) exchange(ctx context.Context, in *incoming) error {
	if err := s.catchUp(ctx, in); err != nil {
		return err
	}
	if err := s.offer(ctx, in); err != nil {
		return s.worded(err)
	}
	if err := s.catchUp(ctx, in); err != nil { // to behind what was put there
		return err
	}
	return s.upToDate(ctx)
}

// upToDate keeps in mind, and tells, that both sides have all.
func (s *session) upToDate(ctx context.Context) error {
	s.gotOn, s.state.Heard = true, s.bench.Now()
	if err := s.change(ctx, func(base *store.Base) error { return base.KeepLink(s.state) }); err != nil {
		return err
	}
	s.bench.Tell(UpToDate{s.state})
	return nil
}

// begin looks up the log and works out from where on it is to be read.
func (s *session) begin(ctx context.Context) (err error) {
	asked, stop := s.asked(ctx)
	defer stop()
	var made bool
	if s.stream, made, err = openLog(asked, s.js, s.opt.Log); err != nil {
		return err
	}
	info, err := s.look(ctx)
	if err != nil {
		return err
	}
	if err := s.place(ctx); err != nil {
		return err
	}
	s.bench.Tell(Connected{Server: s.nc.ConnectedUrlRedacted(), Log: s.opt.Log, Made: made, Lost: s.lost,
		Messages: info.State.Msgs, Bytes: info.State.Bytes, Copies: info.Config.Replicas})
	return nil
}

// look asks what the log holds.
func (s *session) look(ctx context.Context) (*jetstream.StreamInfo, error) {
	asked, stop := s.asked(ctx)
	defer stop()
	info, err := s.stream.Info(asked, jetstream.WithDeletedDetails(true))
	if err != nil {
		return nil, err
	}
	s.log = logState{info.Created, info.State.FirstSeq, info.State.LastSeq, slices.Sorted(slices.Values(info.State.Deleted))}
	return info, nil
}
