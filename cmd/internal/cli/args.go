package cli

import (
	"errors"
	"strings"

	"github.com/spf13/cobra"
)

// noSuchCommand answers a first word that is no command.
func noSuchCommand(cmd *cobra.Command, args []string) error {
	var help []string
	switch {
	case len(args) == 0:
		return nil
	case len(args) > 1:
		help = append(help, "to ask a question: netlore ask "+shellQuote(strings.Join(args, " ")))
	}
	return unknownCommand("command", args[0], names(cmd, false), help...)
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
