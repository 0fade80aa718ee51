package store

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestOwnWordComesLater: what others expect gives way to what the base says itself, or has
// read of three good boards, also where that comes after it; and comes back with it.
func TestOwnWordComesLater(t *testing.T) {
	const own, pad = "expect diode C1.1 0.5V\n", "netlore 1\nboard Wren rev 1\npart C1\npart C2\nnet VMAIN\n  C1 1\nnet V1\n  C2 1\n"
	good := func(n int) string { return fmt.Sprintf("reading diode V1 0.6V good specimen s%d\n", n) }
	b, first := OpenMemory(atNoon), OpenMemory(atNoon)
	addOwn(t, b, pad)
	addOwn(t, first, pad+own+good(1)+good(2)+good(3))
	for n, volts := range []string{"0.41V", "0.412V", "0.414V"} {
		_, i := shopOf(t, fmt.Sprintf("Shop %d", n))
		pack := packOf(t, i, nil, "expect diode C1.1 "+volts+" by LABEL", "expect diode V1 "+volts+" by LABEL", "note on C1 \"x\" by LABEL")
		for _, to := range []*Base{b, first} {
			trust(t, to, i, Listed)
			take(t, to, pack, false)
		}
	}
	agreed := func(want int) {
		t.Helper()
		if n := strings.Count(holds(t, b), "shops that agree"); n != want {
			t.Errorf("%d values of others count, want %d:\n%s", n, want, holds(t, b))
		}
	}
	agreed(2)
	addOwn(t, b, "netlore 1\nboard Wren rev 1\n"+own)
	agreed(1)
	addOwn(t, b, "netlore 1\nboard Wren rev 1\n"+good(1)+good(2))
	agreed(1)
	addOwn(t, b, "netlore 1\nboard Wren rev 1\n"+good(3))
	agreed(0)
	if d := cmp.Diff(holds(t, first), holds(t, b)); d != "" {
		t.Errorf("it depends on what came first: %s", d)
	}
	if _, err := b.Withdraw(t.Context(), wrenSubject, good(2), "bench-1"); err != nil {
		t.Fatal(err)
	}
	agreed(1)
	if err := b.WithdrawFound(t.Context(), found(t, b, strings.TrimSpace(own)), "bench-1"); err != nil {
		t.Fatal(err)
	}
	agreed(2)
}
