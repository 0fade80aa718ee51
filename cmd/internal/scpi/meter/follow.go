package meter

import (
	"context"
	"time"
)

// Clock is how following tells and passes the time.
type Clock struct {
	Now  func() time.Time
	Wait func(context.Context, time.Duration) error // returns early, with its error, when ctx ends
}

// SystemClock is the clock of the machine.
func SystemClock() Clock {
	return Clock{Now: time.Now, Wait: func(ctx context.Context, d time.Duration) error {
		timer := time.NewTimer(d)
		defer timer.Stop()
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-timer.C:
			return nil
		}
	}}
}

// Follow reads the meter again and again, at most once in every interval, and
// hands on each reading and what it means, until each returns an error, which
// it returns, or ctx ends. Before a value is taken the meter is asked whether
// its function is still the one that was set.
func (m *Meter) Follow(ctx context.Context, touches *Touches, every time.Duration, clock Clock, each func(Sample, Event, Steady) error) error {
	for {
		start, anew := clock.Now(), m.anew
		reading, err := m.Read(ctx)
		if err != nil {
			return err
		}
		sample := Sample{At: clock.Now(), Reading: reading}
		if m.anew != anew {
			touches.Break()
		}
		event, steady := touches.Add(sample)
		if event == Taken {
			if err := m.Confirm(ctx); err != nil {
				return err
			}
		}
		if err := each(sample, event, steady); err != nil {
			return err
		}
		if err := clock.Wait(ctx, every-clock.Now().Sub(start)); err != nil {
			return err
		}
	}
}
