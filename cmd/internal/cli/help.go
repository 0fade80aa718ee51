package cli

import (
	"fmt"
	"io"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"

	"netlore/cmd/internal/render"
	"netlore/query/diag"
)

// Help lists commands in the order in which they are added, not by name.
func init() { cobra.EnableCommandSorting = false }

// newHelp makes `netlore help`.
func newHelp(root *cobra.Command) *cobra.Command {
	return &cobra.Command{
		Use:     "help [COMMAND|TOPIC]",
		Short:   "tell more about a command or a topic",
		GroupID: "other",
		Args:    between(0, 2, "name one command or topic"),
		ValidArgsFunction: func(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
			if about, rest, err := root.Find(args); err == nil && len(rest) == 0 {
				return completeWords(names(about, true)...)(cmd, args, word)
			}
			return nil, cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(_ *cobra.Command, args []string) error {
			about, rest, err := root.Find(args)
			if err != nil || len(rest) > 0 {
				return unknownCommand("command or topic", strings.Join(args, " "), names(root, true))
			}
			return about.Help()
		},
	}
}

// names are the names of all commands, and of topics if wanted.
func names(root *cobra.Command, topics bool) []string {
	var all []string
	for _, c := range root.Commands() {
		if !c.Hidden && (topics || c.Runnable()) {
			all = append(all, c.Name())
		}
	}
	return all
}

// unknownCommand complains of a word that is none of the names.
func unknownCommand(what, word string, names []string, more ...string) error {
	var help []string
	for _, near := range diag.Closest(word, names) {
		help = append(help, "did you mean: netlore "+near)
	}
	help = append(help, "netlore help lists the commands")
	return hint(fmt.Errorf("there is no %s %q", what, word), append(help, more...)...)
}

// help prints all about a command or topic.
func (a *app) help(cmd *cobra.Command) {
	about := cmd.Long
	if about == "" {
		about = sentence(cmd.Short)
	}
	if a.print(strings.TrimRight(about, "\n")+"\n") == nil && cmd.Runnable() {
		a.print("\n")
		usage(cmd)
	}
}

// sentence makes a sentence of a command's short text.
func sentence(s string) string { return strings.ToUpper(s[:1]) + s[1:] + "." }

// helpWidth is how many columns help takes at most.
const helpWidth = 80

// usage prints how a command is called: its line, its commands, its options.
func usage(cmd *cobra.Command) error {
	var s strings.Builder
	if cmd.HasAvailableSubCommands() {
		s.WriteString("Usage:\n")
		if cmd.HasParent() { // it does something by itself, too
			fmt.Fprintf(&s, "  %s\n", cmd.UseLine())
		}
		fmt.Fprintf(&s, "  %s COMMAND [OPTIONS]\n", cmd.CommandPath())
		listCommands(&s, cmd)
	} else {
		fmt.Fprintf(&s, "Usage:\n  %s\n", cmd.UseLine())
	}
	if cmd.HasExample() {
		fmt.Fprintf(&s, "\nExamples:\n%s\n", cmd.Example)
	}
	if cmd.HasAvailableLocalFlags() {
		fmt.Fprintf(&s, "\nOptions:\n%s", options(cmd.LocalFlags().FlagUsages()))
	}
	if cmd.HasAvailableInheritedFlags() {
		fmt.Fprintf(&s, "\nOptions of every command:\n%s", options(cmd.InheritedFlags().FlagUsages()))
	}
	if cmd.HasAvailableSubCommands() {
		fmt.Fprintf(&s, "\n%s tells more about a command.\n", strings.Replace(cmd.CommandPath(), "netlore", "netlore help", 1)+" COMMAND")
	}
	_, err := io.WriteString(cmd.OutOrStdout(), s.String())
	return err
}

// options are lines on options, what each is for broken at the width of help. The library
// breaks lines of its own some columns early.
func options(usages string) string {
	var s strings.Builder
	for line := range strings.Lines(usages) {
		line = strings.TrimSuffix(line, "\n")
		_, about, found := strings.Cut(strings.TrimLeft(line, " "), "   ")
		about = strings.TrimLeft(about, " ")
		at := len(line) - len(about)
		if found && about != "" && at < helpWidth/2 {
			line = line[:at] + strings.ReplaceAll(render.Wrap(about, helpWidth-at), "\n", "\n"+strings.Repeat(" ", at))
		}
		s.WriteString(line + "\n")
	}
	return s.String()
}

// listCommands lists the commands of each group, and topics of help. The
// commands under a command are in no group.
func listCommands(s *strings.Builder, root *cobra.Command) {
	widest := 0
	for _, c := range root.Commands() {
		widest = max(widest, len(c.Name()))
	}
	if root.HasParent() {
		s.WriteString("\nCommands:\n")
		for _, c := range root.Commands() {
			fmt.Fprintf(s, "  %-*s  %s\n", widest, c.Name(), c.Short)
		}
		return
	}
	for _, g := range root.Groups() {
		fmt.Fprintf(s, "\n%s\n", g.Title)
		for _, c := range root.Commands() {
			if c.GroupID == g.ID {
				fmt.Fprintf(s, "  %-*s  %s\n", widest, c.Name(), c.Short)
			}
		}
	}
	s.WriteString("\nTopics:\n")
	for _, c := range root.Commands() {
		if c.IsAdditionalHelpTopicCommand() {
			fmt.Fprintf(s, "  help %-12s%s\n", c.Name(), c.Short)
		}
	}
}

// version is what the build says of itself.
func version() string {
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" {
		return info.Main.Version
	}
	return "(devel)"
}
