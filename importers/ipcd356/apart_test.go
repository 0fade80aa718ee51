package ipcd356

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/importers/record"
	"netlore/store/board"
)

// place writes access code and coordinates, in counts of 1 µm.
func place(access, x, y int) string { return fmt.Sprintf("A%02dX%+07dY%+07d", access, x, y) }

const metric = "P  UNITS CUST 1\n"

// twoThermistors is two parts, one on each side, whose names were cut to the
// same six letters.
var twoThermistors = metric +
	row("327", "SENSE_B", "RNTCBI", "2", place(2, 45250, 17265)) +
	row("327", "SENSE_A", "RNTCBI", "2", place(1, 17700, 89315)) +
	row("327", "VREF", "RNTCBI", "1", place(1, 17700, 88945)) +
	row("327", "VREF", "RNTCBI", "1", place(2, 45250, 17635))

// netsOf writes every pin with its net.
func netsOf(b *board.Board) string {
	var s []string
	for i := range b.Pins {
		name := b.PinName(board.PinID(i))
		s = append(s, name+"="+netOf(b, name))
	}
	return strings.Join(s, " ")
}

func TestCutNamesStayTwoParts(t *testing.T) {
	want := "RNTCBI.1=VREF RNTCBI.2=SENSE_A RNTCBI~2.1=VREF RNTCBI~2.2=SENSE_B"
	b, report := reads(t, twoThermistors+end, record.Options{File: "h.ipc"})
	if got := netsOf(b); got != want {
		t.Errorf("got %s\nwant %s", got, want)
	}
	d := first(t, report.Notes, "D330")
	if d.Line != 2 || len(d.Related) != 2 || d.Related[0].Line != 3 || d.Related[1].Line != 2 {
		t.Errorf("places told: %+v", d)
	}
	// The names do not depend on the order of the records.
	lines := strings.SplitAfter(strings.TrimPrefix(twoThermistors, metric), "\n")
	for i, j := 0, len(lines)-1; i < j; i, j = i+1, j-1 {
		lines[i], lines[j] = lines[j], lines[i]
	}
	b, _ = reads(t, metric+strings.Join(lines, "")+end, record.Options{})
	if got := netsOf(b); got != want {
		t.Errorf("in another order: %s", got)
	}
}

func TestCutNamesAreRestoredByPlace(t *testing.T) {
	at := func(name string, x, y int32) record.Place {
		return record.Place{Name: name, Placed: true, At: board.Point{X: x, Y: y}}
	}
	for name, c := range map[string]struct {
		places      []record.Place
		want, codes string
	}{
		"both places": {
			[]record.Place{at("RNTCBIAS3", 45250, 17450), at("RNTCBIAS5", 17700, 89130)},
			"RNTCBIAS3.1=VREF RNTCBIAS3.2=SENSE_B RNTCBIAS5.1=VREF RNTCBIAS5.2=SENSE_A", "D331"},
		"places given twice, first without": {
			[]record.Place{{Name: "RNTCBIAS3"}, {Name: "RNTCBIAS5"}, at("RNTCBIAS3", 45250, 17450), at("RNTCBIAS5", 17700, 89130)},
			"RNTCBIAS3.1=VREF RNTCBIAS3.2=SENSE_B RNTCBIAS5.1=VREF RNTCBIAS5.2=SENSE_A", "D331"},
		"one place": {
			[]record.Place{at("RNTCBIAS5", 17700, 89130)},
			"RNTCBI.1=VREF RNTCBI.2=SENSE_B RNTCBIAS5.1=VREF RNTCBIAS5.2=SENSE_A", "D331 D330"},
		"names only": {
			[]record.Place{{Name: "RNTCBIAS3"}, {Name: "RNTCBIAS5"}},
			"RNTCBI.1=VREF RNTCBI.2=SENSE_A RNTCBI~2.1=VREF RNTCBI~2.2=SENSE_B", "D330"},
	} {
		t.Run(name, func(t *testing.T) {
			b, report := reads(t, twoThermistors+end, record.Options{Places: c.places})
			if got := netsOf(b); got != c.want {
				t.Errorf("got %s\nwant %s", got, c.want)
			}
			for _, code := range strings.Fields(c.codes) {
				first(t, report.Notes, code)
			}
			if len(report.Notes) != len(strings.Fields(c.codes)) {
				t.Errorf("complaints %s, want %s", coded(report.Notes), c.codes)
			}
		})
	}
}

