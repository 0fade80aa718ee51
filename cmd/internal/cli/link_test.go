package cli

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
	"github.com/rogpeppe/go-internal/testscript"

	"netlore/query/diag"
	"netlore/store"
	"netlore/store/exchange/link"
	"netlore/testdata/heron"
)

// mailboxCommand is the script command `mailbox`, which starts the server of a log
// and puts its address into $LOG:
//
//	mailbox open     lets everybody in
//	mailbox locked   lets in "heron" with the password "kestrel"
//	mailbox bare     keeps no logs
//	mailbox small    has room for one message
//	mailbox closed   an address where nobody listens
func mailboxCommand(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: mailbox open|locked|bare|small|closed")
	}
	dir, err := os.MkdirTemp(ts.Getenv("WORK"), "mailbox-")
	ts.Check(err)
	opt := server.Options{JetStream: args[0] != "bare", StoreDir: dir}
	switch args[0] {
	case "locked":
		opt.Users = []*server.User{{Username: "heron", Password: "kestrel"}}
	case "small":
		opt.JetStreamMaxStore = 1 << 10
	}
	s, err := startMailbox(opt)
	ts.Check(err)
	stop := func() { stopMailbox(s) }
	ts.Defer(stop)
	ts.Setenv("LOG", s.ClientURL())
	if args[0] == "closed" {
		stop()
	}
}

func startMailbox(opt server.Options) (*server.Server, error) {
	opt.Host, opt.NoLog, opt.NoSigs = "127.0.0.1", true, true
	if opt.Port == 0 {
		opt.Port = server.RANDOM_PORT
	}
	s, err := server.NewServer(&opt)
	if err != nil {
		return nil, err
	}
	s.Start()
	if !s.ReadyForConnections(30 * time.Second) {
		return nil, os.ErrDeadlineExceeded
	}
	return s, nil
}

func stopMailbox(s *server.Server) {
	s.Shutdown()
	s.WaitForShutdown()
}

// TestLinkUntilStopped links a bench until it is stopped. In between others use its
// base, and the server is killed and comes back.
func TestLinkUntilStopped(t *testing.T) {
	benchWithBase(t)
	opt := server.Options{JetStream: true, StoreDir: t.TempDir()}
	s, err := startMailbox(opt)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { stopMailbox(s) })
	var out, complaints screen
	env := Env{In: strings.NewReader(""), Out: &out, Err: &complaints, Now: time.Now, Getenv: func(string) string { return "bench-1" }}
	ctx, stop := context.WithCancel(t.Context())
	code := make(chan int)
	go func() { code <- Run(ctx, env, []string{"--base", "base", "link", s.ClientURL()}) }()
	up := func(times int) func() bool {
		return func() bool {
			return strings.Count(out.String(), "up to date: there is nothing on the log yet") == times
		}
	}
	until(t, "the log to be read", up(1))
	if code, _, complaints := command(t, finch, "--base", "base", "add", "-"); code != exitOK {
		t.Errorf("exit code %d while linked: %s", code, complaints)
	}
	opt.Port = s.Addr().(*net.TCPAddr).Port
	stopMailbox(s)
	until(t, "a word about the server", func() bool { return strings.Contains(complaints.String(), "error X401: ") })
	if s, err = startMailbox(opt); err != nil {
		t.Fatal(err)
	}
	until(t, "the log to be read again", up(2))
	stop()
	if got := <-code; got != exitInterrupted || !strings.HasSuffix(out.String(), "\nstopped; all that was on the log is in the base\n") {
		t.Errorf("exit code %d\n%s", got, out.String())
	}
	if n := strings.Count(complaints.String(), "X401"); n != 1 || strings.Contains(complaints.String(), "netlore: stopped") {
		t.Errorf("that the server is gone was told %d times:\n%s", n, complaints.String())
	}
}

