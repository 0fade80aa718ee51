package link

import (
	"fmt"
	"math/rand/v2"
	"net"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/nats-io/nats-server/v2/server"
)

// cluster is three servers that keep a log together.
type cluster struct {
	t       testing.TB
	options [3]server.Options
	servers [3]*server.Server
}

func newCluster(t testing.TB) *cluster {
	t.Helper()
	c := &cluster{t: t}
	ports := freePorts(t, 6)
	var routes []string
	for i := range 3 {
		routes = append(routes, fmt.Sprintf("nats://127.0.0.1:%d", ports[3+i]))
	}
	for i := range c.options {
		c.options[i] = server.Options{ServerName: fmt.Sprintf("s%d", i), Port: ports[i], JetStream: true, StoreDir: t.TempDir(),
			Cluster: server.ClusterOpts{Name: "shops", Host: "127.0.0.1", Port: ports[3+i]}, Routes: server.RoutesFromStr(strings.Join(routes, ","))}
	}
	for i := range c.options {
		c.start(i)
	}
	return c
}

func (c *cluster) start(i int) { c.servers[i] = serve(c.t, c.options[i]) }

// wipe kills all servers, deletes all that they have on disk, and starts them again.
func (c *cluster) wipe() {
	c.t.Helper()
	for _, s := range c.servers {
		kill(s)
	}
	for i := range c.options {
		if err := os.RemoveAll(c.options[i].StoreDir); err != nil {
			c.t.Fatal(err)
		}
		c.start(i)
	}
}

// url is all servers as the address that a bench is given, beginning with one of them.
func (c *cluster) url(first int) string {
	var all []string
	for i := range c.options {
		all = append(all, fmt.Sprintf("nats://127.0.0.1:%d", c.options[(first+i)%3].Port))
	}
	return strings.Join(all, ",")
}

// leader is the server that leads the log.
func (c *cluster) leader() (leader int) {
	c.t.Helper()
	until(c.t, "a server that leads the log", func() bool {
		for i, s := range c.servers {
			if s.JetStreamIsStreamLeader(server.DEFAULT_GLOBAL_ACCOUNT, streamOf(DefaultLog)) {
				leader = i
				return true
			}
		}
		return false
	})
	return leader
}

// freePorts are ports that nobody listens at, below those that a system gives to
// whoever asks for any: other tests ask for any.
func freePorts(t testing.TB, n int) (ports []int) {
	t.Helper()
	for tries := 0; len(ports) < n; tries++ {
		port := 20000 + rand.IntN(10000)
		l, err := net.Listen("tcp", fmt.Sprintf("127.0.0.1:%d", port))
		if err != nil {
			if tries > 1000 {
				t.Fatal(err)
			}
			continue
		}
		defer l.Close()
		ports = append(ports, port)
	}
	return ports
}

// TestEverythingGoesWrong has five benches linked to a log on three servers, of which
// one is killed and comes back, while the network of one bench is cut, clocks are
// wrong, one replays what it has said before, and somebody sends rubbish. In the end
// all servers are wiped, and a sixth bench comes. All of them hold the same, and
// nothing of it is lost.
func TestEverythingGoesWrong(t *testing.T) {
	t.Parallel()
	const patience = 5 * time.Second // after which a server is given up that was killed: the less, the sooner it ends
	c := newCluster(t)
	var all []*bench
	for i, name := range []string{"Heron", "Wren", "Finch", "Robin", "Siskin"} {
		b := newBench(t, name)
		b.opt.Every, b.opt.Patience = 100*time.Millisecond, patience
		b.ahead.Store(int64([]time.Duration{0, 20 * time.Hour, -20 * time.Hour, time.Minute, 0}[i]))
		all = append(all, b)
	}
	trusts(all...)
	said := 0
	everybodySays := func(what string) {
		for i, b := range all {
			b.says(fmt.Sprintf("part C%d%d 10uF", said, i), fmt.Sprintf("note on VMAIN \"%s %d\" by LABEL", what, i))
		}
		said += 2 * len(all)
	}
	everybodySays("at first")
	network := newNetwork(t, fmt.Sprintf("127.0.0.1:%d", c.options[0].Port), 0)
	all[0].start("nats://" + network.address())
	for i, b := range all[1:] {
		b.start(c.url(i))
	}
	agree(t, said, all...)

	down := c.leader()
	kill(c.servers[down])
	everybodySays("with one server down")
	network.cut()
	agree(t, said-2, all[1:]...)
	c.start(down)
	sendRubbish(t, c.url(down), all[1])
	everybodySays("with one bench cut off")
	all[2].withdraws("note on VMAIN \"at first")
	said--
	agree(t, said-4, all[1:]...)
	network.mend()
	agree(t, said, all...)

	replay(t, c.url(0))
	c.wipe()
	everybodySays("after all was lost")
	sixth := newBench(t, "Lark")
	sixth.opt.Patience = patience
	trusts(append(all, sixth)...)
	sixth.start(c.url(0))
	agree(t, said, append(all, sixth)...)
	for _, b := range append(all, sixth) {
		b.end()
		if _, err := b.base.Verify(t.Context(), nil); err != nil {
			t.Errorf("%s: %v", b.identity.Name, err)
		}
	}
}
