package cli

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"netlore/cmd/internal/photos"
	"netlore/query/align"
	"netlore/query/diag"
	"netlore/store"
	"netlore/store/board"
)

// newPhoto makes `netlore photo`.
func newPhoto(a *app) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "photo",
		Short: "list the shop's own photos of boards, or work with one",
		Long: `Photo lists the photos of boards that the base keeps, one of each side, and how
well each is aligned with its board. A photo is for the shop alone: it is in no
pack, mirror, link or export. What a camera writes beside a picture, such as
where it was taken, is not kept.

  netlore photo add Heron-B top board.jpg
  netlore photo align Heron-B top 210,188=P1 3810,202=P33 3795,2250=P67
  netlore plan --photo 'hidden parts on lower:VMAIN' -o hidden.svg

On a board whose places are not known, a photo gives them: align it by the
corners of the board, or by two points whose distance is known, and pick.

  netlore photo align Wren top 100,1900=0,0 3100,1900=60,0
  netlore photo place Wren top 1220,804=C12 1404,1010=P3

The page for the bench does the same with taps (netlore bench).`,
		Args: noSuchOn("photos"),
		RunE: func(cmd *cobra.Command, _ []string) error { return runPhotos(cmd.Context(), a) },
	}
	for _, c := range []*cobra.Command{newPhotoAdd(a), newPhotoAlign(a), newPhotoPlace(a), newPhotoUnplace(a), newPhotoShow(a), newPhotoRemove(a)} {
		c.DisableFlagsInUseLine = true
		cmd.AddCommand(c)
	}
	return cmd
}

func runPhotos(ctx context.Context, a *app) error {
	return a.reading(ctx, func(base *store.Base) error {
		all, err := base.Photos(ctx)
		if err != nil {
			return err
		}
		if len(all) == 0 && !a.json {
			return a.print("no photo is kept yet; netlore photo add BOARD SIDE FILE keeps one\n")
		}
		t := newText(a, "board", "side", "pixels", "added", "by", "points", "aligned")
		t.numbers(6, 6)
		for i := range all {
			p := &all[i]
			_, fit, why := photos.Fit(ctx, base, p)
			if a.json {
				writeJSON(a.Out, photoJSON(p, fit))
				continue
			}
			t.row(p.Board, p.Side, fmt.Sprintf("%dx%d", p.Wide, p.High), date(p.Time), p.Author, len(p.Points), alignedText(fit, why))
		}
		if a.json {
			return nil
		}
		return t.print()
	})
}

func photoJSON(p *store.Photo, fit *align.Fit) map[string]any {
	object := map[string]any{"board": p.Board.String(), "side": p.Side.String(), "wide": p.Wide, "high": p.High, "bytes": p.Bytes, "added": timeJSON(p.Time), "by": p.Author, "points": len(p.Points)}
	if fit != nil {
		object["form"], object["off_mm"] = fit.Form.String(), fit.RMS
	}
	return object
}

func alignedText(fit *align.Fit, why error) string {
	var list diag.List
	switch {
	case why == nil && fit.Spare == 0:
		return fit.Form.String() + ", through all points"
	case why == nil:
		return fmt.Sprintf("%s, off by %s", fit.Form, photos.Off(fit.RMS))
	case errors.As(why, &list) && list[0].Code == "P102":
		return "not yet"
	case errors.As(why, &list):
		return "no: " + list[0].Message
	}
	return "no: " + why.Error()
}

// photoOf reads the first words of a command on a photo: a board, perhaps with its revision in the same
// word, and a side.
func photoOf(base *store.Base, words []string) (board.Ref, board.Side, error) {
	name, revision, _ := strings.Cut(words[0], " rev ")
	s, err := find(base, name, revision)
	if err != nil {
		return board.Ref{}, 0, err
	}
	if s.Stack || s.Shared() {
		return board.Ref{}, 0, hint(fmt.Errorf("%s is no board, and a photo is of a side of a board", s), "name one of its boards; netlore boards lists them")
	}
	side, ok := board.SideByWord(words[1])
	if !ok || side == board.BothSides {
		return board.Ref{}, 0, fmt.Errorf("a photo is of the top or the bottom of a board, not of %q", words[1])
	}
	return s.Ref, side, nil
}

// keptPhoto is the photo that the first words of a command mean.
func keptPhoto(ctx context.Context, base *store.Base, words []string) (*store.Photo, error) {
	ref, side, err := photoOf(base, words)
	if err != nil {
		return nil, err
	}
	p, err := base.Photo(ctx, ref, side)
	return p, noPhoto(err, ref, side)
}

// noPhoto says how to get a photo that is not there.
func noPhoto(err error, ref board.Ref, side board.Side) error {
	if !errors.Is(err, store.ErrNoPhoto) {
		return err
	}
	return hint(fmt.Errorf("no photo of the %s of %s is kept", side, ref), fmt.Sprintf("netlore photo add %s %s FILE keeps one", shellWord(ref.String()), side))
}

func (a *app) completePhoto(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
	switch len(args) {
	case 0:
		return a.completeName(cmd, args, word)
	case 1:
		return beginning(word, []string{board.Top.String(), board.Bottom.String()}), cobra.ShellCompDirectiveNoFileComp
	}
	return nil, cobra.ShellCompDirectiveDefault
}