// TestLinkStopped is what is told when a link is stopped early.
func TestLinkStopped(t *testing.T) {
	for _, c := range []struct {
		read link.Progress
		want string
	}{
		{link.Progress{}, "stopped before the log was read\n"},
		{link.Progress{Done: 3, Of: 10}, "stopped, and not all was read: 3 of 10 messages are taken and stay; netlore link goes on from there\n"},
	} {
		var out bytes.Buffer
		l := linking{app: &app{Env: Env{Out: &out}}, read: c.read}
		l.begin()
		if err := l.end(context.Canceled); exitCode(err) != exitInterrupted || out.String() != c.want {
			t.Errorf("%v, %q, want %q", err, out.String(), c.want)
		}
	}
}

// TestLinkedForLong tells of a log onto which rubbish is put without end: what is kept of it
// does not grow.
func TestLinkedForLong(t *testing.T) {
	var complaints bytes.Buffer
	nowhere := func(string) string { return "" }
	l := linking{app: &app{Env: Env{Out: io.Discard, Err: &complaints, Getenv: nowhere}}}
	l.begin()
	defer l.end(nil)
	const rubbish = mostTold + 500
	empty := store.OpenMemory(time.Now)
	defer empty.Close()
	for n := range rubbish {
		l.tell(link.Took{Base: empty, Taken: &store.Taken{Refused: []error{diag.Diagnostic{Code: "X407", File: "log shops", Message: fmt.Sprintf("rubbish %d", n)}}}})
		l.tell(link.Trouble{Err: fmt.Errorf("cut %d", n)})
	}
	if len(l.refused) > mostTold || len(l.cuts) > mostTold {
		t.Errorf("%d complaints about the log and %d cuts are kept", len(l.refused), len(l.cuts))
	}
	if n := strings.Count(complaints.String(), "what else on the log is not taken is not told"); n != 1 {
		t.Errorf("that no more is told was told %d times", n)
	}
}

// TestLinkState says at the terminal whether the link holds.
func TestLinkState(t *testing.T) {
	l := linking{app: &app{Env: Env{Out: io.Discard, Err: io.Discard}}}
	l.begin()
	defer l.end(nil)
	for _, c := range []struct {
		event any
		want  string
	}{
		{link.Connected{}, "linked"},
		{link.Trouble{Err: diag.Diagnostic{Code: "X404"}}, "linked"},
		{link.Trouble{Err: diag.Diagnostic{Code: "X401"}}, "not linked"},
		{link.Progress{Done: 3, Of: 10}, "reading the log: 3 of 10 messages"},
		{link.Sent{}, "linked"},
	} {
		l.tell(c.event)
		if l.progress.text != c.want {
			t.Errorf("after %+v it says %q, want %q", c.event, l.progress.text, c.want)
		}
	}
}

// TestLinkLicence tells once what stays because of its licence, and again when that has
// changed.
func TestLinkLicence(t *testing.T) {
	var out bytes.Buffer
	l := linking{app: &app{Env: Env{Out: &out}}, packer: &packer{others: map[string]int{"CC-BY-4.0": 1}}}
	l.begin()
	before, after := map[string]int{"CC-BY-4.0": 1}, map[string]int{"CC-BY-4.0": 1, "CC-BY-SA-4.0": 1}
	for _, signed := range []map[string]int{before, before, after, after} {
		l.tell(link.Home{Entries: signed})
	}
	l.end(nil)
	want := "not put on the log: 2 statements, which came under CC-BY-4.0; netlore link --licence CC-BY-4.0 shares them\n"
	if got := out.String(); strings.Count(got, want) != 2 || strings.Count(got, "1 statement, which came under CC-BY-SA-4.0;") != 1 || strings.Count(got, "\n") != 3 {
		t.Error(got)
	}
}

