package cli

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"netlore/query/diag"
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

// noSuchOn answers a first word that is none of the commands of a command, which work on things; more
// says what else it may be, in a pattern.
func noSuchOn(things string, more ...string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) == 0 {
			return nil
		}
		var help []string
		for _, near := range diag.Closest(args[0], names(cmd, false)) {
			help = append(help, "did you mean: "+cmd.CommandPath()+" "+near)
		}
		for _, pattern := range more {
			help = append(help, fmt.Sprintf(pattern, shellWord(args[0])))
		}
		return hint(fmt.Errorf("there is no command %q on %s", args[0], things), append(help, "netlore help "+cmd.Name()+" lists the commands")...)
	}
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
