package cli

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/netip"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"netlore/cmd/internal/bench"
)

type benchOptions struct {
	port    int
	network []string // addresses and names of this computer, or all
	guests  bool

	certificate, key string // files; empty for one of our own
}

// newBench makes `netlore bench`.
func newBench(a *app) *cobra.Command {
	var opt benchOptions
	cmd := &cobra.Command{
		Use:   "bench [--port NUMBER] [--network ADDRESS|NAME|all]...",
		Short: "serve the bench page to this machine, and to tablets let in",
		Long: `Bench serves a page for the bench, on this machine alone: a question and its
answer, all that is known of a part, a pad or a net, and the sheet of a job,
with the suspects and the next test beside it while readings go in, by keys or
by touch. What a command logs meanwhile appears on the page at once.

It prints an address with a secret in it. Open that in a browser of this
machine; nobody else can. The base is not held: commands go on working beside
the page. Ctrl-C ends it.

--network opens it to your network, too: at the addresses and names of this
computer that you say, and under no other, over TLS. The certificate is made
when it is first needed, and its fingerprint is printed: compare it with the one
that the tablet's browser shows. Each device is let in by a code of eight
digits that counts once, for five minutes; Enter makes one, g and Enter one for
a guest, who may look at all that can be shared and change nothing. "netlore
bench devices" lists who was let in, "netlore bench send-away NAME" ends it.`,
		Example: "  netlore bench\n  netlore bench --network all\n  netlore bench --network 192.168.1.20 --guests",
		Args:    between(0, 0, "bench takes no words; the page shows what is in the knowledge base"),
		RunE:    func(cmd *cobra.Command, _ []string) error { return runBench(cmd.Context(), a, opt) },
	}
	f := cmd.Flags()
	f.Var(number("--port", &opt.port), "port", "the port to listen on (default any free one; with --network 8443)")
	f.Lookup("port").DefValue = "0" // which no help tells
	f.StringArrayVar(&opt.network, "network", nil, "open it at this `ADDRESS` or name of this computer, or at all of private networks; can be given again")
	f.BoolVar(&opt.guests, "guests", false, "let all in the network only look")
	f.Var(name("FILE", &opt.certificate), "certificate", "a certificate of the shop's own for the network, as a PEM file")
	f.Var(name("FILE", &opt.key), "key", "its key, which only you may read")
	cmd.MarkFlagFilename("certificate")
	cmd.MarkFlagFilename("key")
	for _, c := range []*cobra.Command{newBenchDevices(a), newBenchSendAway(a)} {
		c.DisableFlagsInUseLine = true
		cmd.AddCommand(c)
	}
	return cmd
}

// problem is what does not go together in the options.
func (o *benchOptions) problem() error {
	switch {
	case len(o.network) == 0 && (o.guests || o.certificate != "" || o.key != ""):
		return hint(errors.New("--guests, --certificate and --key are about the network"), "netlore bench --network all opens the page to it")
	case (o.certificate == "") != (o.key == ""):
		return errors.New("--certificate and --key go together: a certificate is of use with its key only")
	}
	return nil
}

func runBench(ctx context.Context, a *app, opt benchOptions) error {
	if _, err := a.where(); err != nil {
		return err
	}
	if err := opt.problem(); err != nil {
		return err
	}
	var there []string
	if err := a.usualTools(&there); err != nil {
		return err
	}
	s := &benchServing{app: a, opt: opt}
	if err := s.listen(ctx); err != nil {
		return errors.Join(err, s.hangUp())
	}
	s.page = bench.New(bench.Options{Desk: desk{a}, Addr: s.here.Addr().String(), Now: a.Now, Tools: there, Explain: explanation, Network: s.network,
		Complain: a.complainOf})
	if err := s.announce(); err != nil {
		return errors.Join(err, s.hangUp())
	}
	if a.InTerminal && s.network != nil {
		go s.codesByKey()
	}
	return s.page.Serve(ctx, s.here, s.there...)
}

// complainOf tells at the terminal what went wrong. A mistake of ours has many lines, to be
// passed on.
func (a *app) complainOf(err error) {
	for line := range strings.Lines("netlore: " + err.Error()) {
		a.say("%s", strings.TrimSuffix(line, "\n"))
	}
}

// listen listens on this machine, and in the network if that is wanted.
func (s *benchServing) listen(ctx context.Context) error {
	var addrs []netip.Addr
	var names []string
	if len(s.opt.network) > 0 {
		var err error
		if addrs, names, err = networkPlaces(ctx, s.opt.network); err != nil {
			return err
		}
		if s.opt.port == 0 {
			s.opt.port = networkPort
		}
	}
	var err error
	if s.here, err = listenAt("127.0.0.1", s.opt.port); err != nil {
		return err
	}
	for _, addr := range addrs {
		if addr.String() == "127.0.0.1" {
			return complain("B101", "127.0.0.1 is where the page is served without TLS already", "name another address of this computer")
		}
		listener, err := listenAt(addr.String(), s.opt.port)
		if err != nil {
			return err
		}
		s.there = append(s.there, listener)
	}
	if addrs == nil {
		return nil
	}
	return s.openNetwork(names)
}

// networkPort is the port in the network, so that what a tablet has kept leads there
// the next day.
const networkPort = 8443

func listenAt(host string, port int) (net.Listener, error) {
	listener, err := net.Listen("tcp", net.JoinHostPort(host, strconv.Itoa(port)))
	if err != nil {
		help := "leave --port out to get a free one"
		if port == networkPort {
			help = "name another with --port"
		}
		return nil, fail(exitInput, hint(fmt.Errorf("port %d cannot be listened on: %w", port, reason(err)), help))
	}
	return listener, nil
}
