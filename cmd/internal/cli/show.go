package cli

import (
	"context"
	"fmt"
	"strings"

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
	name, revision, err := named(args)
	if err != nil {
		return err
	}
	return a.reading(ctx, func(base *store.Base) error {
		s, err := find(base, name, revision)
		if err != nil {
			return err
		}
		if s.Stack {
			return a.showStack(base, s)
		}
		b, err := base.Board(ctx, s.Ref)
		if err != nil {
			return err
		}
		known, err := base.Knowledge(ctx, s.Ref)
		if err != nil {
			return err
		}
		if a.json {
			return a.boardJSON(b, known)
		}
		return a.showBoard(b, known)
	})
}

func (a *app) showBoard(b *board.Board, known *board.Knowledge) error {
	var s strings.Builder
	fmt.Fprintf(&s, "%s", b.Ref)
	if b.Title != "" {
		fmt.Fprintf(&s, ", %s", b.Title)
	}
	s.WriteByte('\n')
	if !b.Size.Zero() {
		fmt.Fprintf(&s, "  %s by %s", board.Millimetres(b.Size.W), board.Millimetres(b.Size.H))
		if b.Layers > 0 {
			fmt.Fprintf(&s, ", %d layers", b.Layers)
		}
		s.WriteByte('\n')
	}
	fmt.Fprintf(&s, "  %s (%s), %s, %s, %s\n", plural(len(b.Parts), "part"), plural(len(b.Pins), "pin"),
		plural(len(b.Nets), "net"), plural(len(b.Pads), "pad"), plural(len(b.Covers), "cover"))
	fmt.Fprintf(&s, "  %s, %s, %s, %s\n", plural(len(known.Expected), "expected value"), plural(len(known.Readings), "reading"),
		plural(len(known.Notes), "note"), plural(len(known.Jobs), "job"))
	for _, line := range missing(b) {
		fmt.Fprintf(&s, "  %s\n", line)
	}
	if err := a.printf("%s\n", s.String()); err != nil {
		return err
	}
	return a.powerNets(b)
}

// missing tells what is not known of a board, for answers depend on it.
func missing(b *board.Board) []string {
	var all []string
	unplaced, outlines, ground := 0, 0, false
	for i := range b.Parts {
		if !b.Parts[i].Placed {
			unplaced++
		}
	}
	for i := range b.Covers {
		if !b.Covers[i].Listed && b.Covers[i].Outline.Zero() {
			outlines++
		}
	}
	for i := range b.Nets {
		ground = ground || b.Nets[i].Kind == board.Ground
	}
	if unplaced > 0 {
		all = append(all, plural(unplaced, "part")+" without a place")
	}
	if outlines > 0 {
		all = append(all, plural(outlines, "cover")+" without outline or list")
	}
	if len(b.Covers) == 0 {
		all = append(all, "no covers are known, so nothing counts as hidden")
	}
	if !ground {
		all = append(all, "no net is named as ground")
	}
	return all
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

func (a *app) boardJSON(b *board.Board, known *board.Knowledge) error {
	writeJSON(a.Out, map[string]any{"board": b.Name, "revision": b.Revision, "title": b.Title, "layers": b.Layers,
		"parts": len(b.Parts), "pins": len(b.Pins), "nets": len(b.Nets), "pads": len(b.Pads), "covers": len(b.Covers),
		"branches": len(b.Branches), "vias": len(b.Vias), "holes": len(b.Holes), "tracks": len(b.Tracks),
		"readings": len(known.Readings), "expected": len(known.Expected), "notes": len(known.Notes), "jobs": len(known.Jobs),
		"missing": missing(b)})
	return nil
}

func (a *app) showStack(base *store.Base, s store.Subject) error {
	stack, known, err := base.Stack(context.Background(), s.Ref.Name)
	if err != nil {
		return err
	}
	if a.json {
		writeJSON(a.Out, map[string]any{"stack": stack.Name, "title": stack.Title, "members": memberNames(*stack), "joins": len(stack.Joins), "jobs": len(known.Jobs)})
		return nil
	}
	if err := a.printf("%s, %s\n  %s, %s, %s\n", stack.Name, stack.Title, strings.Join(memberNames(*stack), "; "),
		plural(len(stack.Joins), "join"), plural(len(known.Notes), "note")); err != nil || len(known.Jobs) == 0 {
		return err
	}
	t := newText(a, "job", "symptom", "opened", "closed", "culprit")
	for _, j := range known.Jobs {
		closed := "open"
		if !j.Closed.IsZero() {
			closed = j.Closed.Format("2006-01-02")
		}
		t.row(j.ID, j.Symptom, j.Opened.Format("2006-01-02"), closed, culprits(j))
	}
	if err := a.printf("\n"); err != nil {
		return err
	}
	return t.print()
}

func culprits(j board.Job) string {
	var all []string
	for _, c := range j.Culprits {
		name := c.Name
		if c.Pin != "" {
			name += "." + c.Pin
		}
		if c.Role != "" {
			name = c.Role + ":" + name
		}
		all = append(all, name)
	}
	return strings.Join(all, ", ")
}
