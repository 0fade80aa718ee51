package cli

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"netlore/store"
	"netlore/store/board"
)

// newShow makes `netlore show`.
func newShow(a *app) *cobra.Command {
	return &cobra.Command{
		Use:               "show BOARD|STACK [rev REVISION]",
		Short:             "show what the base holds of a board or stack",
		Args:              between(1, 3, "name the board or stack to show"),
		ValidArgsFunction: a.completeSubject,
		RunE:              func(cmd *cobra.Command, args []string) error { return runShow(cmd.Context(), a, args) },
	}
}

func runShow(ctx context.Context, a *app, args []string) error {
	return a.reading(ctx, func(base *store.Base) error {
		s, err := findNamed(ctx, base, args)
		if err != nil {
			return err
		}
		if s.Job {
			return fail(exitUsage, hint(errors.New("show shows a board or a stack"), "netlore job show "+shellWord(s.Ref.Name)+" shows the job"))
		}
		if s.Questions {
			return fail(exitUsage, hint(errors.New("show shows a board or a stack"), "netlore saved lists the saved questions"))
		}
		if s.Chances {
			return fail(exitUsage, hint(errors.New("show shows a board or a stack"), "netlore chances lists the chances"))
		}
		if s.Meters {
			return fail(exitUsage, hint(errors.New("show shows a board or a stack"), "netlore profile lists the meters"))
		}
		if s.Stack {
			return a.showStack(ctx, base, s)
		}
		b, err := base.Board(ctx, s.Ref)
		if err != nil {
			return err
		}
		known, err := base.Knowledge(ctx, s.Ref)
		if err != nil {
			return err
		}
		hash, err := base.Hash(s)
		if err != nil {
			return err
		}
		if a.json {
			return a.boardJSON(b, known, hash)
		}
		return a.showBoard(b, known)
	})
}

func (a *app) showBoard(b *board.Board, known *board.Knowledge) error {
	facts := []string{size(b),
		fmt.Sprintf("%s (%s), %s, %s, %s", plural(len(b.Parts), "part"), plural(len(b.Pins), "pin"),
			plural(len(b.Nets), "net"), plural(len(b.Pads), "pad"), plural(len(b.Covers), "cover")),
		fmt.Sprintf("%s, %s, %s, %s", plural(len(known.Expected), "expected value"), plural(len(known.Readings), "reading"),
			plural(len(known.Notes), "note"), plural(len(known.Jobs), "job")),
	}
	if err := a.headed(titled(b.Ref.String(), b.Title), append(facts, missing(b)...)); err != nil {
		return err
	}
	return a.powerNets(b)
}

// headed prints a heading and, indented under it, facts. Empty ones are left
// out.
func (a *app) headed(heading string, facts []string) error {
	if err := a.line("%s", heading); err != nil {
		return err
	}
	for _, fact := range facts {
		if fact == "" {
			continue
		}
		if err := a.line("  %s", fact); err != nil {
			return err
		}
	}
	return nil
}

// titled is a name and the title of what it names, if there is one.
func titled(name, title string) string {
	if title == "" {
		return name
	}
	return name + ", " + title
}

// size is how large a board is and how many layers it has, as far as known.
func size(b *board.Board) string {
	if b.Size.Zero() {
		return ""
	}
	text := fmt.Sprintf("%s by %s", board.Millimetres(b.Size.W), board.Millimetres(b.Size.H))
	if b.Layers > 0 {
		text += ", " + plural(int(b.Layers), "layer")
	}
	return text
}

// missing tells what is not known of a board, for answers depend on it.
func missing(b *board.Board) []string {
	var all []string
	if n := count(b.Parts, func(p board.Part) bool { return !p.Placed }); n > 0 {
		all = append(all, plural(n, "part")+" without a place")
	}
	if n := count(b.Covers, func(c board.Cover) bool { return !c.Listed && c.Outline.Zero() }); n > 0 {
		all = append(all, plural(n, "cover")+" without outline or list")
	}
	if len(b.Covers) == 0 {
		all = append(all, "no covers are known, so nothing counts as hidden")
	}
	if !b.HasGround() {
		all = append(all, "no net is named as ground")
	}
	return all
}

// count counts the things of which something holds.
func count[T any](things []T, holds func(T) bool) int {
	n := 0
	for _, t := range things {
		if holds(t) {
			n++
		}
	}
	return n
}

// powerNets lists ground and supplies, those with most parts first to see what
// matters.
func (a *app) powerNets(b *board.Board) error {
	t := newText(a, "net", "kind", "volts", "parts", "pads")
	t.numbers(3, 5)
	for i := range b.Nets {
		n := &b.Nets[i]
		if n.Kind != board.Ground && n.Kind != board.Power {
			continue
		}
		volts := ""
		if n.Volts.Known() {
			volts = n.Volts.String()
		}
		t.row(board.QuoteName(n.Name), n.Kind, volts, partsOn(b, board.NetID(i)), len(b.PadsOn(board.NetID(i))))
	}
	if len(t.t.Rows) == 0 {
		return nil
	}
	if err := a.print("\n"); err != nil {
		return err
	}
	return t.print()
}

func partsOn(b *board.Board, n board.NetID) int {
	count, last := 0, board.PartID(board.None)
	for _, p := range b.PinsOn(n) {
		if b.Pins[p].Part != last {
			last = b.Pins[p].Part
			count++
		}
	}
	return count
}

func (a *app) boardJSON(b *board.Board, known *board.Knowledge, hash string) error {
	writeJSON(a.Out, map[string]any{"board": b.Name, "revision": b.Revision, "title": b.Title, "layers": b.Layers,
		"parts": len(b.Parts), "pins": len(b.Pins), "nets": len(b.Nets), "pads": len(b.Pads), "covers": len(b.Covers),
		"branches": len(b.Branches), "vias": len(b.Vias), "holes": len(b.Holes), "tracks": len(b.Tracks),
		"readings": len(known.Readings), "expected": len(known.Expected), "notes": len(known.Notes), "jobs": len(known.Jobs),
		"missing": missing(b), "hash": hash})
	return nil
}