// A table with another origin is moved over the netlist by the parts that both
// know; one that does not fit at all is not used for places.
func TestPlacesAreAligned(t *testing.T) {
	text, moved, scattered := twoThermistors, []record.Place(nil), []record.Place(nil)
	for i := range 5 {
		name := fmt.Sprintf("C%d", i)
		text += row("327", "VREF", name, "1", place(1, 1000*i, 500*i)) + row("327", "GND", name, "2", place(1, 1000*i+400, 500*i))
		moved = append(moved, record.Place{Name: name, Placed: true, At: board.Point{X: int32(1000*i + 200 + 100_000), Y: int32(500*i - 50_000)}})
		scattered = append(scattered, record.Place{Name: name, Placed: true, At: board.Point{X: int32(20_000 * i), Y: int32(-30_000 * i)}})
	}
	pair := []record.Place{{Name: "RNTCBIAS3", Placed: true, At: board.Point{X: 145250, Y: -32550}},
		{Name: "RNTCBIAS5", Placed: true, At: board.Point{X: 117700, Y: 39130}}}
	b, _ := reads(t, text+end, record.Options{Places: append(moved, pair...)})
	if netOf(b, "RNTCBIAS3.2") != "SENSE_B" || netOf(b, "RNTCBIAS5.2") != "SENSE_A" {
		t.Error(netsOf(b))
	}
	b, report := reads(t, text+end, record.Options{Places: append(scattered, pair...)})
	if netOf(b, "RNTCBI~2.2") != "SENSE_B" || b.FindPart("RNTCBIAS3") != board.None {
		t.Error(netsOf(b))
	}
	first(t, report.Notes, "D334")
}

func TestOneFullNameIsTaken(t *testing.T) {
	text := metric + row("327", "VMAIN", "CONNEC", "1", place(1, 0, 0)) + row("327", "GND", "R12345", "1", place(1, 900, 0))
	b, _ := reads(t, text+end, record.Options{Places: []record.Place{{Name: "CONNECTOR7"}, {Name: "R12345"}}})
	if netOf(b, "CONNECTOR7.1") != "VMAIN" || netOf(b, "R12345.1") != "GND" {
		t.Error(netsOf(b))
	}
	b, report := reads(t, text+end, record.Options{Places: []record.Place{{Name: "CONNECTOR7"}, {Name: "CONNECTOR8"}}})
	if netOf(b, "CONNEC.1") != "VMAIN" {
		t.Error(netsOf(b))
	}
	first(t, report.Notes, "D333")
}

// Two connectors in a row: the last pin of one lies nearer to the first pin of
// the other than to its own. Pins of one name go to different parts.
func TestPartsInARow(t *testing.T) {
	const parts, pins = 9, 20
	text, places := metric, []record.Place(nil)
	for n := range parts {
		for pin := range pins {
			text += row("327", fmt.Sprintf("N%d_%d", n, pin), "CONNEC", fmt.Sprint(pin), place(1, 22_000*n+1000*pin, 0))
		}
		places = append(places, record.Place{Name: fmt.Sprintf("CONNECTOR%d", n), Placed: true, At: board.Point{X: int32(22_000*n + 9500)}})
	}
	for _, c := range []struct {
		places []record.Place
		name   func(n int) string
	}{
		{nil, func(n int) string { return [2]string{"CONNEC", fmt.Sprintf("CONNEC~%d", n+1)}[min(n, 1)] }},
		{places, func(n int) string { return fmt.Sprintf("CONNECTOR%d", n) }},
	} {
		b, _ := reads(t, text+end, record.Options{Places: c.places})
		for n := range parts {
			for pin := range pins {
				if got := netOf(b, fmt.Sprintf("%s.%d", c.name(n), pin)); got != fmt.Sprintf("N%d_%d", n, pin) {
					t.Fatalf("%s.%d is on %s", c.name(n), pin, got)
				}
			}
		}
		if len(b.Parts) != parts {
			t.Errorf("%d parts", len(b.Parts))
		}
	}
}

// A doubled designator under six letters is a fault of the drawing; the parts
// are told apart all the same.
func TestDoubledDesignator(t *testing.T) {
	b, report := reads(t, metric+
		row("327", "A", "R1", "1", place(1, 0, 0))+row("327", "B", "R1", "2", place(1, 500, 0))+
		row("327", "C", "R1", "1", place(1, 9000, 0))+row("327", "D", "R1", "2", place(1, 9500, 0))+end, record.Options{})
	if got := netsOf(b); got != "R1.1=A R1.2=B R1~2.1=C R1~2.2=D" {
		t.Error(got)
	}
	if d := first(t, report.Notes, "D330"); strings.Contains(d.Message, "six letters") {
		t.Error(d.Message)
	}
}

