package board

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// ringBoard has VMAIN with a coil to LX1 and a 22 ohm resistor to SENSE, VIO with
// nothing but a 10 kohm resistor to SENSE, two grounds, and pads without a net.
func ringBoard() *Board {
	bu := NewBuilder(Ref{Name: "Dipper"})
	on := func(net, part string, pins ...string) {
		for _, pin := range pins {
			bu.Connect(bu.Pin(bu.Part(part), pin), bu.Net(net))
		}
	}
	on("VMAIN", "C1", "1")
	on("VMAIN", "L300", "1")
	on("LX1", "L300", "2")
	on("VMAIN", "R1", "1")
	on("SENSE", "R1", "2")
	on("SENSE", "R2", "1")
	on("VIO", "R2", "2")
	on("VIO", "C2", "1")
	on("GND", "C1", "2")
	on("AGND", "C2", "2")
	bu.Pin(bu.Part("U1"), "A1")
	bu.PartAt(bu.Part("R1")).Value = Quantity{Coef: 22, Unit: Ohm}
	bu.PartAt(bu.Part("R2")).Value = Quantity{Coef: 10, Exp: 3, Unit: Ohm}
	for _, net := range []string{"GND", "AGND"} {
		bu.NetAt(bu.Net(net)).Kind = Ground
	}
	for i := range 5 {
		bu.Pad(fmt.Sprintf("P%d", i+1))
	}
	bu.PadAt(bu.Pad("TP1")).Net = bu.Net("VIO")
	return bu.Build()
}

// touchesOf reads lines such as "P1 rings C1.1", "P1 said C1.1", "P1 silent ground
// job 7".
func touchesOf(text string) []Touch {
	var all []Touch
	for line := range strings.Lines(text) {
		w := strings.Fields(line)
		if len(w) < 3 {
			continue
		}
		t := Touch{A: Target{Name: w[0]}, B: Target{Name: w[2]}, Rings: w[1] != "silent", Said: w[1] == "said", When: time.Unix(int64(len(all)), 0)}
		if w[2] == "ground" {
			t.B = Target{}
		}
		if len(w) > 4 {
			t.Job = w[4]
		}
		all = append(all, t)
	}
	return all
}

// toldRungs is what a board says of the places that ring: "P1 on VMAIN", "P2 maybe on
// LX1 VMAIN: may ring through L300".
func toldRungs(b *Board) string {
	var s strings.Builder
	for _, r := range b.Rungs() {
		name := ""
		if r.Pad != None {
			name = b.Pads[r.Pad].Name
		} else {
			name = b.PinName(r.Pin)
		}
		if !r.Sure {
			name += " maybe"
		}
		s.WriteString(name + " on")
		for _, net := range r.Nets {
			s.WriteString(" " + b.Nets[net].Name)
		}
		if r.Why != "" {
			s.WriteString(": " + r.Why)
		}
		for _, t := range r.By {
			s.WriteString("; " + t.String())
		}
		s.WriteString("\n")
	}
	return s.String()
}

func clashes(b *Board, touches []Touch) string {
	var s strings.Builder
	for _, c := range b.Clashes(touches) {
		s.WriteString(touches[c.Touch].String() + ": " + c.Kind.String())
		for _, net := range []NetID{c.A, c.B} {
			if net != None {
				s.WriteString(" " + b.Nets[net].Name)
			}
		}
		for _, p := range c.Parts {
			s.WriteString(" " + b.Parts[p].Name)
		}
		for _, i := range c.Against {
			s.WriteString("; " + touches[i].String())
		}
		s.WriteString("\n")
	}
	return s.String()
}

