package storetest

import (
	"context"
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/store"
	"netlore/store/board"
)

// ploverMeters is canonical, so that it comes back as it is.
const ploverMeters = `netlore 1

meter "M 2" test 500uA
meter M1 "bench meter, left" test 1mA open 3.2V shows mV leads 0.2ohm red-on-ground
`

func (b *bench) state(m board.Meter) store.Result {
	b.t.Helper()
	r, err := b.base.StateMeter(context.Background(), m, "bench-1")
	if err != nil {
		b.t.Fatal(err)
	}
	return r
}

func testStateMeters(t *testing.T, b *bench) {
	ctx := context.Background()
	one := board.Meter{Name: "M1", Test: board.MustQuantity("1mA"), RedGround: true}
	b.state(one)
	b.state(board.Meter{Name: "M 2"})
	if r := b.state(one); r.New != 0 || r.Known != 1 {
		t.Errorf("stated again: %+v", r)
	}
	b.clock = b.clock.AddDate(0, 0, 1)
	if r := b.state(board.Meter{Name: "M1", Shows: "mV", BlackGround: true}); r.New != 1 || r.Withdrawn != 1 {
		t.Errorf("stated more: %+v", r)
	}
	b.base = b.reopen()
	one.Shows, one.RedGround, one.BlackGround = "mV", false, true
	all, err := b.base.Meters(ctx)
	if err != nil || len(all) != 2 || cmp.Diff(one, all[1].Meter) != "" || all[1].Author != "bench-1" || !all[1].Time.Equal(b.clock) {
		t.Errorf("%+v, %v", all, err)
	}
	for _, name := range []string{"M1", "M 2"} {
		if r, err := b.base.ForgetMeter(ctx, name, "bench-2"); err != nil || r.Withdrawn != 1 {
			t.Errorf("forgetting %s: %+v, %v", name, r, err)
		}
	}
	if _, err := b.base.ForgetMeter(ctx, "M1", "bench-2"); !errors.Is(err, store.ErrUnknownMeter) {
		t.Errorf("forgotten twice: %v", err)
	}
	if all, err := b.base.Meters(ctx); err != nil || len(all) > 0 {
		t.Errorf("left: %v, %v", all, err)
	}
	if events, err := b.base.History(store.MetersSubject()); err != nil || len(events) != 5 {
		t.Errorf("%+v, %v", events, err)
	}
	if _, err := b.base.Verify(ctx, nil); err != nil {
		t.Error(err)
	}
}

func testMetersOfASheet(t *testing.T, b *bench) {
	testOfASheet(t, b, store.MetersSubject(), ploverMeters, 2, func(all *board.Catalogue) bool {
		return len(all.Meters) == 2 && all.Meters[1].Name == "M1" && all.Meters[1].Leads == board.MustQuantity("0.2ohm")
	})
}
