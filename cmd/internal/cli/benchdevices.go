package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"netlore/cmd/internal/bench"
)

// newBenchDevices makes `netlore bench devices`.
func newBenchDevices(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "devices",
		Short: "list the tablets and guests that were let in",
		Long: `Devices lists who was let in to the bench page over the network, and since when.
A tablet stays let in for half a year, a guest until netlore bench ends.`,
		Args: between(0, 0, "devices takes no words"),
		RunE: func(*cobra.Command, []string) error { return runBenchDevices(a) },
	}
}

func (a *app) letIn() (*bench.Devices, []bench.Device, error) {
	keep, err := a.benchKeep()
	if err != nil {
		return nil, nil, err
	}
	devices := bench.NewDevices(keep)
	all, err := devices.All()
	if err != nil {
		err = fail(exitInput, fmt.Errorf("who was let in cannot be read: %w", reason(err)))
	}
	return devices, all, err
}

func runBenchDevices(a *app) error {
	_, all, err := a.letIn()
	if err != nil {
		return err
	}
	t := newText(a, "device", "let in to", "since")
	for _, d := range all {
		if a.json {
			writeJSON(a.Out, map[string]any{"device": d.Name, "guest": d.Guest, "since": d.Since})
			continue
		}
		t.row(d.Name, d.Role(), d.Since.In(a.Now().Location()).Format("2006-01-02 15:04"))
	}
	switch {
	case a.json:
		return nil
	case len(all) == 0:
		return a.line("no device of the network has been let in")
	}
	return t.print()
}

// newBenchSendAway makes `netlore bench send-away`.
func newBenchSendAway(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "send-away NAME",
		Short: "let a tablet or guest in no more",
		Long: `Send-away ends that a device is let in to the bench page, at once, also while the
page is served. To come back it needs a new code.`,
		Args: between(1, 1, "name the device as netlore bench devices lists it"),
		ValidArgsFunction: func(_ *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
			var names []string
			if _, all, err := a.letIn(); err == nil && len(args) == 0 {
				for _, d := range all {
					names = append(names, d.Name)
				}
			}
			return beginning(word, names), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(_ *cobra.Command, args []string) error { return runBenchSendAway(a, args[0]) },
	}
}

func runBenchSendAway(a *app, name string) error {
	devices, _, err := a.letIn()
	if err != nil {
		return err
	}
	if err := devices.SendAway(name); err != nil {
		return fail(exitInput, hint(err, "netlore bench devices lists them"))
	}
	if a.json {
		writeJSON(a.Out, map[string]any{"device": name, "let_in": false})
		return nil
	}
	return a.line("%s is let in no more", name)
}