func TestRinging(t *testing.T) {
	for name, c := range map[string]struct{ touches, rungs, clashes string }{
		"on a net that nothing else rings to": {"P1 rings TP1\nU1.A1 rings P1", "P1 on VIO; P1 rings to TP1\nU1.A1 on VIO; U1.A1 rings to P1; P1 rings to TP1\n", ""},
		"through a part":                      {"P1 rings C1.1", "P1 maybe on LX1 SENSE VMAIN: may ring through L300; P1 rings to C1.1\n", ""},
		"stated":                              {"P1 said C1.1", "P1 on VMAIN; P1 rings to C1.1\n", ""},
		"silence keeps off the others":        {"P1 rings C1.1\nP1 silent LX1\nP1 silent SENSE", "P1 on VMAIN; P1 rings to C1.1\n", ""},
		"silence between pads":                {"P1 rings C1.1\nP2 said LX1\nP1 silent P2\nP1 silent SENSE", "P1 on VMAIN; P1 rings to C1.1\nP2 on LX1; P2 rings to LX1\n", ""},
		"only on one device":                  {"P1 rings TP1 job 7", "P1 maybe on VIO: rings in job 7 only; P1 rings to TP1\n", ""},
		"a job adds nothing to a board":       {"P1 rings TP1\nP1 rings C1.2 job 7", "P1 on VIO; P1 rings to TP1\n", "P1 rings to C1.2: short on that device VIO GND; P1 rings to TP1\n"},
		"the other way round":                 {"TP1 rings P1\nP1 rings P2", "P1 on VIO; P1 rings to TP1\nP2 on VIO; P2 rings to P1; P1 rings to TP1\n", ""},
		"a job is silent":                     {"TP1 silent C2.1 job 7", "", "TP1 does not ring to C2.1: break on that device VIO VIO\n"},
		"silence on one net":                  {"TP1 silent C2.1", "", "TP1 does not ring to C2.1: contradiction VIO VIO\n"},
		"two nets ring":                       {"TP1 rings C1.2", "", "TP1 rings to C1.2: contradiction VIO GND\n"},
		"two nets ring through parts":         {"R1.2 rings LX1", "", "R1.2 rings to LX1: through a part SENSE LX1 R1 L300\n"},
		"two nets are stated to be one":       {"C1.1 said LX1", "", "C1.1 rings to LX1: contradiction VMAIN LX1\n"},
		"two nets in a job":                   {"C1.1 rings C1.2 job 7", "", "C1.1 rings to C1.2: short on that device VMAIN GND\n"},
		"one pad on two nets": {"P1 rings TP1\nP1 rings C1.2", "P1 maybe on GND VIO: continuity contradicts itself; P1 rings to C1.2; P1 rings to TP1\n",
			"P1 rings to C1.2: contradiction; P1 rings to TP1\n"},
		"rings and does not": {"P1 rings TP1\nP1 silent C2.1", "P1 maybe on VIO: continuity contradicts itself; P1 does not ring to C2.1; P1 rings to TP1\n",
			"P1 does not ring to C2.1: contradiction; P1 rings to TP1\n"},
		"one of the grounds":    {"P1 rings ground", "P1 maybe on AGND GND: which ground is not known; P1 rings to ground\n", ""},
		"off ground":            {"P1 silent ground\nP1 rings TP1", "P1 on VIO; P1 rings to TP1\n", ""},
		"pads that ring alone":  {"P1 said P2\nP2 rings P3", "", ""},
		"nothing of that name":  {"P1 said NOSUCH\nP9 rings VIO\nC1 rings P1", "", ""},
		"with itself":           {"P1 rings P1\nVIO rings TP1", "", ""},
		"stated two ways":       {"P1 said VMAIN\nP1 said LX1", "P1 maybe on LX1 VMAIN: may ring through L300; P1 rings to VMAIN\n", ""},
		"stated beats measured": {"P1 said VIO\nP1 rings LX1", "P1 on VIO; P1 rings to VIO\n", "P1 rings to LX1: contradiction VIO LX1; P1 rings to VIO\n"},
	} {
		t.Run(name, func(t *testing.T) {
			b, touches := ringBoard(), touchesOf(c.touches)
			if d := cmp.Diff(c.rungs, toldRungs(b.Ringing(touches))); d != "" {
				t.Error(d)
			}
			if d := cmp.Diff(c.clashes, clashes(b, touches)); d != "" {
				t.Error(d)
			}
		})
	}
}

// TestRingingKeepsTheBoard compares a board with what touches make of it: all but
// the nets of places without one is the same, and the stated board is untouched.
func TestRingingKeepsTheBoard(t *testing.T) {
	b := ringBoard()
	if got := b.Ringing(touchesOf("P1 said P2")); got != b {
		t.Error("touches that say nothing make another board")
	}
	x := b.Ringing(touchesOf("P1 said VMAIN\nP2 rings C1.1"))
	if x != b.Ringing(touchesOf("P1 said VMAIN\nP2 rings C1.1")) {
		t.Error("it is not kept")
	}
	if d := cmp.Diff(ringBoard(), b, sameBoard); d != "" {
		t.Error(d)
	}
	vmain, p1, p2 := b.FindNet("VMAIN"), b.FindPad("P1"), b.FindPad("P2")
	if got := x.PadsOn(vmain); !slices.Equal(got, []PadID{p1}) {
		t.Errorf("pads on VMAIN: %v", got)
	}
	if got := x.PadsMaybeOn(b.FindNet("LX1")); !slices.Equal(got, []PadID{p2}) {
		t.Errorf("pads that may be on LX1: %v", got)
	}
	x.Pads[p1].Net = None
	if d := cmp.Diff(b, x, sameBoard); d != "" {
		t.Error(d)
	}
}

// TestRingingAgainstClasses compares, on random boards without parts that let a
// tester ring, what is sure with classes found by joining sets until nothing
// changes any more.
func TestRingingAgainstClasses(t *testing.T) {
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 1))
		bu := NewBuilder(Ref{Name: "Knot"})
		names := []string{"A", "B", "C"}
		for _, net := range names {
			bu.Net(net)
		}
		for i := range 8 {
			bu.Pad(fmt.Sprint("P", i))
			names = append(names, fmt.Sprint("P", i))
		}
		b := bu.Build()
		var touches []Touch
		for range r.IntN(12) {
			touches = append(touches, Touch{A: Target{Name: names[r.IntN(len(names))]}, B: Target{Name: names[r.IntN(len(names))]}, Rings: true, Said: r.IntN(2) == 0})
		}
		class := map[string]string{}
		for _, n := range names {
			class[n] = n
		}
		for range names {
			for _, touch := range touches {
				low := min(class[touch.A.Name], class[touch.B.Name])
				class[touch.A.Name], class[touch.B.Name] = low, low
			}
		}
		whole := map[string][]string{}
		for _, n := range names[:3] {
			whole[class[n]] = append(whole[class[n]], n)
		}
		x := b.Ringing(touches)
		for i, pad := range x.Pads {
			nets := whole[class[pad.Name]]
			switch got := x.RungPad(PadID(i)); {
			case len(nets) == 1 && (pad.Net == None || x.Nets[pad.Net].Name != nets[0]):
				t.Errorf("seed %d: %s is not on %s", seed, pad.Name, nets[0])
			case len(nets) == 0 && got != nil:
				t.Errorf("seed %d: %s is on %v", seed, pad.Name, got)
			}
		}
	}
}
