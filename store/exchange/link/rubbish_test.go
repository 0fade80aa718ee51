package link

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"netlore/store/exchange"
)

// stranger writes to a log whatever it likes.
type stranger struct {
	t  testing.TB
	nc *nats.Conn
	js jetstream.JetStream
}

func newStranger(t testing.TB, url string) *stranger {
	t.Helper()
	s := &stranger{t: t}
	until(t, "a server that lets a stranger in", func() (ok bool) {
		nc, err := nats.Connect(url)
		s.nc = nc
		return err == nil
	})
	t.Cleanup(s.nc.Close)
	var err error
	if s.js, err = jetstream.New(s.nc); err != nil {
		t.Fatal(err)
	}
	return s
}

// puts puts a message on the log, in the name of another if one is given.
func (s *stranger) puts(text []byte, id string) {
	s.t.Helper()
	m := nats.NewMsg(subjectOf(DefaultLog))
	m.Data = text
	if id != "" {
		m.Header.Set(jetstream.MsgIDHeader, id)
	}
	until(s.t, "the log to take a message of a stranger", func() bool {
		_, err := s.js.PublishMsg(s.t.Context(), m)
		return err == nil
	})
}

// everything is all messages of the log.
func (s *stranger) everything() (all [][]byte) {
	s.t.Helper()
	until(s.t, "all messages of the log", func() bool {
		all = nil
		stream, err := s.js.Stream(s.t.Context(), streamOf(DefaultLog))
		if err != nil {
			return false
		}
		info := stream.CachedInfo()
		for seq := info.State.FirstSeq; seq <= info.State.LastSeq; seq++ {
			m, err := stream.GetMsg(s.t.Context(), seq)
			if errors.Is(err, jetstream.ErrMsgNotFound) {
				continue
			}
			if err != nil {
				return false
			}
			all = append(all, m.Data)
		}
		return true
	})
	return all
}

// sendRubbish sends what is no message, what was changed on the way, and what nobody
// has signed, and takes the name of a message that another bench is about to send.
func sendRubbish(t testing.TB, url string, victim *bench) {
	t.Helper()
	s := newStranger(t, url)
	s.puts([]byte("hello"), "")
	s.puts(nil, "")
	s.puts(bytes.Repeat([]byte("x"), MostBytes), "")
	for _, text := range s.everything() {
		if m, err := parse(text); err == nil && len(m.parts) == partsOf {
			s.puts(bytes.Replace(text, []byte("10uF"), []byte("99uF"), 1), "")
			s.puts(text[:len(text)-1], "")
			break
		}
	}
	var text []byte
	victim.mu.Lock()
	batches, err := victim.identity.Batches(exchange.About{Of: wrenSubject.String(), Licence: "CC0-1.0"}, []string{"part C900 10uF\n"}, nil, victim.now())
	victim.mu.Unlock()
	if err == nil {
		text, err = encode(batches[0])
	}
	if err != nil {
		t.Fatal(err)
	}
	s.puts([]byte("in its name"), sum(text).String())
}

// replay puts all that is on the log there once more.
func replay(t testing.TB, url string) {
	t.Helper()
	s := newStranger(t, url)
	for _, text := range s.everything() {
		s.puts(text, "")
	}
}

// TestRubbish sends rubbish of each sort, which is told once and does no harm.
func TestRubbish(t *testing.T) {
	t.Parallel()
	srv := serve(t, server.Options{JetStream: true, StoreDir: t.TempDir()})
	heron, wren := newBench(t, "Heron"), newBench(t, "Wren")
	trusts(heron, wren)
	heron.says("part C1 10uF")
	if err := heron.once(srv.ClientURL()); err != nil {
		t.Fatal(err)
	}
	sendRubbish(t, srv.ClientURL(), heron)
	if err := wren.once(srv.ClientURL()); err != nil {
		t.Fatal(err)
	}
	agree(t, 1, heron, wren)
	if got, want := wren.refusals(), []string{"X206", "X407"}; !slices.Equal(got, want) {
		t.Errorf("refused for %v, want %v", got, want)
	}
}

// TestNewerProgram goes back to what could not be read once another program reads, and only
// then.
func TestNewerProgram(t *testing.T) {
	t.Parallel()
	srv := serve(t, server.Options{JetStream: true, StoreDir: t.TempDir()})
	wren := newBench(t, "Wren")
	if err := wren.once(srv.ClientURL()); err != nil { // makes the log
		t.Fatal(err)
	}
	s := newStranger(t, srv.ClientURL())
	s.puts([]byte("netlore message 2\nbatch of a day to come\n"), "")
	s.puts([]byte("netlore message 2\nanother\n"), "")
	for _, c := range []struct {
		program string
		told    bool
	}{{"v1.0.0", true}, {"v1.0.0", false}, {"v1.1.0", true}, {"v1.1.0", false}} {
		wren.program, wren.events = c.program, nil
		if err := wren.once(srv.ClientURL()); err != nil {
			t.Fatal(err)
		}
		if got := len(wren.refusals()) > 0; got != c.told {
			t.Errorf("%s: refused %v, want %v", c.program, got, c.told)
		}
		state, err := wren.base.Link(DefaultLog)
		if err != nil || state.Unread != 1 || state.UnreadBy != c.program || state.Last != 2 {
			t.Errorf("%s: %+v, %v", c.program, state, err)
		}
	}
}

