package link

import (
	"context"
	"errors"
	"fmt"
	"testing"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nats.go/jetstream"

	"netlore/store"
)

// silent is a reader to which nothing is sent: the server that was to do it is down, and
// another of the cluster answers all else.
type silent struct{ jetstream.MessagesContext }

func (silent) Next(...jetstream.NextOpt) (jetstream.Msg, error) { return nil, context.DeadlineExceeded }

// unwanted is a reader that nobody is to read.
type unwanted struct {
	jetstream.MessagesContext
	t testing.TB
}

func (u unwanted) Next(...jetstream.NextOpt) (jetstream.Msg, error) {
	u.t.Error("it waits for what is not there")
	return nil, context.DeadlineExceeded
}

// TestNothingComes has nothing come of a log: an error while there is something on it, and
// none once that was taken out.
func TestNothingComes(t *testing.T) {
	t.Parallel()
	srv := serve(t, server.Options{JetStream: true, StoreDir: t.TempDir()})
	heron, wren := newBench(t, "Heron"), newBench(t, "Wren")
	heron.says("part C1 10uF")
	if err := heron.once(srv.ClientURL()); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what    string
		between func(s *session) error // looking at the log and reading it
		code    string
	}{
		{"the message is there", func(*session) error { return nil }, "X401"},
		{"it was taken out", func(s *session) error { return s.stream.DeleteMsg(t.Context(), 1) }, ""},
	} {
		address, err := ParseServer(srv.ClientURL(), Credentials{})
		if err != nil {
			t.Fatal(err)
		}
		s := session{server: address, bench: wren.link(), opt: wren.opt}
		if err := s.connected(t.Context(), func(ctx context.Context) error {
			if err := s.begin(ctx); err != nil {
				return err
			}
			if err := c.between(&s); err != nil {
				return err
			}
			return s.exchange(ctx, &incoming{from: silent{}, next: 1})
		}); CodeOf(err) != c.code {
			t.Errorf("%s: %v, want %q", c.what, err, c.code)
		}
	}
}

// TestGaps takes messages out of a log, as whoever runs the server may. They are waited
// for by nobody, and not counted.
func TestGaps(t *testing.T) {
	t.Parallel()
	srv := serve(t, server.Options{JetStream: true, StoreDir: t.TempDir()})
	heron, wren := newBench(t, "Heron"), newBench(t, "Wren")
	trusts(heron, wren)
	for i := range 6 {
		heron.says(fmt.Sprintf("part C%d 10uF", i))
	}
	if err := heron.once(srv.ClientURL()); err != nil {
		t.Fatal(err)
	}
	stream, err := newStranger(t, srv.ClientURL()).js.Stream(t.Context(), streamOf(DefaultLog))
	if err != nil {
		t.Fatal(err)
	}
	for _, seq := range []uint64{1, 3, 4, 6} {
		if err := stream.DeleteMsg(t.Context(), seq); err != nil {
			t.Fatal(err)
		}
	}
	address, err := ParseServer(srv.ClientURL(), Credentials{})
	if err != nil {
		t.Fatal(err)
	}
	holds, err := Look(t.Context(), address, DefaultLog)
	if err != nil {
		t.Fatal(err)
	}
	if holds.Server != srv.ClientURL() || holds.Messages != 2 {
		t.Errorf("%+v", holds)
	}
	for place, want := range []uint64{2, 2, 1, 1, 1, 0, 0, 0} {
		if got := holds.After(uint64(place)); got != want {
			t.Errorf("%d messages after place %d, want %d", got, place, want)
		}
	}
	if err := wren.once(srv.ClientURL()); err != nil {
		t.Fatal(err)
	}
	s := session{server: address, bench: wren.link(), opt: wren.opt}
	if err := s.connected(t.Context(), func(ctx context.Context) error {
		return errors.Join(s.begin(ctx), s.catchUp(ctx, &incoming{from: unwanted{nil, t}, next: 6}))
	}); err != nil {
		t.Error(err)
	}
	if got := wren.holds(); got[:2] != "2 " {
		t.Errorf("wren holds %s", got)
	}
	if n := count(wren, func(p Progress) bool { return p.Of != 2 || p.Done > 2 }); n > 0 {
		t.Errorf("%+v", wren.events)
	}
}

// TestBetween counts messages by their places.
func TestBetween(t *testing.T) {
	l := logState{first: 5, last: 12, gone: []uint64{7, 8, 11}}
	for _, c := range []struct{ after, last, want uint64 }{{0, 12, 5}, {0, 4, 0}, {4, 5, 1}, {5, 5, 0}, {6, 8, 0}, {6, 9, 1}, {10, 12, 1}, {12, 20, 0}, {9, 20, 2}, {20, 9, 0}} {
		if got := l.between(c.after, c.last); got != c.want {
			t.Errorf("after %d, up to %d: %d, want %d", c.after, c.last, got, c.want)
		}
	}
	if n := (&logState{}).between(0, 0); n != 0 {
		t.Errorf("an empty log has %d messages", n)
	}
	if l.has(store.LinkMark{Round: 1, Seq: 8}, 1) || !l.has(store.LinkMark{Round: 1, Seq: 9}, 1) {
		t.Error("it does not tell what is gone")
	}
}
