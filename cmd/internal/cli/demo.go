package cli

import (
	"context"
	"fmt"
	"io/fs"

	"github.com/spf13/cobra"

	"netlore/store"
	"netlore/store/sheet"
	"netlore/testdata/heron"
)

// newDemo makes `netlore demo`.
func newDemo(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "demo",
		Short: "show the main job on a made-up radio; leaves nothing behind",
		Args:  between(0, 0, "demo takes no words"),
		RunE:  func(cmd *cobra.Command, _ []string) error { return runDemo(cmd.Context(), a) },
	}
}

// demoStep is one question of the demonstration and why it is asked.
type demoStep struct{ why, question string }

const demoIntro = `The Heron trail radio, made up for this demonstration: a logic half (Heron-A) and a
radio half (Heron-B), soldered face to face through 132 pads. Job 1042 on the bench: dead
after a fall into a stream, draws 2.4 A at once. Apart, the logic half reads normal on
VMAIN, and so do the pads P11 and P31 of the radio half. Something else there is shorted.
`

var demoSteps = []demoStep{
	{"VMAIN is one net on paper. On the radio half it is four pieces of copper:", "branches of lower:VMAIN show pads, function"},
	{"P11 and P31 read normal, so .pa and .rf are out. What is left, and what hides it?", "count parts on VMAIN.gnss or VMAIN.card by cover"},
	{"Which of these nobody can see, probe or image:", "hidden parts on VMAIN.gnss or VMAIN.card"},
	{"What it takes to get there:", "covers over (parts on VMAIN.gnss or VMAIN.card)"},
	{"What the shop already knows about that cover:", "notes on lower:J7"},
	{"And what sits behind it, on the other side, where the heat will go too:", "count parts behind lower:J7"},
}

const demoOutro = `Before any of that: battery unplugged, capacitors discharged, never above the rail's rated
voltage, a current limit set, eyes protected, fumes drawn off; follow the maker's instructions.

Try it yourself:   netlore add testdata/heron      then   netlore ask 'hidden parts on VMAIN'
A board of yours:  netlore add board.d356 placement.csv --board NAME
`

func runDemo(ctx context.Context, a *app) error {
	base := store.OpenMemory(a.now)
	defer base.Close()
	if err := addHeron(ctx, base); err != nil {
		return err
	}
	opt := askOptions{on: "Heron", as: "table"}
	for i, step := range demoSteps {
		if err := a.announce(step, i == 0); err != nil {
			return err
		}
		if err := a.answer(ctx, base, opt, a.answerStyle(opt), step.question); err != nil {
			return err
		}
	}
	if a.json {
		return nil
	}
	return a.print("\n" + demoOutro)
}

// announce says which question follows, and why it is asked.
func (a *app) announce(step demoStep, first bool) error {
	if a.json {
		writeJSON(a.Out, map[string]string{"why": step.why, "question": step.question})
		return nil
	}
	text := "\n" + step.why + "\n$ netlore ask " + shellQuote(step.question) + "\n"
	if first {
		text = demoIntro + text
	}
	return a.print(text)
}

// addHeron puts the demonstration scenario into a base.
func addHeron(ctx context.Context, base *store.Base) error {
	names, err := fs.Glob(heron.Sheets, "*.lore")
	if err != nil {
		return err
	}
	var files []*sheet.File
	for _, name := range names {
		text, err := heron.Sheets.ReadFile(name)
		if err != nil {
			return err
		}
		file, list := sheet.Parse(name, text)
		if err := list.Err(); err != nil {
			return fmt.Errorf("the demonstration's own sheets: %w", err)
		}
		files = append(files, file)
	}
	additions, err := bySubject(files, addOptions{})
	if err != nil {
		return err
	}
	for i := range additions {
		additions[i].Author = "bench-1"
	}
	_, err = base.Add(ctx, additions...)
	return err
}
