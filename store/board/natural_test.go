package board

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestCompareNatural(t *testing.T) {
	inOrder := strings.Fields("+3V3 1 2 9 10 A1 A2 A10 B1 C C1 C01 C001 C2 C2A C2B C10 C10.2 C10.10 C1201 C99999999999999999999998 C99999999999999999999999 D a1")
	for i, a := range inOrder {
		for j, b := range inOrder {
			want := 0
			if i != j {
				want = order(i < j)
			}
			// Leading zeros decide last: C1, C01 and C001 are equal as numbers
			// and go by bytes.
			if strings.HasPrefix(a, "C0") || strings.HasPrefix(b, "C0") {
				continue
			}
			if got := CompareNatural(a, b); got != want {
				t.Errorf("%s compared with %s is %d; want %d", a, b, got, want)
			}
		}
	}
	names := []string{"C2", "C1", "C001", "C01", "C0"}
	slices.SortFunc(names, CompareNatural)
	if d := cmp.Diff([]string{"C0", "C001", "C01", "C1", "C2"}, names); d != "" {
		t.Error(d)
	}
}

// A total order: antisymmetric, transitive, and equal only for the same bytes.
func checkTotal(t *testing.T, a, b, c string) {
	t.Helper()
	ab, ba, bc, ac := CompareNatural(a, b), CompareNatural(b, a), CompareNatural(b, c), CompareNatural(a, c)
	if ab != -ba || (ab == 0) != (a == b) {
		t.Fatalf("%q and %q: %d one way, %d the other", a, b, ab, ba)
	}
	if ab <= 0 && bc <= 0 && ac > 0 || ab >= 0 && bc >= 0 && ac < 0 {
		t.Fatalf("%q, %q, %q: %d, %d, but %d", a, b, c, ab, bc, ac)
	}
}

func TestCompareNaturalIsTotal(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 1))
	name := func() string {
		b := make([]byte, rnd.IntN(6))
		for i := range b {
			b[i] = "0011ABa./\xff"[rnd.IntN(10)]
		}
		return string(b)
	}
	for range 200000 {
		checkTotal(t, name(), name(), name())
	}
}

func FuzzCompareNatural(f *testing.F) {
	f.Add("C2", "C10", "C02")
	f.Add("A1B", "A01", "A1")
	f.Add("", "0", "00")
	f.Fuzz(func(t *testing.T, a, b, c string) { checkTotal(t, a, b, c) })
}
