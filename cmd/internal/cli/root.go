package cli

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"
)

// app is one run of the command line: the environment and what holds for every
// command.
type app struct {
	Env

	baseDir string
	wait    time.Duration
	json    bool
	paint   string // when to colour: auto, always, never
}

const rootLong = `netlore tells a board-level repair technician what is hidden on a rail and how to
reach it, and where each pad between the boards leads.

Start with the demonstration:

  netlore demo

then put a board of your own into the knowledge base and ask:

  netlore add board.d356 placement.csv
  netlore ask 'hidden parts on VMAIN'`

func newRoot(a *app) *cobra.Command {
	root := &cobra.Command{
		Use:           "netlore",
		Short:         "a knowledge base of circuit-board nets for repair",
		Long:          rootLong,
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          noSuchCommand,
		RunE:          func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.SetIn(a.In)
	root.SetOut(a.Out)
	root.SetErr(a.Err)
	root.SetFlagErrorFunc(flagError)
	root.SuggestionsMinimumDistance = 2

	flags := root.PersistentFlags()
	flags.StringVar(&a.baseDir, "base", "", "folder of the knowledge base (or NETLORE_BASE)")
	flags.DurationVar(&a.wait, "wait", 2*time.Second, "how long to wait for another process that holds the base")
	flags.BoolVar(&a.json, "json", false, "answers and complaints as JSON, one object a line")
	flags.StringVar(&a.paint, "colour", "auto", "colour: auto, always or never")

	root.AddGroup(&cobra.Group{ID: "ask", Title: "Ask:"}, &cobra.Group{ID: "keep", Title: "Keep:"}, &cobra.Group{ID: "sheet", Title: "Sheets:"})
	for _, c := range []struct {
		group string
		cmd   *cobra.Command
	}{
		{"ask", newDemo(a)}, {"ask", newAsk(a)}, {"ask", newExplain(a)}, {"ask", newQuote(a)},
		{"keep", newAdd(a)}, {"keep", newBoards(a)}, {"keep", newShow(a)}, {"keep", newHistory(a)},
		{"keep", newDiff(a)}, {"keep", newExport(a)}, {"keep", newRemove(a)}, {"keep", newVerify(a)},
		{"sheet", newCheck(a)}, {"sheet", newFmt(a)},
	} {
		c.cmd.GroupID, c.cmd.DisableFlagsInUseLine = c.group, true
		root.AddCommand(c.cmd)
	}
	root.AddCommand(newExitCodes(), newWords())
	return root
}

// noSuchCommand answers a first word that is no command.
func noSuchCommand(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	help := []string{"netlore help lists the commands"}
	if near := cmd.SuggestionsFor(args[0]); len(near) > 0 {
		help = append([]string{"did you mean: netlore " + near[0]}, help...)
	}
	if len(args) > 1 {
		help = append(help, "to ask a question: netlore ask "+shellQuote(strings.Join(args, " ")))
	}
	return hint(fmt.Errorf("there is no command %q", args[0]), help...)
}

// flagError words what the flag library complains about.
func flagError(cmd *cobra.Command, err error) error {
	return hint(errors.New(strings.TrimPrefix(err.Error(), "invalid argument ")), cmd.CommandPath()+" --help lists its options")
}

// argError says that a command was given too few or too many words.
func argError(cmd *cobra.Command, problem string) error {
	return hint(errors.New(problem), "usage: "+cmd.UseLine(), cmd.CommandPath()+" --help tells more")
}

// atLeast wants n words or more, told in the command's own terms.
func atLeast(n int, problem string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) < n {
			return argError(cmd, problem)
		}
		return nil
	}
}

// between wants from least to most words.
func between(least, most int, problem string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) < least || len(args) > most {
			return argError(cmd, problem)
		}
		return nil
	}
}

// colour decides whether a stream gets colour: only a terminal, never with
// NO_COLOR set, unless the user says otherwise.
func (a *app) colour(terminal bool) bool {
	switch a.paint {
	case "always":
		return true
	case "never":
		return false
	}
	return terminal && a.Getenv("NO_COLOR") == "" && a.Getenv("TERM") != "dumb"
}

// printf writes to the output stream.
func (a *app) printf(format string, args ...any) error {
	_, err := fmt.Fprintf(a.Out, format, args...)
	return err
}

// shellQuote puts a text into single quotes, so that no shell changes it.
func shellQuote(s string) string { return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'" }

func newExitCodes() *cobra.Command {
	return &cobra.Command{
		Use:   "exit-codes",
		Short: "what the exit codes mean",
		Long:  exitCodesText,
	}
}

// everything reads a stream up to a limit; more than that is an error.
func everything(in io.Reader, name string) ([]byte, error) {
	text, err := io.ReadAll(io.LimitReader(in, maxSheet+1))
	if err == nil && len(text) > maxSheet {
		err = fmt.Errorf("%s is larger than %d MiB, the most a sheet can be", name, maxSheet>>20)
	}
	return text, err
}

const maxSheet = 256 << 20
