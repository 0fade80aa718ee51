package cli

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"netlore/cmd/internal/photos"
	"netlore/query"
	"netlore/query/align"
	"netlore/query/diag"
	"netlore/store"
)

type photoAlignOptions struct {
	form, file string
	more       bool
}

// newPhotoAlign makes `netlore photo align`.
func newPhotoAlign(a *app) *cobra.Command {
	var opt photoAlignOptions
	cmd := &cobra.Command{
		Use:   "align BOARD top|bottom X,Y=PLACE...",
		Short: "say where on a photo known places are",
		Long: `Align says where on a photo known places of its board are, in pixels from its
upper left corner, and works out from that how the photo lies on the board. A
place is the middle of a pad, part, pin or cover that has one, a corner of the
board as one sees it (upper-left, lower-right ...), or a place in mm.

  netlore photo align Heron-B top 210,188=P1 3810,202=P33 3795,2250=P67
  netlore photo align Heron-B top --more 1900,2260=P90
  netlore photo align Wren top 100,1900=0,0 3100,1900=60,0

Two points give the scale and the turn, three fit a photo from straight above,
four one at a slant. One more shows what they are off by, two more mostly
which of them is wrong. A file of points (--points) has one a line: 210,188=P1`,
		Args:              atLeast(2, "say which board and which side"),
		ValidArgsFunction: a.completePhoto,
		RunE:              func(cmd *cobra.Command, args []string) error { return runPhotoAlign(cmd.Context(), a, opt, args) },
	}
	f := cmd.Flags()
	f.Var(choice("--as", "FORM", &opt.form, query.PhotoForms()...), "as", "what the photo may be distorted by: "+diag.OneOf(query.PhotoForms()...))
	f.Var(name("FILE", &opt.file), "points", "a file of points, one a line; - for standard input")
	f.BoolVar(&opt.more, "more", false, "keep the points there are, and add these")
	cmd.RegisterFlagCompletionFunc("as", completeWords(query.PhotoForms()...))
	return cmd
}

func runPhotoAlign(ctx context.Context, a *app, opt photoAlignOptions, args []string) error {
	points, err := a.pointsOf(opt.file, args[2:])
	if err != nil {
		return err
	}
	return a.withdrawing(ctx, func(base *store.Base) error {
		p, err := keptPhoto(ctx, base, args)
		if err != nil {
			return err
		}
		if opt.more {
			points = append(p.Points, points...)
		}
		if err := fewEnough(points); err != nil {
			return err
		}
		b, err := base.Board(ctx, p.Board)
		if err != nil {
			return err
		}
		if err := within(p, points); err != nil {
			return refused(err)
		}
		fit, err := query.AlignPhoto(b, p.Side, photos.Picked(points), opt.form)
		if err != nil {
			return refused(err)
		}
		if err := base.AlignPhoto(ctx, p, points, opt.form); err != nil {
			return err
		}
		p.Points, p.Form = points, opt.form
		return a.tellAligned(p, fit)
	})
}

// within complains of a point that is beyond the photo.
func within(p *store.Photo, points []store.PhotoPoint) error {
	for _, at := range points {
		if !(at.X >= 0 && at.Y >= 0 && at.X <= float64(p.Wide) && at.Y <= float64(p.High)) {
			return diag.List{{Code: "P107", Message: fmt.Sprintf("%s is at %g,%g, and the photo has %d by %d pixels", at.Is, at.X, at.Y, p.Wide, p.High),
				Help: []string{"count from the upper left corner of the photo as it is kept; netlore photo show writes it into a file"}}}
		}
	}
	return nil
}

// pointsOf reads the points on the command line and in a file.
func (a *app) pointsOf(path string, words []string) (all []store.PhotoPoint, err error) {
	for _, word := range words {
		p, err := parsePoint(word)
		if err != nil {
			return nil, fail(exitUsage, err)
		}
		all = append(all, p)
	}
	if path != "" {
		text, err := a.shortFile(path)
		if err != nil {
			return nil, err
		}
		more, list := parsePoints(path, string(text))
		if list != nil {
			return nil, fail(exitInput, list)
		}
		all = append(all, more...)
	}
	if len(all) == 0 {
		return nil, hint(errors.New("say where on the photo what is"), "a point is X,Y=PLACE, in pixels from the upper left corner: 210,188=P1")
	}
	return all, fewEnough(all)
}

func fewEnough(points []store.PhotoPoint) error {
	if len(points) > photos.MostPoints {
		return photos.ErrMany
	}
	return nil
}

// parsePoints reads a file of points, one a line; # begins a comment.
func parsePoints(file, text string) (all []store.PhotoPoint, list diag.List) {
	start := 0
	for line := range strings.Lines(text) {
		word, _, _ := strings.Cut(strings.TrimSpace(line), " #")
		if word = strings.TrimSpace(word); word != "" && word[0] != '#' {
			p, err := parsePoint(word)
			var one diag.Diagnostic
			if errors.As(err, &one) {
				one.File, one.Range = file, diag.Range{Start: start, End: start + len(strings.TrimRight(line, "\r\n"))}
				list = append(list, one.At(text))
			}
			all = append(all, p)
		}
		start += len(line)
	}
	return all, list
}

// parsePoint reads a point: X,Y=PLACE.
func parsePoint(word string) (p store.PhotoPoint, err error) {
	wrong := diag.Diagnostic{Code: "P107", Message: fmt.Sprintf("%s is no point of a photo", diag.Quote(word)), Help: []string{"a point is X,Y=PLACE, in pixels from the upper left corner: 210,188=P1 or 100,1900=0,0"}}
	at, is, ok := strings.Cut(word, "=")
	x, y, two := strings.Cut(at, ",")
	var noX, noY error
	p.X, noX = strconv.ParseFloat(strings.TrimSpace(x), 64)
	p.Y, noY = strconv.ParseFloat(strings.TrimSpace(y), 64)
	if p.Is = strings.TrimSpace(is); !ok || !two || noX != nil || noY != nil || math.IsNaN(p.X+p.Y) || math.IsInf(p.X+p.Y, 0) || p.Is == "" || len(p.Is) > photos.MostName {
		return p, wrong
	}
	return p, nil
}

// tellAligned tells how a photo lies, and what each point is off by.
func (a *app) tellAligned(p *store.Photo, fit *align.Fit) error {
	if a.json {
		object := photoJSON(p, fit)
		var off []map[string]any
		for i, at := range p.Points {
			off = append(off, map[string]any{"is": at.Is, "x": at.X, "y": at.Y, "off_mm": fit.Off[i]})
		}
		object["picked"], object["spare"] = off, fit.Spare
		writeJSON(a.Out, object)
		return nil
	}
	t := newText(a, "point", "x", "y", "off mm")
	t.numbers(2, 4)
	for i, at := range p.Points {
		t.row(at.Is, at.X, at.Y, fmt.Sprintf("%.2f", fit.Off[i]))
	}
	if err := t.print(); err != nil {
		return err
	}
	return a.print("\n" + photos.Judged(p.Points, fit) + "\n")
}