// TestNameTaken puts something else on the log under the name of a message that a bench
// is about to put there, for which the server then says that it has it already.
func TestNameTaken(t *testing.T) {
	t.Parallel()
	srv := serve(t, server.Options{JetStream: true, StoreDir: t.TempDir()})
	heron, wren := newBench(t, "Heron"), newBench(t, "Wren")
	trusts(heron, wren)
	if err := wren.once(srv.ClientURL()); err != nil { // makes the log
		t.Fatal(err)
	}
	text, err := encode(heron.says("part C1 10uF")[0])
	if err != nil {
		t.Fatal(err)
	}
	newStranger(t, srv.ClientURL()).puts([]byte("not this"), sum(text).String())
	for _, b := range []*bench{heron, wren} {
		if err := b.once(srv.ClientURL()); err != nil {
			t.Fatal(err)
		}
	}
	agree(t, 1, heron, wren)
}

// TestReplay puts old messages on the log once more: a statement that was withdrawn
// stays so.
func TestReplay(t *testing.T) {
	t.Parallel()
	srv := serve(t, server.Options{JetStream: true, StoreDir: t.TempDir()})
	heron, wren := newBench(t, "Heron"), newBench(t, "Wren")
	trusts(heron, wren)
	heron.says("part C1 10uF", "part C2 1uF")
	run := func() {
		t.Helper()
		for _, b := range []*bench{heron, wren} {
			if err := b.once(srv.ClientURL()); err != nil {
				t.Fatal(err)
			}
		}
	}
	run()
	heron.withdraws("part C2")
	run()
	agree(t, 1, heron, wren)
	before := count[Took](wren, nil)
	replay(t, srv.ClientURL())
	run()
	agree(t, 1, heron, wren)
	if after := count[Took](wren, nil); after != before {
		t.Errorf("what was known was taken %d times more", after-before)
	}
	lark := newBench(t, "Lark") // that comes later takes it once
	trusts(heron, lark)
	if err := lark.once(srv.ClientURL()); err != nil {
		t.Fatal(err)
	}
	agree(t, 1, heron, lark)
}

// TestFull fills the log. Who has more for it is told so, once, and goes on reading.
func TestFull(t *testing.T) {
	t.Parallel()
	srv := serve(t, server.Options{JetStream: true, StoreDir: t.TempDir(), JetStreamMaxStore: 3000})
	heron, wren := newBench(t, "Heron"), newBench(t, "Wren")
	trusts(heron, wren)
	heron.opt.Every = 20 * time.Millisecond
	heron.start(srv.ClientURL())
	told := func() int { return count(heron, func(e Trouble) bool { return CodeOf(e.Err) == codeFull }) }
	said := 0
	for told() < 2 {
		heron.says(fmt.Sprintf("part C%d 10uF", said))
		said++
		until(t, "a word on what was said", func() bool { return told() > 1 || count[Sent](heron, nil) == said })
	}
	if err := wren.once(srv.ClientURL()); err != nil {
		t.Fatal(err)
	}
	agree(t, count[Sent](heron, nil), wren)
	if n := count[Connected](heron, nil); n != 1 {
		t.Errorf("heron connected %d times: a log that is full has cut it off", n)
	}
}

// TestClocks has a bench whose clock stood still for long: what others say is of a day to
// come. It takes it once its clock is right.
func TestClocks(t *testing.T) {
	t.Parallel()
	srv := serve(t, server.Options{JetStream: true, StoreDir: t.TempDir()})
	heron, wren := newBench(t, "Heron"), newBench(t, "Wren")
	trusts(heron, wren)
	wren.ahead.Store(int64(-3 * 365 * 24 * time.Hour))
	heron.says("part C1 10uF")
	wren.says("part C2 1uF")
	for _, b := range []*bench{heron, wren} {
		if err := b.once(srv.ClientURL()); err != nil {
			t.Fatal(err)
		}
	}
	if got := wren.refusals(); !slices.Equal(got, []string{"X211"}) {
		t.Errorf("refused for %v, want X211", got)
	}
	if got := wren.holds(); got[:2] != "1 " {
		t.Errorf("wren holds %s", got)
	}
	wren.ahead.Store(0)
	for _, b := range []*bench{wren, heron} {
		if err := b.once(srv.ClientURL()); err != nil {
			t.Fatal(err)
		}
	}
	agree(t, 2, heron, wren)
	state, err := wren.base.Link(DefaultLog)
	if err != nil || state.Left != 0 {
		t.Errorf("%+v, %v", state, err)
	}
}
