package board

import (
	"math/rand/v2"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/fvbommel/sortorder"
	"github.com/google/go-cmp/cmp"
)

// koelle is the list that Dave Koelle published with his Alphanum Algorithm, in
// its natural order, as the tests of github.com/facette/natsort (2018) have it.
var koelle = []string{
	"10X Radonius", "20X Radonius", "20X Radonius Prime", "30X Radonius", "40X Radonius", "200X Radonius", "1000X Radonius Maximus",
	"Allegia 6R Clasteron", "Allegia 50 Clasteron", "Allegia 50B Clasteron", "Allegia 51 Clasteron", "Allegia 500 Clasteron",
	"Alpha 2", "Alpha 2A", "Alpha 2A-900", "Alpha 2A-8000", "Alpha 100", "Alpha 200",
	"Callisto Morphamax", "Callisto Morphamax 500", "Callisto Morphamax 600", "Callisto Morphamax 700", "Callisto Morphamax 5000",
	"Callisto Morphamax 6000 SE", "Callisto Morphamax 6000 SE2", "Callisto Morphamax 7000",
	"Xiph Xlater 5", "Xiph Xlater 40", "Xiph Xlater 50", "Xiph Xlater 58", "Xiph Xlater 300", "Xiph Xlater 500", "Xiph Xlater 2000",
	"Xiph Xlater 5000", "Xiph Xlater 10000",
}

func TestPublishedNaturalOrder(t *testing.T) {
	names := slices.Clone(koelle)
	rand.New(rand.NewPCG(2, 2)).Shuffle(len(names), func(i, j int) { names[i], names[j] = names[j], names[i] })
	slices.SortFunc(names, CompareNatural)
	if d := cmp.Diff(koelle, names); d != "" {
		t.Error(d)
	}
}

// TestNaturalOrderOfOthers compares names as github.com/fvbommel/sortorder does.
// There is no standard, and where it differs from us others differ from it:
// numbers that are equal but for leading zeros are in the order of their bytes
// with us and of their lengths there (github.com/maruel/natural has a third
// way), and a sign such as . or - is before a digit with us, as it is in bytes,
// and behind it there.
func TestNaturalOrderOfOthers(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 3))
	for range 100_000 {
		a, b := randomName(rnd, "AB_Cab"), randomName(rnd, "AB_Cab")
		if got, want := CompareNatural(a, b), sortorder.NaturalCompare(a, b); got != want {
			t.Fatalf("%s and %s: %d, want %d", a, b, got, want)
		}
	}
	for _, pair := range [][2]string{{"C01", "C1"}, {"A.", "A1"}} {
		if CompareNatural(pair[0], pair[1]) >= 0 || sortorder.NaturalCompare(pair[0], pair[1]) <= 0 {
			t.Errorf("%s: the difference that is told above is none", pair)
		}
	}
}

// randomName is letters and numbers, none of which begins with a zero.
func randomName(rnd *rand.Rand, letters string) string {
	var s strings.Builder
	for range 1 + rnd.IntN(6) {
		if n := s.Len(); rnd.IntN(2) == 0 || n == 0 || !digit(s.String()[n-1]) && rnd.IntN(2) == 0 {
			s.WriteByte(letters[rnd.IntN(len(letters))])
			continue
		}
		digits := "123456789"
		if digit(s.String()[s.Len()-1]) {
			digits = "0123456789"
		}
		s.WriteByte(digits[rnd.IntN(len(digits))])
	}
	return s.String()
}

// TestVersionSort sorts names as sort -V of the system does. That puts letters
// before all signs, so there are none in the names.
func TestVersionSort(t *testing.T) {
	sort, err := exec.LookPath("sort")
	if err != nil {
		t.Skip("this system has no sort; not compared with it")
	}
	rnd := rand.New(rand.NewPCG(4, 4))
	var names []string
	for range 5000 {
		names = append(names, randomName(rnd, "ABCab"))
	}
	cmd := exec.Command(sort, "-V", "-u")
	cmd.Env = []string{"LC_ALL=C"}
	cmd.Stdin = strings.NewReader(strings.Join(names, "\n") + "\n")
	out, err := cmd.Output()
	if err != nil {
		t.Skip("its sort has no -V; not compared with it:", err)
	}
	slices.SortFunc(names, CompareNatural)
	names = slices.Compact(names)
	if d := cmp.Diff(strings.Fields(string(out)), names); d != "" {
		t.Error(d)
	}
}
