package cli

import (
	"context"
	"time"

	"github.com/spf13/cobra"

	"netlore/query/diag"
)

// app is one run of the command line: the environment and what holds for every
// command.
type app struct {
	Env

	ctx    context.Context // of the command line
	output *output

	baseDir string
	painted bool // the line of the terminal shows a reading of a meter
	wait    time.Duration
	json    bool
	paint   string // when to colour: auto, always, never
}

const rootLong = `netlore tells a board-level repair technician what is hidden on a rail and how
to reach it, where each pad between the boards leads, and, on a rail that is
shorted, what is suspect and what to test next (netlore suspects, netlore next).

Start with the demonstration:

  netlore demo

then put a board of your own into the knowledge base and ask:

  netlore add board.d356 placement.csv
  netlore ask 'hidden parts on VMAIN'`

func newRoot(a *app) *cobra.Command {
	root := &cobra.Command{
		Use:     "netlore",
		Short:   "a knowledge base of circuit-board nets for repair",
		Long:    rootLong,
		Version: version(),
		// So quote can take what looks like an option as a name.
		TraverseChildren: true,
		SilenceErrors:    true,
		SilenceUsage:     true,
		Args:             noSuchCommand,
		RunE:             func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.SetIn(a.In)
	root.SetOut(a.Out)
	root.SetErr(a.Err)
	root.SetFlagErrorFunc(flagError)
	root.SetUsageFunc(usage)
	root.SetHelpFunc(func(cmd *cobra.Command, _ []string) { a.help(cmd) })
	root.CompletionOptions.DisableDefaultCmd = true

	globalFlags(a, root)
	addCommands(a, root)
	return root
}

// colours are when to colour.
var colours = []string{"auto", "always", "never"}

func globalFlags(a *app, root *cobra.Command) {
	flags := root.PersistentFlags()
	flags.Var(folder("--base", &a.baseDir), "base", "folder of the knowledge base (or NETLORE_BASE)")
	flags.Var(duration("--wait", 0, &a.wait), "wait", "how long to wait for another process that holds the base")
	flags.BoolVar(&a.json, "json", false, "answers and complaints as JSON, one object a line")
	flags.Var(choice("--colour", "WHEN", &a.paint, colours...), "colour", "when to colour: "+diag.OneOf(colours...))
	root.RegisterFlagCompletionFunc("colour", completeWords(colours...))
}

// addCommands adds the commands in the order in which help lists them.
func addCommands(a *app, root *cobra.Command) {
	root.AddGroup(&cobra.Group{ID: "ask", Title: "Ask:"}, &cobra.Group{ID: "keep", Title: "Keep:"},
		&cobra.Group{ID: "sheet", Title: "Sheets:"},
		&cobra.Group{ID: "bench", Title: "Bench:"}, &cobra.Group{ID: "share", Title: "Share:"}, &cobra.Group{ID: "other", Title: "Other:"})
	root.SetHelpCommand(newHelp(root))
	for _, c := range []struct {
		group string
		cmd   *cobra.Command
	}{
		{"ask", newDemo(a)}, {"ask", newAsk(a)}, {"ask", newShell(a)}, {"ask", newExpected(a)}, {"ask", newMeters(a)}, {"ask", newContradictions(a)}, {"ask", newCompare(a)}, {"ask", newPlan(a)}, {"ask", newWithout(a)}, {"ask", newReport(a)}, {"ask", newSave(a)}, {"ask", newSaved(a)}, {"ask", newForget(a)}, {"ask", newExplain(a)}, {"ask", newQuote(a)},
		{"keep", newAdd(a)}, {"keep", newBoards(a)}, {"keep", newShow(a)}, {"keep", newHistory(a)},
		{"keep", newDiff(a)}, {"keep", newExport(a)}, {"keep", newPhoto(a)}, {"keep", newWithdraw(a)}, {"keep", newRemove(a)}, {"keep", newPurge(a)}, {"keep", newVerify(a)},
		{"sheet", newCheck(a)}, {"sheet", newFmt(a)}, {"sheet", newLanguageServer(a)},
		{"bench", newBench(a)}, {"bench", newJob(a)}, {"bench", newRead(a)}, {"bench", newSuspects(a)}, {"bench", newNext(a)}, {"bench", newWhatIf(a)}, {"bench", newChances(a)},
		{"bench", newInject(a)}, {"bench", newRing(a)}, {"bench", newMeter(a)}, {"bench", newProfile(a)}, {"bench", newSupply(a)},
		{"share", newPack(a)}, {"share", newMerge(a)}, {"share", newMirror(a)}, {"share", newLink(a)}, {"share", newShops(a)}, {"share", newTrust(a)}, {"share", newShun(a)}, {"share", newIdentity(a)},
		{"other", newCompletion(a)},
	} {
		c.cmd.GroupID, c.cmd.DisableFlagsInUseLine = c.group, true
		root.AddCommand(c.cmd)
	}
	root.AddCommand(newExitCodes(), newWords())
}
