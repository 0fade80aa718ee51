package main

import (
	"context"
	"math/rand/v2"

	"netlore/query/isolate/play"
)

// taped is what tape and readings alone take on some devices.
type taped struct {
	name        string
	devices     int
	pieces      int     // in all
	solved      int     // devices of which the best plan was found
	took, least float64 // tests on these, and of the best plans
	ratio       mean    // tests for each bit of entropy, of all devices
}

// playTape tries tape and readings alone.
func (t *trial) playTape(ctx context.Context) error {
	few := max(min(t.faults/20, 20), 3)
	x := taped{name: "stacks of 4 to 11 branches"}
	for i := range few {
		r := rand.New(rand.NewPCG(t.seed, uint64(2000+i)))
		n := 4 + r.IntN(8)
		if err := x.add(ctx, newSubject("", play.Stack(r, play.Size{Parts: 60 + r.IntN(60), Pads: 3 * n, Branches: n}))); err != nil {
			return err
		}
	}
	t.tapes = append(t.tapes, x)
	for i := range t.subjects {
		x := taped{name: t.subjects[i].name}
		if err := x.add(ctx, t.subjects[i]); err != nil {
			return err
		}
		if x.devices > 0 {
			t.tapes = append(t.tapes, x)
		}
	}
	return nil
}

// add tries it on a device, if that has pieces that can be told apart. The best plan
// is looked for where there are few of them.
func (x *taped) add(ctx context.Context, s subject) error {
	if len(s.device.Pads) == 0 {
		return nil
	}
	pieces := play.Pieces(s.device, s.faults)
	if len(pieces) < 2 {
		return nil
	}
	work := 0
	if len(pieces) <= 14 {
		work = 1e8
	}
	f, err := play.TapeAlone(ctx, s.device, pieces, work)
	if err != nil {
		return err
	}
	x.devices++
	x.pieces += len(pieces)
	x.ratio.add(f.Took / f.Entropy)
	if f.Solved {
		x.solved++
		x.took += f.Took
		x.least += f.Least
	}
	return ctx.Err()
}
