package cli

import (
	"context"
	"errors"
	"fmt"
	"net"
	"strconv"

	"github.com/spf13/cobra"

	"netlore/cmd/internal/bench"
)

// newBench makes `netlore bench`.
func newBench(a *app) *cobra.Command {
	var port int
	cmd := &cobra.Command{
		Use:   "bench [--port NUMBER]",
		Short: "serve the bench page to a browser on this machine",
		Long: `Bench serves a page for the bench, on this machine alone: a question and its
answer, all that is known of a part, a pad or a net, and the sheet of a job,
with the suspects and the next test beside it while readings go in, by keys or
by touch. What a command logs meanwhile appears on the page at once.

It prints an address with a secret in it. Open that in a browser of this
machine; nobody else can. The base is not held: commands go on working beside
the page. Ctrl-C ends it.`,
		Args: between(0, 0, "bench takes no words; the page shows what is in the knowledge base"),
		RunE: func(cmd *cobra.Command, _ []string) error { return runBench(cmd.Context(), a, port) },
	}
	cmd.Flags().Var(number("--port", &port), "port", "the port to listen on (default any free one)")
	cmd.Flags().Lookup("port").DefValue = "0" // which no help tells
	return cmd
}

func runBench(ctx context.Context, a *app, port int) error {
	if _, err := a.where(); err != nil {
		return err
	}
	var there []string
	if err := a.usualTools(&there); err != nil {
		return err
	}
	listener, err := net.Listen("tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(port)))
	if err != nil {
		return fail(exitInput, hint(fmt.Errorf("port %d cannot be listened on: %w", port, reason(err)), "leave --port out to get a free one"))
	}
	page := bench.New(bench.Options{Desk: desk{a}, Addr: listener.Addr().String(), Now: a.Now, Tools: there, Complain: func(err error) { a.say("netlore: %s", err) }})
	if err := a.benchAt(page.Door()); err != nil {
		return errors.Join(err, listener.Close())
	}
	return page.Serve(ctx, listener)
}

// benchAt tells where the page is.
func (a *app) benchAt(url string) error {
	if a.json {
		writeJSON(a.Out, map[string]any{"url": url})
		return nil
	}
	return a.headed("the bench page, for a browser on this machine; Ctrl-C ends it", []string{url})
}
