package cli

import (
	"context"
	"errors"
	"strconv"

	"github.com/spf13/cobra"

	"netlore/store"
	"netlore/store/exchange/link"
)

// newLinkStatus makes `netlore link status`.
func newLinkStatus(a *app) *cobra.Command {
	log := link.DefaultLog
	var access linkAccess
	cmd := &cobra.Command{
		Use:   "status [URL]",
		Short: "tell how far the common log was read",
		Long: `Status tells of each log how far it was read, and when. With the address of the
server it asks there what the log holds that was not read yet. Two benches that
know the same shops and show the same content hold the same.`,
		Args:              between(0, 1, "give the address of the server, or nothing"),
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return runLinkStatus(cmd.Context(), a)
			}
			return runLinkAsk(cmd.Context(), a, args[0], access, log)
		},
	}
	linkFlags(cmd, &access, &log)
	return cmd
}

func runLinkStatus(ctx context.Context, a *app) error {
	return a.reading(ctx, func(base *store.Base) error {
		all, err := base.Links(ctx)
		if err != nil {
			return err
		}
		if len(all) == 0 && !a.json {
			return a.print("no log was read yet; netlore link URL reads one\n")
		}
		for _, s := range all {
			if err := a.tellLink(ctx, base, s); err != nil {
				return err
			}
		}
		return nil
	})
}

func (a *app) tellLink(ctx context.Context, base *store.Base, s store.LinkState) error {
	sum, entries, err := base.LinkSum(ctx, s.Log)
	if err != nil {
		return err
	}
	if a.json {
		writeJSON(a.Out, map[string]any{"log": s.Log, "server": s.Server, "read": s.Last, "heard": timeJSON(s.Heard), "sent": s.Sent,
			"statements": entries, "content": sum.String(), "left": s.Left})
		return nil
	}
	heard := "never read to the end"
	if !s.Heard.IsZero() {
		heard = "read up to message " + strconv.FormatUint(s.Last, 10) + " on " + s.Heard.In(a.Now().Location()).Format("2006-01-02 15:04")
	}
	err = a.line("log %s at %s: %s; %s sent", s.Log, s.Server, heard, plural(s.Sent, "message"))
	err = errors.Join(err, a.line("  %s of shops that are known here; content %.16s", plural(entries, "statement"), sum))
	if s.Left > 0 {
		err = errors.Join(err, a.line("  some of it was left for later, from message %d on: of shops that nobody here knows, or of a day to come", s.Left))
	}
	return err
}

func runLinkAsk(ctx context.Context, a *app, address string, access linkAccess, log string) error {
	server, err := a.linkServer(address, access, log)
	if err != nil {
		return err
	}
	holds, err := link.Look(ctx, server, log)
	if err != nil {
		return linkError(err)
	}
	var s store.LinkState
	if err := a.reading(ctx, func(base *store.Base) (err error) {
		s, err = base.Link(log)
		return err
	}); err != nil && !errors.Is(err, store.ErrNoBase) {
		return err
	}
	same := s.Made.Equal(holds.Made) && s.Last <= holds.Last
	unread := holds.Messages
	if same {
		unread = holds.After(s.Last)
	}
	if a.json {
		writeJSON(a.Out, map[string]any{"log": log, "server": holds.Server, "messages": holds.Messages, "bytes": holds.Bytes, "most_bytes": holds.MostBytes,
			"copies": holds.Copies, "last": holds.Last, "read": s.Last, "unread": unread, "same": same})
		return nil
	}
	room := "no limit of its own"
	if holds.MostBytes > 0 {
		room = "of " + bytesOf(uint64(holds.MostBytes)) + " at most"
	}
	err = a.line("log %s at %s: %s, %s, %s", log, holds.Server, plural(int(holds.Messages), "message"), bytesOf(holds.Bytes), room)
	switch {
	case s.Made.IsZero():
		err = errors.Join(err, a.line("  nothing of it was read here yet; netlore link reads it"))
	case !same:
		err = errors.Join(err, a.line("  it is not the one that was read from here last: netlore link reads it from its beginning"))
	case unread > 0:
		err = errors.Join(err, a.line("  %s not read yet", plural(int(unread), "message")))
	default:
		err = errors.Join(err, a.line("  all of it was read"))
	}
	return err
}
