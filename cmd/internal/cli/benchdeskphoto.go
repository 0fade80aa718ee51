package cli

import (
	"context"

	"netlore/store"
)

func (d desk) AddPhoto(ctx context.Context, of, side string, data []byte) error {
	_, err := d.quiet().addPhoto(ctx, []string{of, side}, data)
	return err
}

func (d desk) Pick(ctx context.Context, p *store.Photo, points []store.PhotoPoint) error {
	if err := within(p, points); err != nil {
		return err
	}
	return d.quiet().withdrawing(ctx, func(base *store.Base) error { return base.AlignPhoto(ctx, p, points, p.Form) })
}

func (d desk) Place(ctx context.Context, of, side string, at store.PhotoPoint) error {
	_, _, err := d.quiet().placePicked(ctx, []string{of, side}, []store.PhotoPoint{at})
	return err
}

func (d desk) Unplace(ctx context.Context, of, name string) error {
	a := d.quiet()
	return a.withdrawing(ctx, func(base *store.Base) error {
		ref, _, err := photoOf(base, []string{of, "top"})
		if err == nil {
			_, err = a.unplace(ctx, base, ref, name)
		}
		return err
	})
}

func (d desk) RemovePhoto(ctx context.Context, of, side string) error {
	_, _, err := d.quiet().removePhoto(ctx, []string{of, side})
	return err
}
