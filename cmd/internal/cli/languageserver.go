package cli

import (
	"context"
	"errors"
	"time"

	"github.com/spf13/cobra"

	"netlore/cmd/internal/lsp"
	"netlore/store"
)

// newLanguageServer makes `netlore language-server`.
func newLanguageServer(a *app) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "language-server",
		Short: "help an editor with sheets, over standard input and output",
		Long: `Language-server is started by an editor, not by hand. It speaks the Language
Server Protocol 3.17 over standard input and output: complaints while you type,
completion of words and names, what is known of a name, where else it stands,
renaming, formatting and outlines of sheets (*.lore), and all of that within the
saved questions in them. Open sheets, the sheets beside them in their folder and
the knowledge base count; the base is only read, and held for one question at a
time.

The exit code is 0 after shutdown and exit, as the protocol says, and 1 if the
editor went away without them.`,
		Args: between(0, 0, "the language server takes no words; an editor talks to it over standard input"),
		RunE: func(cmd *cobra.Command, _ []string) error { return runLanguageServer(cmd.Context(), a) },
	}
	// Many clients pass these unasked (section Implementation Considerations of
	// the protocol). Standard input is the only way here, and its end tells that
	// the client has gone.
	cmd.Flags().Bool("stdio", true, "talk over standard input and output")
	cmd.Flags().Int("clientProcessId", 0, "the process of the editor")
	cmd.Flags().MarkHidden("stdio")
	cmd.Flags().MarkHidden("clientProcessId")
	return cmd
}

// quiet is how long nobody must have typed before a sheet is checked.
const quiet = 150 * time.Millisecond

func runLanguageServer(ctx context.Context, a *app) error {
	err := lsp.Serve(ctx, a.In, a.Out, lsp.Options{Version: version(), Base: a.baseForEditor, Quiet: quiet})
	switch {
	case err == nil || ctx.Err() != nil:
		return err
	case errors.Is(err, lsp.ErrNoShutdown):
		return fail(exitFound, err)
	}
	return fail(exitInput, err)
}

// baseForEditor opens the base for one question of an editor. That there is
// none yet is no error, and nobody who types waits for long.
func (a *app) baseForEditor(ctx context.Context) (*store.Base, error) {
	dir, err := a.where()
	if err != nil {
		return nil, nil
	}
	const wait = 100 * time.Millisecond
	base, err := store.Open(ctx, dir, store.Options{ReadOnly: true, Wait: wait, Now: a.now})
	if errors.Is(err, store.ErrNoBase) {
		return nil, nil
	}
	return base, err
}
