package cli

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"netlore/cmd/internal/photos"
	"netlore/query"
	"netlore/query/align"
	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

// newPhotoPlace makes `netlore photo place`.
func newPhotoPlace(a *app) *cobra.Command {
	var file string
	cmd := &cobra.Command{
		Use:   "place BOARD top|bottom X,Y=NAME...",
		Short: "give parts and pads the places where a photo shows them",
		Long: `Place writes where parts and pads are, whose places are not known, from where an
aligned photo shows them: X,Y are pixels from its upper left corner. Each becomes
a statement of the board, such as "part C12 top at 12.3,8.15", that can be
corrected, exported and shared as any other. All are written, or none.

  netlore photo place Wren top 1220,804=C12 1404,1010=P3
  netlore photo unplace Wren C12`,
		Args:              atLeast(2, "say which board, which side, and where what is: netlore photo place Wren top 1220,804=C12"),
		ValidArgsFunction: a.completePhoto,
		RunE:              func(cmd *cobra.Command, args []string) error { return runPhotoPlace(cmd.Context(), a, file, args) },
	}
	cmd.Flags().Var(name("FILE", &file), "points", "a file of them, one a line")
	return cmd
}

func runPhotoPlace(ctx context.Context, a *app, file string, args []string) error {
	points, err := a.pointsOf(file, args[2:])
	if err != nil {
		return err
	}
	lines, results, err := a.placePicked(ctx, args, points)
	if err != nil {
		return err
	}
	if a.json {
		return a.added(results, "added")
	}
	for _, line := range lines {
		if err := a.line("%s", line); err != nil {
			return err
		}
	}
	return nil
}

// placePicked writes the places of what was picked on a photo, and returns the statements.
func (a *app) placePicked(ctx context.Context, words []string, points []store.PhotoPoint) (stated []string, results []store.Result, err error) {
	err = a.withdrawing(ctx, func(base *store.Base) error {
		p, err := keptPhoto(ctx, base, words)
		if err != nil {
			return err
		}
		b, err := base.Board(ctx, p.Board)
		if err != nil {
			return err
		}
		lines, fit, err := placedOn(b, p, points)
		if err != nil {
			return refused(err)
		}
		text := "netlore 1\n" + store.BoardSubject(p.Board).String() + "\n\n" + strings.Join(lines, "\n") + "\n"
		file, list := sheet.Parse("photo of the "+p.Side.String(), []byte(text))
		if err := list.Err(); err != nil {
			return err
		}
		results, err = base.Add(ctx, store.Addition{Subject: store.BoardSubject(p.Board), Files: []*sheet.File{file}, Author: a.author()})
		if err == nil {
			stated = lines
			a.complain(photos.Loose(fit))
		}
		return refused(err)
	})
	return stated, results, err
}

// placedOn are the statements of where picked things are, and how the photo lies that shows it.
func placedOn(b *board.Board, p *store.Photo, points []store.PhotoPoint) (lines []string, fit *align.Fit, err error) {
	if err := within(p, points); err != nil {
		return nil, nil, err
	}
	if fit, err = query.AlignPhoto(b, p.Side, photos.Picked(p.Points), p.Form); err != nil {
		return nil, nil, err
	}
	for _, at := range points {
		line, err := query.Placed(b, p.Side, at.Is, fit.Board(align.Point{X: at.X, Y: at.Y}))
		if err != nil {
			return nil, nil, err
		}
		lines = append(lines, line)
	}
	return lines, fit, nil
}

// newPhotoUnplace makes `netlore photo unplace`.
func newPhotoUnplace(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "unplace BOARD NAME...",
		Short: "take back places that were picked on a photo",
		Long: `Unplace takes back the places of parts and pads that were picked on a photo. What
else is said of them stays, and so do places that a sheet or an import has given
together with something else.`,
		Args:              atLeast(2, "say which board, and what has no place: netlore photo unplace Wren C12"),
		ValidArgsFunction: a.completeName,
		RunE:              func(cmd *cobra.Command, args []string) error { return runPhotoUnplace(cmd.Context(), a, args) },
	}
}

func runPhotoUnplace(ctx context.Context, a *app, args []string) error {
	return a.withdrawing(ctx, func(base *store.Base) error {
		ref, _, err := photoOf(base, []string{args[0], board.Top.String()})
		if err != nil {
			return err
		}
		for _, what := range args[1:] {
			r, err := a.unplace(ctx, base, ref, what)
			if err != nil {
				return err
			}
			if a.json {
				writeJSON(a.Out, resultJSON(r))
			} else if err := a.line("the place of %s is taken back", what); err != nil {
				return err
			}
		}
		return nil
	})
}

func (a *app) unplace(ctx context.Context, base *store.Base, ref board.Ref, what string) (store.Result, error) {
	b, err := base.Board(ctx, ref)
	if err != nil {
		return store.Result{}, err
	}
	r, err := base.Unplace(ctx, ref, query.Placing(b, what)+"\n", a.author())
	if errors.Is(err, store.ErrNotStated) {
		return r, fail(exitInput, hint(fmt.Errorf("no place of %s was picked on a photo", what), "a place that a sheet or an import has given is corrected in a sheet: netlore add --correct"))
	}
	return r, err
}
