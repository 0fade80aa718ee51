package run_test

import (
	"fmt"
	"math/rand"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"netlore/query/check"
	"netlore/query/run"
)

// lost are the names of what is lost, by what it is, in both bounds: all that is
// certain is possible, too.
func lost(t *testing.T, q *check.Question) map[string]bounds {
	t.Helper()
	a, err := run.Loss(t.Context(), q, run.Options{})
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]bounds{}
	for _, r := range a.Rows {
		what, _, _ := strings.Cut(r.Cells[1].Raw(), ",")
		in, ok := found[what]
		if !ok {
			in = bounds{map[string]bool{}, map[string]bool{}}
		}
		in.possible[r.Cells[0].Raw()] = true
		if r.Cells[2].String() == "yes" {
			in.certain[r.Cells[0].Raw()] = true
		}
		found[what] = in
	}
	return found
}

// What is certainly lost is what questions say is fed only by it, worked out by
// nested loops; what follows from that is only possible, and so is more.
func TestLossAgreesWithNestedLoops(t *testing.T) {
	r := rand.New(rand.NewSource(31))
	n, least := 1500, 20
	if testing.Short() {
		n, least = n/4, least/4
	}
	compared, more := 0, 0
	for range n {
		b := randomBoard(r, 4+r.Intn(12), pick(r, 0, 15, 40))
		opened := pick(r, "P1", "J7", "U1", "P1, P2", "P1, J7", "J7, U1", "P1..P3, U1")
		from := pick(r, "VMAIN", "U1", "5V", "VBAT_1") + pick(r, "", " through any")
		q := typed(fmt.Sprintf("functions lost without %s from %s", opened, from), b, nil)
		nets := typed(fmt.Sprintf("nets fed only by %s from %s", opened, from), b, nil)
		if q == nil || nets == nil {
			continue
		}
		found := lost(t, q)
		want := naively(b).answer(nets)
		certain := map[string]bool{}
		for name := range found["net"].certain {
			certain[name] = true
		}
		if d := cmp.Diff(want.certain, certain, cmpopts.EquateEmpty()); d != "" {
			t.Fatalf("%s\n%s", nets.Text, d)
		}
		functions := naively(b).answer(q)
		if d := cmp.Diff(functions.certain, found["function"].certain, cmpopts.EquateEmpty()); d != "" {
			t.Fatalf("%s\n%s", q.Text, d)
		}
		for name := range functions.possible {
			if !found["function"].possible[name] {
				t.Fatalf("%s: %s is possible, and not told", q.Text, name)
			}
		}
		compared += len(want.certain) + len(functions.certain)
		more += len(found["net"].possible) - len(want.certain)
	}
	if compared < least || more < least {
		t.Errorf("%d certain, %d more: too few to compare", compared, more)
	}
}
