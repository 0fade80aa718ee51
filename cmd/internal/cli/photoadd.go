package cli

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"netlore/store"
	"netlore/store/board"
	"netlore/store/photo"
)

// newPhotoAdd makes `netlore photo add`.
func newPhotoAdd(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "add BOARD top|bottom FILE|-",
		Short: "keep a photo of a side of a board",
		Long: `Add keeps a photo of the top or the bottom of a board, JPEG or PNG, in place of
the one that there was, whose points go with it. The bottom is photographed as
one sees it, and not mirrored. It is turned upright, and of all that the camera
has written beside the picture (where and when it was taken, and with what)
nothing is kept.

Take it from straight above, with all four corners in the picture.`,
		Example:           "  netlore photo add Heron-B top board.jpg",
		Args:              between(3, 3, "say which board, which side, and the file: netlore photo add Heron-B top board.jpg"),
		ValidArgsFunction: a.completePhoto,
		RunE:              func(cmd *cobra.Command, args []string) error { return runPhotoAdd(cmd.Context(), a, args) },
	}
}

func runPhotoAdd(ctx context.Context, a *app, args []string) error {
	data, err := a.upTo(photo.MostBytes, args[2])
	if err != nil {
		return err
	}
	kept, err := a.addPhoto(ctx, args, data)
	if err != nil {
		return err
	}
	if a.json {
		writeJSON(a.Out, photoJSON(kept, nil))
		return nil
	}
	if err := a.line("%s, %s: a photo of %d x %d pixels is kept; nothing but the picture itself", kept.Board, kept.Side, kept.Wide, kept.High); err != nil {
		return err
	}
	return a.line("netlore photo align %s %s X,Y=NAME... says where on it known places are", shellWord(kept.Board.String()), kept.Side)
}

// addPhoto keeps a picture of the board and side that words name.
func (a *app) addPhoto(ctx context.Context, words []string, data []byte) (kept *store.Photo, err error) {
	picture, err := photo.Clean(data)
	if err != nil {
		return nil, refused(err)
	}
	err = a.withdrawing(ctx, func(base *store.Base) error {
		ref, side, err := photoOf(base, words)
		if err == nil {
			kept, err = base.SetPhoto(ctx, ref, side, picture, a.author())
		}
		return err
	})
	return kept, err
}

// newPhotoShow makes `netlore photo show`.
func newPhotoShow(a *app) *cobra.Command {
	var to string
	cmd := &cobra.Command{
		Use:               "show BOARD top|bottom -o FILE",
		Short:             "write a photo into a file",
		Args:              between(2, 2, "say which board and which side"),
		ValidArgsFunction: a.completePhoto,
		RunE:              func(cmd *cobra.Command, args []string) error { return runPhotoShow(cmd.Context(), a, to, args) },
	}
	cmd.Flags().VarP(name("FILE", &to), "output", "o", "the JPEG file to write")
	return cmd
}

func runPhotoShow(ctx context.Context, a *app, to string, args []string) error {
	if to == "" && a.OutTerminal {
		return hint(errors.New("a picture is no text for a terminal"), "name a file for it: -o board.jpg")
	}
	return a.reading(ctx, func(base *store.Base) error {
		p, err := keptPhoto(ctx, base, args)
		if err != nil {
			return err
		}
		picture, err := base.Picture(ctx, p)
		switch {
		case err != nil:
			return err
		case to == "":
			_, err := a.Out.Write(picture.JPEG())
			return err
		}
		if err := putFile(to, picture.JPEG(), 0o600); err != nil {
			return fail(exitInput, fmt.Errorf("the photo was not written to %s: %w", to, reason(err)))
		}
		return nil
	})
}

// newPhotoRemove makes `netlore photo remove`.
func newPhotoRemove(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "remove BOARD top|bottom",
		Short: "delete a photo for good",
		Long: `Remove deletes a photo and the points that were picked on it: no file of the base
holds it any more. Places that were picked on it stay where they were written.`,
		Args:              between(2, 2, "say which board and which side"),
		ValidArgsFunction: a.completePhoto,
		RunE:              func(cmd *cobra.Command, args []string) error { return runPhotoRemove(cmd.Context(), a, args) },
	}
}

func runPhotoRemove(ctx context.Context, a *app, args []string) error {
	ref, side, err := a.removePhoto(ctx, args)
	if err != nil {
		return err
	}
	if a.json {
		writeJSON(a.Out, map[string]any{"board": ref.String(), "side": side.String(), "removed": true})
		return nil
	}
	return a.line("the photo of %s, %s, is deleted; backups and copies of the base still have it", ref, side)
}

func (a *app) removePhoto(ctx context.Context, words []string) (ref board.Ref, side board.Side, err error) {
	err = a.withdrawing(ctx, func(base *store.Base) (err error) {
		if ref, side, err = photoOf(base, words); err != nil {
			return err
		}
		return noPhoto(base.RemovePhoto(ctx, ref, side, a.author()), ref, side)
	})
	if err == nil {
		err = a.writing(ctx, (*store.Base).Flatten) // what was deleted before the base was opened leaves its files
	}
	return ref, side, err
}
