package cli

import (
	"context"
	"fmt"
	"io/fs"
	"path/filepath"

	"github.com/spf13/cobra"

	"netlore/query"
	"netlore/store"
	"netlore/store/sheet"
	"netlore/testdata/heron"
)

// newDemo makes `netlore demo`.
func newDemo(a *app) *cobra.Command {
	var to string
	cmd := &cobra.Command{
		Use:   "demo [--to FOLDER]",
		Short: "show the main job on a made-up radio; leaves nothing behind",
		Long: `Demo shows the main job on the Heron trail radio, which was made up for it. It
needs no knowledge base and leaves nothing behind. With --to it writes the
sheets of that radio into a folder instead, to add them and ask about them.`,
		Args: between(0, 0, "demo takes no words"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if to != "" {
				return writeHeron(a, to)
			}
			return runDemo(cmd.Context(), a)
		},
	}
	cmd.Flags().Var(folder("--to", &to), "to", "folder to write the sheets of the radio into")
	return cmd
}

// demoStep is one question of the demonstration and why it is asked.
type demoStep struct{ why, question string }

const demoIntro = `The Heron trail radio, made up for this demonstration: two boards soldered face to
face through 132 pads. On the bench: dead after a fall into a stream, draws 2.4 A at
once, so something on its main rail, VMAIN, is shorted to ground. Taken apart, the
logic half reads normal, and so do the pads P11 and P31 of the radio half.
`

var demoSteps = []demoStep{
	{"VMAIN is one net on paper. On the radio half it is four pieces of copper, each fed\nby pads of its own:",
		"branches of lower:VMAIN show pads, function"},
	{"P11 and P31 read normal, so .pa and .rf are out. What is left, and what lies over it?\n(- is nothing: a thermal camera sees these parts; ? is not known.)",
		"count parts on VMAIN.gnss or VMAIN.card by cover"},
	{"Which are those that nobody can see, and what does it take to get there?",
		"hidden parts on VMAIN.gnss or VMAIN.card"},
	{"Has anybody been there before?",
		"notes on lower:J7"},
}

const demoOutro = `Try it yourself:   netlore demo --to heron
                   netlore add heron
                   netlore ask 'parts behind lower:J7'
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
	if err := a.lead(ctx, base); err != nil || a.json {
		return err
	}
	return a.print("\n" + demoOutro)
}

// ledJob is the job that is led.
const ledJob = "1042"

// led is what was found on the bench, and what is asked then.
type led struct {
	steps   []string
	why     string
	command string
	what    query.Isolating
}

var leading = []led{
	{nil, "So far six steps are logged in the job. What comes next?", "next", query.Isolating{Job: ledJob}},
	{[]string{"reading diode pad lower:P62 0.487V", "reading diode pad lower:P97 3mV", "inject lower:P97 1V 2A", "hot nothing"},
		"P62 reads normal and P97 does not: it is on .card. Fed with a volt, nothing becomes\nwarm that can be seen. And now?", "next", query.Isolating{Job: ledJob}},
	{[]string{"cover-off lower:J7", "inject lower:P97 1V 2A", "hot lower:C4410", "removed lower:C4410", "reading diode pad lower:P97 0.457V"},
		"J7 comes off, and C4410 becomes warm. Without it the pad reads normal. This is how\nthe list shrank (left: suspects that share 95 % of the chance):", "suspects --steps", query.Isolating{Job: ledJob, Steps: true}},
}

// lead leads the open job from its first readings to the part that is bad.
func (a *app) lead(ctx context.Context, base *store.Base) error {
	for _, l := range leading {
		for _, step := range l.steps {
			if _, err := base.Log(ctx, ledJob, step, "bench-1"); err != nil {
				return err
			}
		}
		ask := query.Tests
		if l.what.Steps {
			ask = query.Suspects
		}
		answer, err := ask(ctx, base, query.Options{On: "Heron", Now: a.Now}, l.what)
		if err != nil {
			return err
		}
		if a.json {
			writeJSON(a.Out, map[string]string{"why": l.why, "command": l.command + " " + ledJob})
		} else if err := a.print("\n" + l.why + "\n$ netlore " + l.command + " " + ledJob + "\n"); err != nil {
			return err
		}
		if err := a.tellAnswer(ctx, answer, a.answerStyle(askOptions{as: "table"})); err != nil {
			return err
		}
	}
	return nil
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

// writeHeron writes the sheets of the demonstration scenario into a folder.
func writeHeron(a *app, dir string) error {
	names, err := fs.Glob(heron.Sheets, "*.lore")
	if err != nil {
		return err
	}
	if err := makeFolder(dir); err != nil {
		return err
	}
	for _, name := range names {
		text, err := heron.Sheets.ReadFile(name)
		if err != nil {
			return err
		}
		path := filepath.Join(dir, name)
		if err := newFile(path, text); err != nil {
			return err
		}
		if err := a.wrote(path); err != nil {
			return err
		}
	}
	return nil
}

// wrote tells which file was written, or would be.
func (a *app) wrote(path string) error {
	if a.json {
		writeJSON(a.Out, map[string]string{"file": path})
		return nil
	}
	return a.line("%s", path)
}
