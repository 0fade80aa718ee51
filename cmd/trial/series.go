package main

import (
	"context"
	"io"
	"regexp"
	"slices"
)

// trial is all series and what came of them.
type trial struct {
	options
	subjects []subject
	progress io.Writer
	series   []*series
	tapes    []taped
	timed    []timed
	stopped  bool // before all was tried
}

func newTrial(ctx context.Context, o options, progress io.Writer) (*trial, error) {
	t := &trial{options: o, progress: progress}
	heron, err := heronStack(ctx)
	if err != nil {
		return nil, err
	}
	t.subjects = []subject{heron}
	if o.boards != "" {
		boards, err := realBoards(ctx, o.boards, progress)
		if err != nil {
			return nil, err
		}
		t.subjects = append(t.subjects, boards...)
	}
	t.subjects = append(t.subjects, stacks(o.seed, sizes...)...)
	only, err := regexp.Compile(o.only)
	t.subjects = slices.DeleteFunc(t.subjects, func(s subject) bool { return err == nil && !only.MatchString(s.name) })
	return t, err
}

// wrongs are how often observations are wrong, and factors by which weights are,
// which is tried with the first two devices that are stacks.
var (
	wrongs  = []float64{0, .02, .05}
	factors = []float64{3, 10}
)

// play plays all series, the small devices first.
func (t *trial) play(ctx context.Context) error {
	if err := t.playTape(ctx); err != nil {
		return err
	}
	for i := range t.subjects {
		for _, wrong := range wrongs {
			if err := t.one(ctx, &series{subject: &t.subjects[i], wrong: wrong, factor: 1, told: t.told}); err != nil {
				return err
			}
		}
	}
	for i := range t.subjects {
		if s := &t.subjects[i]; len(s.device.Pads) > 0 && len(s.device.Parts) < 500 {
			for _, factor := range factors {
				if err := t.one(ctx, &series{subject: s, wrong: wrongs[1], factor: factor, told: t.told}); err != nil {
					return err
				}
			}
		}
	}
	return t.playTime(ctx)
}

func (t *trial) one(ctx context.Context, s *series) error {
	t.series = append(t.series, s)
	return s.play(ctx, t.seed, t.faults, t.progress)
}
