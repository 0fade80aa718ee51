package cli

import (
	"bytes"
	"io"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
	"github.com/rogpeppe/go-internal/testscript"

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
	stop := func() { s.Shutdown(); s.WaitForShutdown() }
	ts.Defer(stop)
	ts.Setenv("LOG", s.ClientURL())
	if args[0] == "closed" {
		stop()
	}
}

func startMailbox(opt server.Options) (*server.Server, error) {
	opt.Host, opt.Port, opt.NoLog, opt.NoSigs = "127.0.0.1", server.RANDOM_PORT, true, true
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
	t.Cleanup(func() { s.Shutdown(); s.WaitForShutdown() })
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
