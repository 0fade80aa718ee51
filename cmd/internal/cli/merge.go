package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"netlore/query/diag"
	"netlore/store"
	"netlore/store/exchange"
	"netlore/store/exchange/link"
)

type mergeOptions struct {
	take bool
	from string // the pack as the command line names it
}

// newMerge makes `netlore merge`.
func newMerge(a *app) *cobra.Command {
	var opt mergeOptions
	cmd := &cobra.Command{
		Use:   "merge FILE|FOLDER|-... [--take]",
		Short: "look into packs of other shops, and take them",
		Long: `Merge tells what is in packs: whose word it is, what is new, what contradicts
what is held, and what is signed badly or not at all. It takes nothing, unless
--take says so.

What a shop says counts as far as it is trusted: "netlore trust KEY trusted".
Until then it is kept apart and never computed with. Your own word goes first,
and of two shops that contradict each other neither is believed. Taking the
same pack twice is harmless, and the order does not matter. "netlore merge
undo NUMBER" takes a pack back as a whole.`,
		Args: atLeast(1, "name the packs"),
		RunE: func(cmd *cobra.Command, args []string) error { return runMerge(cmd.Context(), a, opt, args) },
	}
	cmd.Flags().BoolVar(&opt.take, "take", false, "take what the packs hold")
	undo := newMergeUndo(a)
	undo.DisableFlagsInUseLine = true
	cmd.AddCommand(undo)
	return cmd
}

func runMerge(ctx context.Context, a *app, opt mergeOptions, args []string) error {
	packs, err := packsIn(args)
	if err != nil {
		return err
	}
	found := false
	merge := func(base *store.Base) error {
		for _, path := range packs {
			odd, err := a.merge(ctx, base, path, opt)
			if found = found || odd; err != nil {
				return err
			}
		}
		return nil
	}
	if opt.take {
		err = a.writing(ctx, merge)
	} else if err = a.reading(ctx, merge); errors.Is(err, store.ErrNoBase) {
		empty := store.OpenMemory(a.now)
		defer empty.Close()
		err = merge(empty)
	}
	if err == nil && found {
		return fail(exitFound, nil)
	}
	return err
}

// packsIn lists the packs that the words of a command line name.
func packsIn(args []string) (packs []string, err error) {
	for _, arg := range args {
		info, err := os.Stat(arg)
		switch {
		case arg == stdin:
			packs = append(packs, arg)
		case err != nil:
			return nil, fail(exitInput, fileError(arg, err))
		case !info.IsDir():
			packs = append(packs, arg)
		default:
			found, _ := filepath.Glob(filepath.Join(strings.NewReplacer("*", "\\*", "?", "\\?", "[", "\\[").Replace(arg), "*.pack")) // the pattern is sound
			if len(found) == 0 {
				return nil, fail(exitInput, fmt.Errorf("%s is a folder without any pack (*.pack)", arg))
			}
			packs = append(packs, found...)
		}
	}
	return packs, nil
}

// merge looks into a pack, or takes it. It reports whether something was odd.
func (a *app) merge(ctx context.Context, base *store.Base, path string, opt mergeOptions) (odd bool, err error) {
	var in io.Reader = a.In
	name := "standard input"
	opt.from = path
	if path != stdin {
		file, err := os.Open(path)
		if err != nil {
			return false, fail(exitInput, fileError(path, err))
		}
		defer file.Close()
		in, name = file, filepath.ToSlash(path)
	}
	pack, err := exchange.NewReader(in, name, a.now())
	if err != nil {
		return false, packError(err)
	}
	p := newProgress(a, "reading "+name)
	taken, err := base.Take(ctx, pack.Next, store.Taking{From: name, Author: a.author(), Look: !opt.take,
		Progress: func(entries int) { p.show("reading %s: %d entries", name, entries) }})
	p.done()
	if taken != nil {
		if told := a.tellTaken(ctx, base, name, taken, opt); told != nil {
			return false, told
		}
		odd = len(taken.Refused) > 0
	}
	return odd, packError(err)
}

// packError gives what is wrong with a pack its exit code.
func packError(err error) error {
	var d diag.Diagnostic
	if errors.As(err, &d) {
		return fail(exitInput, d)
	}
	return err
}

// newMergeUndo makes `netlore merge undo`.
func newMergeUndo(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "undo NUMBER",
		Short: "take back a pack that was taken",
		Long: `Undo deletes what came with a pack and with no pack before it, and works out
what counts without it. What shops have said about their keys stays. "netlore
shops --packs" lists the packs with their numbers.

What it came from still has it: the same pack can be taken again, and the next
netlore mirror or netlore link takes it again by itself. To keep it from
counting for good, use netlore shun, or netlore trust for all of a shop.`,
		Args: between(1, 1, "give the number of the pack; netlore shops --packs lists them"),
		RunE: func(cmd *cobra.Command, args []string) error { return runMergeUndo(cmd.Context(), a, args[0]) },
	}
}

func runMergeUndo(ctx context.Context, a *app, number string) error {
	n, err := strconv.ParseUint(number, 10, 64)
	if err != nil {
		return fmt.Errorf("%q is no number of a pack", number)
	}
	return a.withdrawing(ctx, func(base *store.Base) error {
		rec, adoptions, err := base.UndoTake(ctx, n, a.author())
		if errors.Is(err, store.ErrUnknownReceipt) {
			return hint(err, "netlore shops --packs lists them")
		}
		if err != nil {
			return err
		}
		if a.json {
			writeJSON(a.Out, map[string]any{"pack": rec.From, "receipt": rec.Number, "taken": timeJSON(rec.Time), "undone": timeJSON(rec.Undone), "adoptions": adoptionsJSON(adoptions)})
			return nil
		}
		if err := errors.Join(a.line("%s, taken %s, was taken back", rec.From, date(rec.Time)), a.tellAdoptions(adoptions, true)); err != nil {
			return err
		}
		if log, found := strings.CutPrefix(rec.From, link.FromLog); found {
			return a.line("the log %s still has it: netlore link takes it again when it is begun anew", log)
		}
		if info, err := os.Stat(rec.From); err == nil && info.IsDir() {
			return a.line("the folder %s still has it: the next netlore mirror takes it again", rec.From)
		}
		return nil
	})
}