// One doubled pin among many is a fault of one part, which is not torn in two:
// the pin stays on its first net and both records are shown.
func TestPinOnTwoNets(t *testing.T) {
	text := metric
	for pin := range 40 {
		text += row("327", fmt.Sprintf("N%d", pin), "U7", fmt.Sprintf("A%d", pin), place(1, 1000*pin, 0))
	}
	b, report := reads(t, text+row("327", "OTHER", "U7", "A3", place(1, 30_000, 500))+end, record.Options{File: "h.ipc"})
	if len(b.Parts) != 1 || netOf(b, "U7.A3") != "N3" {
		t.Errorf("%d parts; U7.A3 is on %s", len(b.Parts), netOf(b, "U7.A3"))
	}
	want := "h.ipc:42:4: warning D332: pin U7.A3 is on the net \"OTHER\" here and on \"N3\" before\n" +
		"  327OTHER            U7    -A3\n     ^^^^^\n" +
		"  h.ipc:5:4: the first record\n    327N3               U7    -A3\n" +
		"  help: the net of the first record holds; correct the file it was made from\n"
	if diff := cmp.Diff(want, drawn(t, first(t, report.Notes, "D332"))); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if c := report.Of("327"); c.Explained != 1 || c.Reasons[0].Lines[0] != 42 {
		t.Errorf("%+v", c)
	}
}

// Two nets at one and the same place cannot be two parts.
func TestTwoNetsAtOnePlace(t *testing.T) {
	b, report := reads(t, metric+row("327", "A", "C1", "1", place(1, 0, 0))+row("327", "B", "C1", "1", place(1, 0, 0))+end, record.Options{})
	if got := netsOf(b); got != "C1.1=A" {
		t.Error(got)
	}
	first(t, report.Notes, "D332")
}

// A pin repeated on its net is no fault; with a name of six letters it is
// worth a word.
func TestRepeatedPins(t *testing.T) {
	b, report := reads(t, metric+
		row("317", "GND", "J8", "SHLD", place(0, 3950, 20300))+row("317", "GND", "J8", "SHLD", place(0, 3950, 14200))+
		row("317", "GND", "SHIELD", "1", place(1, 0, 0))+row("317", "GND", "SHIELD", "1", place(1, 9000, 0))+
		row("317", "GND", "SHIELD", "1", place(1, 9000, 0))+end, record.Options{})
	if got := netsOf(b); got != "J8.SHLD=GND SHIELD.1=GND" {
		t.Error(got)
	}
	if got := coded(report.Notes); got != "D335" {
		t.Error(got)
	}
}

func TestPair(t *testing.T) {
	at := func(x int32) spot { return spot{at: board.Point{X: x}} }
	for _, c := range []struct {
		spots, seeds []spot
		want         []int
	}{
		{[]spot{at(20), at(42)}, []spot{at(0), at(22)}, []int{0, 1}},
		{[]spot{at(42), at(20)}, []spot{at(0), at(22)}, []int{1, 0}},
		{[]spot{at(21)}, []spot{at(0), at(22), at(90)}, []int{1}},
		{[]spot{at(1), at(2), at(21)}, []spot{at(0), at(22)}, []int{0, 0, 1}},
		{[]spot{{board.Point{X: 1}, board.Bottom}}, []spot{{board.Point{X: 0}, board.Top}, {board.Point{X: 90}, board.Bottom}}, []int{1}},
	} {
		if got := pair(c.spots, c.seeds); !cmp.Equal(got, c.want) {
			t.Errorf("pair(%v, %v) = %v, want %v", c.spots, c.seeds, got, c.want)
		}
	}
}

// The pairing costs no more than the best of all ways, tried one by one.
func TestPairIsTheBestOfAllWays(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	scatter := func(n int) []spot {
		spots := make([]spot, n)
		for i := range spots {
			spots[i] = spot{board.Point{X: random.Int32N(9) - 4, Y: random.Int32N(9)}, board.Side(random.IntN(3))}
		}
		return spots
	}
	for range 500 {
		seeds := scatter(1 + random.IntN(6))
		spots := scatter(1 + random.IntN(len(seeds)))
		sum, taken := int64(0), map[int]bool{}
		for i, g := range pair(spots, seeds) {
			sum += far(spots[i], seeds[g])
			taken[g] = true
		}
		if best := cheapest(spots, seeds, 0); sum != best || len(taken) != len(spots) {
			t.Fatalf("%v to %v costs %d, the best %d", spots, seeds, sum, best)
		}
	}
}

// cheapest is the least sum of all ways to give each spot another seed. Bit g
// of used says that seed g is taken.
func cheapest(spots, seeds []spot, used int) int64 {
	if len(spots) == 0 {
		return 0
	}
	best := int64(math.MaxInt64)
	for g := range seeds {
		if used>>g&1 == 0 {
			best = min(best, far(spots[0], seeds[g])+cheapest(spots[1:], seeds, used|1<<g))
		}
	}
	return best
}
