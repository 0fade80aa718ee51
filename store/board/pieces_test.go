package board

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// VMAIN is declared in branches, and GND is stated to be ground; nothing is
// connected to EMPTY.
func TestPieces(t *testing.T) {
	say := append(smallBoard(),
		func(bu *Builder) { n := bu.Net("GND"); bu.NetAt(n).Kind = Ground },
		func(bu *Builder) { bu.Net("EMPTY") },
		func(bu *Builder) { bu.Connect(bu.Pin(bu.Part("U300"), "B1"), bu.Net("SDA")) },
	)
	b := build(say)
	var names []string
	for _, p := range b.Pieces() {
		names = append(names, p.Name+" of "+b.Nets[p.Net].Name)
	}
	if d := cmp.Diff([]string{"left of VMAIN", "SDA of SDA"}, names); d != "" {
		t.Error(d)
	}
	if n := b.PieceCount(); n != len(names) {
		t.Errorf("there are %d pieces, %d are counted", len(names), n)
	}
}