// TestManyBoards tells of many boards as one.
func TestManyBoards(t *testing.T) {
	all := []store.Adoption{{Added: 2, Moved: 1}, {Added: 3, Withdrawn: 1, Disputed: []store.Dispute{{}}}}
	if got, want := adopted(allOf(all), true), "5 count now, 1 do not count any more, 1 expected values moved by more than 5 %, 1 disputed"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestNothingPrivateOnTheLog fills every private detail of a job with a canary, and
// what a reading says of who took it, puts all that may be shared on a log, and
// looks for the canary in every byte of it.
func TestNothingPrivateOnTheLog(t *testing.T) {
	t.Chdir(t.TempDir())
	t.Setenv("NETLORE_IDENTITY", "identity")
	const canary = "canary-7781"
	s, err := startMailbox(server.Options{JetStream: true, StoreDir: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { stopMailbox(s) })
	if err := os.CopyFS("heron", heron.Sheets); err != nil {
		t.Fatal(err)
	}
	private := "netlore 1\nboard Heron-A rev 3\nreading diode VMAIN 0.41V job 9 by " + canary + "-author when 2026-02-17 \"" + canary + "-remark\"\n"
	if err := os.WriteFile("private.lore", []byte(private), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		{"identity", "new", "--shop", "Heron Repair"}, {"add", "heron"}, {"add", "private.lore"},
		{"job", "open", "9", canary + "-symptom", "--customer", canary + "-1", "--serial", canary + "-2", "--private-remark", canary + "-3"},
		{"job", "log", "9", `note "` + canary + `-step"`},
		{"link", s.ClientURL(), "--once", "--licence", "CC0-1.0", "--kinds", everyKind},
	} {
		var complaints bytes.Buffer
		env := Env{In: strings.NewReader(""), Out: io.Discard, Err: &complaints, Now: time.Now, Getenv: os.Getenv}
		if code := Run(t.Context(), env, append([]string{"--base", "base"}, args...)); code != exitOK {
			t.Fatalf("%q: exit code %d: %s", args, code, &complaints)
		}
	}
	all := everythingOn(t, s.ClientURL())
	if at := bytes.Index(all, []byte(canary)); at >= 0 {
		t.Errorf("a private detail is on the log: …%s", all[max(0, at-200):at+len(canary)+10])
	}
	for _, public := range []string{"part C4407 ", "reading diode VMAIN 0.41V specimen s-", "when 2026-02-01"} {
		if !strings.Contains(string(all), public) {
			t.Errorf("%q is not on the log, so nothing is proved", public)
		}
	}
}

// everythingOn is all messages of a log, with their heads.
func everythingOn(t *testing.T, url string) (all []byte) {
	t.Helper()
	nc, err := nats.Connect(url)
	if err != nil {
		t.Fatal(err)
	}
	defer nc.Close()
	js, err := jetstream.New(nc)
	if err != nil {
		t.Fatal(err)
	}
	stream, err := js.Stream(t.Context(), "netlore-shops")
	if err != nil {
		t.Fatal(err)
	}
	for seq := uint64(1); seq <= stream.CachedInfo().State.LastSeq; seq++ {
		m, err := stream.GetMsg(t.Context(), seq)
		if err != nil {
			t.Fatal(err)
		}
		for name, values := range m.Header {
			all = append(all, name+": "+strings.Join(values, " ")+"\n"...)
		}
		all = append(all, m.Data...)
	}
	return all
}

// TestLinkTakesOver: to link tells, once, what it signs in the place of a bench whose key
// was revoked, as to pack does.
func TestLinkTakesOver(t *testing.T) {
	s, err := startMailbox(server.Options{JetStream: true, StoreDir: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { stopMailbox(s) })
	a := benchOf(t, "Heron Repair")
	stolen, pack := benchOfShop(t, a), filepath.Join(t.TempDir(), "stolen.pack")
	a.add("part C1 10uF\n")
	stolen.add("part C2 1uF\nnote on C2 \"often-cracked\"\n")
	stolen.run("pack", "--licence", "CC0-1.0", "--to", pack)
	a.run("merge", pack, "--take")
	a.run("trust", a.key(), "own")
	later(a)
	a.run("identity", "revoke", "bench-2")
	for _, want := range []int{1, 0} {
		printed := a.run("link", s.ClientURL(), "--once", "--licence", "CC0-1.0", "--kinds", "structure,notes")
		if n := strings.Count(printed, "2 statements of the bench with the key"); n != want {
			t.Errorf("it is told %d times, want %d:\n%s", n, want, printed)
		}
	}
}
