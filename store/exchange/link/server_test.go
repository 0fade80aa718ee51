package link

import (
	"testing"
	"time"

	"github.com/nats-io/nats-server/v2/server"
)

// serve starts a server as the options say, with JetStream in a folder of its own
// unless they say otherwise.
func serve(t testing.TB, opt server.Options) *server.Server {
	t.Helper()
	opt.Host, opt.NoLog, opt.NoSigs = "127.0.0.1", true, true
	if opt.Port == 0 {
		opt.Port = server.RANDOM_PORT
	}
	s, err := server.NewServer(&opt)
	if err != nil {
		t.Fatal(err)
	}
	s.Start()
	t.Cleanup(func() { kill(s) })
	until(t, "the server", func() bool {
		if !s.Running() {
			t.Fatal("the server does not start")
		}
		return s.ReadyForConnections(time.Second)
	})
	return s
}

func kill(s *server.Server) {
	s.Shutdown()
	s.WaitForShutdown()
}
